"""Actions, families and components that have to fit each other."""

from collections.abc import Iterator

import pandas as pd

from bundler.calendar import ON_LINE
from bundler.case import Case
from bundler.check.told import error, setting
from bundler.errors import Finding
from bundler.hours import work_hours
from bundler.nearest import did_you_mean
from bundler.tables import rows

BOTH = ("life_years", "shape_ratio")
#: parameters that each curve needs
PARAMETERS = {
    "weibull": BOTH, "gamma": BOTH, "lognormal": BOTH, "exponential": ("life_years",),
    "stepped": (),
}  # fmt: skip


def payment_shares(case: Case) -> Iterator[Finding]:
    """Payments at order and half way leave nothing below 0 for delivery."""
    base = case.settings
    total = base.order_payment_share + base.middle_payment_share
    if total > 1 + 1e-9:
        found = f"with order_payment_share {base.order_payment_share:g} they sum to {total:g}"
        allowed = "payments before delivery are at most 1 in all"
        yield setting("middle_payment_share", found, allowed, "Lower one of the two.")


def families_with_work(case: Case) -> Iterator[Finding]:
    """Every family has an action."""
    able = set(case["actions"]["family"])
    for row in rows(case["families"]):
        if row.family not in able:
            found, allowed = f"family {row.family} has no action", "each family has at least one"
            remedy = "Add its work to actions.csv, or take the family out."
            yield error("families", row.file_row, "family", found, allowed, remedy)


def likes_known(case: Case) -> Iterator[Finding]:
    """A work that is like another names one of its family that stands for itself."""
    likes = {(row.family, row.action): row.like for row in rows(case["actions"])}
    for row in rows(case["actions"]):
        place = ("actions", row.file_row, "like")
        other = likes.get((row.family, row.like))
        if row.like and (other is None or row.like == row.action):
            own = [action for family, action in likes if family == row.family]
            found = f'family {row.family} has no other action "{row.like}"'
            allowed = "a work is like another of its family"
            remedy = f"{did_you_mean(row.like, own)}Correct it, or leave the cell empty."
            yield error(*place, found, allowed, remedy)
        elif row.like and other:
            found = f"{row.action} is like {row.like}, which is like {other} itself"
            yield error(
                *place, found, "a work is like one that stands for itself", "Name that one."
            )


def life_parameters(case: Case) -> Iterator[Finding]:
    """Every curve has the parameters it needs, from the family or from each component."""
    parts = case["components"]
    for row in rows(case["families"]):
        own = parts[parts["family"] == row.family]
        for column in PARAMETERS[row.curve]:
            is_lent = not own.empty and bool(own[column].notna().all())
            if pd.isna(getattr(row, column)) and not is_lent:
                found, allowed = "the cell is empty", f"curve {row.curve} needs it"
                remedy = "Fill it, or give it for each component of the family."
                yield error("families", row.file_row, column, found, allowed, remedy)


def trains_for_stars(case: Case) -> Iterator[Finding]:
    """A component has a train where its work needs a condition of its train."""
    actions = case["actions"]
    starred = actions[actions["conditions"].str.contains("*", regex=False)]
    first = {row.family: row for row in rows(starred[::-1])}
    for row in rows(case["components"]):
        if row.family in first and not row.train:
            work = first[row.family]
            found = f"the cell of {row.component} is empty"
            needs = f"{row.family} {work.action} needs {work.conditions}"
            allowed = f"{needs}, and the star stands for the train"
            yield error(
                "components", row.file_row, "train", found, allowed, "Write A or B into the cell."
            )


def trains_for_access(case: Case) -> Iterator[Finding]:
    """A component has a train where it shares an access that is made for each train."""
    sets = case["access_sets"]
    split = set(sets.loc[sets["is_by_train"], "access_set"])
    members = case["access_members"]
    members = members[members["access_set"].isin(split)]
    first = dict(zip(members["family"][::-1], members["access_set"][::-1], strict=True))
    for row in rows(case["components"]):
        if row.family in first and not row.train:
            found = f"the cell of {row.component} is empty"
            allowed = f"its family shares access {first[row.family]}, of which each train has one"
            yield error(
                "components", row.file_row, "train", found, allowed, "Write A or B into the cell."
            )


def kinds_of_work(case: Case) -> pd.DataFrame:
    """Return each action with each kind of period in which all its conditions can hold.

    Columns family, action, file_row, kind; kind is "" for an action that has none.
    """
    used = {*case["outages"]["kind"], ON_LINE}
    held = case["windows"].groupby("kind")["condition"].agg(set).to_dict()
    found: list[tuple[str, str, int, str]] = []
    for row in rows(case["actions"]):
        needs = [set(row.conditions.replace("*", train).split("+")) for train in ("A", "B")]
        kinds = [
            kind
            for kind, there in held.items()
            if kind in used and any(need <= there for need in needs)
        ]
        found += [(row.family, row.action, row.file_row, str(kind)) for kind in kinds or [""]]
    return pd.DataFrame(found, columns=["family", "action", "file_row", "kind"])


def crews_for_work(case: Case) -> Iterator[Finding]:
    """Every trade has a row of crews in each kind of period where work needs it."""
    given = set(zip(case["crews"]["resource"], case["crews"]["kind"], strict=True))
    kinds = kinds_of_work(case).drop(columns="file_row")
    hours = work_hours(case)
    needed = hours[hours["work_hours"] > 0].merge(kinds[kinds["kind"] != ""])
    for row in rows(needed.drop_duplicates(["resource", "kind"])):
        if (row.resource, row.kind) not in given:
            found = f"{row.resource} has no row for kind {row.kind}"
            allowed = f"{row.family} {row.action} needs {row.work_hours:g} hours of it there"
            remedy = "Add a row, with 0 heads if there are none."
            yield error("crews", 0, "resource", found, allowed, remedy)


def links_by_train(case: Case) -> Iterator[Finding]:
    """A link that is matched by train ties families whose components have trains."""
    parts = case["components"]
    bare = set(parts["family"]) - set(parts.loc[parts["train"] != "", "family"])
    for row in rows(case["links"]):
        for column in ("first_family", "second_family"):
            family = getattr(row, column)
            if row.match == "train" and family in bare:
                found = f"no component of {family} has a train"
                allowed = "a link matched by train ties components of one train"
                remedy = "Fill the trains, or match by unit."
                yield error("links", row.file_row, column, found, allowed, remedy)
