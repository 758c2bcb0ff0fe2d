"""Names that have to be known: every reference between tables."""

from collections.abc import Iterable, Iterator

from bundler.calendar import STATION
from bundler.case import Case
from bundler.check.told import error
from bundler.errors import Finding
from bundler.nearest import did_you_mean
from bundler.tables import dictionary, rows


def _unknown(place: tuple[str, int, str], word: str, target: str, known: Iterable[str]) -> Finding:
    """Return the finding for a name that is not in the table where it should be."""
    found = f'"{word}" is not known' if word else "the cell is empty"
    allowed = f"names of {target}.csv are allowed"
    remedy = f"{did_you_mean(word, known)}Correct it, or add it to {target}.csv."
    return error(*place, found, allowed, remedy)


def known_rows(case: Case) -> Iterator[Finding]:
    """Every reference names a row that exists."""
    for table, columns in dictionary().items():
        for column in columns:
            if not column.kind.startswith("ref:"):
                continue
            target, name = column.kind.removeprefix("ref:").split(".")
            known, own = set(case[target][name]), case[table]
            for word, row in zip(own[column.column], own["file_row"], strict=True):
                if word and word not in known:
                    yield _unknown((table, row, column.column), word, target, known)


def known_units(case: Case) -> Iterator[Finding]:
    """Outages and components belong to a unit or to the whole station."""
    known = {*case["units"]["unit"], STATION}
    for table in ("outages", "components"):
        for row in rows(case[table]):
            if row.unit not in known:
                yield _unknown((table, row.file_row, "unit"), row.unit, "units", known)


def _named_actions(case: Case) -> Iterator[tuple[tuple[str, int, str], str, str]]:
    """Return place, family and action wherever an action is named."""
    parts = case["components"]
    family = dict(zip(parts["component"], parts["family"], strict=True))
    for table in (
        "action_hours", "access_members", "action_supplies", "design_hours", "common_needs",
        "discoveries",
    ):  # fmt: skip
        for row in rows(case[table]):
            yield (table, row.file_row, "action"), row.family, row.action
    for table in ("pins", "mandates", "agreed"):
        for row in rows(case[table]):
            yield (table, row.file_row, "action"), family.get(row.component, ""), row.action
    for row in rows(case["links"]):
        yield ("links", row.file_row, "first_action"), row.first_family, row.first_action
        yield ("links", row.file_row, "second_action"), row.second_family, row.second_action


def known_actions(case: Case) -> Iterator[Finding]:
    """Hours, pins, mandates and links name an action that the family has."""
    actions: dict[str, set[str]] = {family: set() for family in case["families"]["family"]}
    for row in rows(case["actions"]):
        actions.setdefault(row.family, set()).add(row.action)
    for place, family, action in _named_actions(case):
        known = actions.get(family)
        if action and known is not None and action not in known:
            found = f'family {family} has no action "{action}"'
            allowed = "actions of the component's family in actions.csv are allowed"
            remedy = f"{did_you_mean(action, known)}Correct it, or add it to actions.csv."
            yield error(*place, found, allowed, remedy)


def known_steps(case: Case) -> Iterator[Finding]:
    """A stepped curve names rates that exist and begin at age 0."""
    steps = case["curve_steps"].sort_values("from_age_years", ascending=False)
    first = dict(zip(steps["steps"], steps["from_age_years"], strict=True))
    for row in rows(case["families"]):
        place = ("families", row.file_row, "steps")
        if row.curve != "stepped" and row.steps:
            found = f'"{row.steps}" is given for curve {row.curve}'
            allowed = "only curve stepped has steps"
            yield error(*place, found, allowed, "Set curve to stepped, or empty this cell.")
        elif row.curve == "stepped" and row.steps not in first:
            yield _unknown(place, row.steps, "curve_steps", first)
        elif row.curve == "stepped" and first[row.steps] != 0:
            found = f'the rates of "{row.steps}" begin at age {first[row.steps]:g}'
            remedy = "Add a row with from_age_years 0 to curve_steps.csv."
            yield error(*place, found, "curve stepped begins at age 0", remedy)


def known_conditions(case: Case) -> Iterator[Finding]:
    """Actions and inspections need conditions that exist; a star stands for the family's trains."""
    known = set(case["conditions"]["condition"])
    trains = case["components"].groupby("family")["train"].agg(set).to_dict()
    for table in ("actions", "inspections"):
        for row in rows(case[table]):
            own = trains.get(row.family, set()) - {""}
            words = row.conditions.split("+")
            needed = {word.replace("*", train) for word in words for train in own or {"A", "B"}}
            for word in sorted(needed - known):
                yield _unknown((table, row.file_row, "conditions"), word, "conditions", known)
