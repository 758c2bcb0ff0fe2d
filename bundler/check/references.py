"""Names that have to be known: every reference between tables."""

import difflib
from collections.abc import Iterable, Iterator

from bundler.calendar import STATION
from bundler.case import Case
from bundler.errors import Finding
from bundler.tables import dictionary, rows


def remedy(word: str, known: Iterable[str], table: str) -> str:
    """Return a question that names the nearest known word, or where the words stand."""
    near = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f"Did you mean {near[0]}?" if near else f"Add it to {table}.csv or correct it."


def unknown(
    table: str, row: int, column: str, word: str, target: str, known: Iterable[str]
) -> Finding:
    """Return the finding for a name that is not in the table it should be in."""
    return Finding(
        f"{table}.csv",
        row,
        column,
        f"{word!r} is not known",
        f"names of {target}.csv are allowed",
        remedy(word, known, target),
    )


def known_rows(case: Case) -> Iterator[Finding]:
    """Every reference names a row that exists."""
    for table, columns in dictionary().items():
        for column in columns:
            if not column.kind.startswith("ref:"):
                continue
            target, name = column.kind.removeprefix("ref:").split(".")
            known = set(case[target][name])
            for row in rows(case[table]):
                word = getattr(row, column.column)
                if word and word not in known:
                    yield unknown(table, row.file_row, column.column, word, target, known)


def known_units(case: Case) -> Iterator[Finding]:
    """Outages and components belong to a unit or to the whole station."""
    known = {*case["units"]["unit"], STATION}
    for table in ("outages", "components"):
        for row in rows(case[table]):
            if row.unit not in known:
                yield unknown(table, row.file_row, "unit", row.unit, "units", known)


def _actions(case: Case) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for row in rows(case["actions"]):
        found.setdefault(row.family, set()).add(row.action)
    return found


def known_actions(case: Case) -> Iterator[Finding]:
    """Hours, pins, mandates and links name an action that the family has."""
    actions = _actions(case)
    family = dict(zip(case["components"]["component"], case["components"]["family"], strict=True))
    named: list[tuple[str, int, str, str, str]] = []
    named += [
        ("action_hours", r.file_row, "action", r.family, r.action)
        for r in rows(case["action_hours"])
    ]
    for table in ("pins", "mandates"):
        named += [
            (table, r.file_row, "action", family.get(r.component, ""), r.action)
            for r in rows(case[table])
        ]
    for side in ("first", "second"):
        named += [
            (
                "links",
                r.file_row,
                f"{side}_action",
                getattr(r, f"{side}_family"),
                getattr(r, f"{side}_action"),
            )
            for r in rows(case["links"])
        ]
    for table, row, column, owner, action in named:
        known = actions.get(owner, set())
        if action and known and action not in known:
            yield Finding(
                f"{table}.csv",
                row,
                column,
                f"{owner} has no action {action!r}",
                "actions of the family are allowed",
                remedy(action, known, "actions"),
            )


def known_steps(case: Case) -> Iterator[Finding]:
    """A stepped curve names steps that exist and begin at age 0."""
    first = case["curve_steps"].groupby("steps")["from_age_years"].min()
    for row in rows(case["families"]):
        if row.curve != "stepped":
            continue
        if row.steps not in first.index:
            yield unknown("families", row.file_row, "steps", row.steps, "curve_steps", first.index)
        elif first[row.steps] != 0:
            yield Finding(
                "families.csv",
                row.file_row,
                "steps",
                f"the rates of {row.steps!r} begin at age {first[row.steps]:g}",
                "the first age is 0",
                "Add a row for age 0 to curve_steps.csv.",
            )


def known_conditions(case: Case) -> Iterator[Finding]:
    """Actions need conditions that exist; a star stands for train A or B."""
    known = set(case["conditions"]["condition"])
    for row in rows(case["actions"]):
        for word in row.conditions.split("+"):
            options = {word.replace("*", train) for train in ("A", "B")}
            if not options <= known:
                missing = sorted(options - known)[0]
                yield unknown("actions", row.file_row, "conditions", missing, "conditions", known)


def trains_for_stars(case: Case) -> Iterator[Finding]:
    """A component whose work needs its train's condition has a train."""
    starred = set(
        case["actions"].loc[case["actions"]["conditions"].str.contains("*", regex=False), "family"]
    )
    for row in rows(case["components"]):
        if row.family in starred and not row.train:
            yield Finding(
                "components.csv",
                row.file_row,
                "train",
                f"{row.component} has no train",
                "its work needs the condition of one train, so A or B is required",
                "Give its train.",
            )


def families_with_work(case: Case) -> Iterator[Finding]:
    """A family in use has an action."""
    able = set(case["actions"]["family"])
    used = set(case["components"]["family"])
    for row in rows(case["families"]):
        if row.family in used - able:
            yield Finding(
                "families.csv",
                row.file_row,
                "family",
                f"{row.family} has no action",
                "each family in use needs one",
                "Add a row to actions.csv.",
            )
