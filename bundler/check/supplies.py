"""Supplies: there where works take them, and taken at all."""

from collections.abc import Callable, Iterator

from bundler.calendar import ON_LINE
from bundler.case import Case
from bundler.check.told import error, note
from bundler.check.works import kinds_of_work
from bundler.errors import Finding
from bundler.tables import rows


def supplies_there(case: Case) -> Iterator[Finding]:
    """A kind of outage without a row has none of a supply, so works that take it stay out."""
    given = set(zip(case["supply_amounts"]["supply"], case["supply_amounts"]["kind"], strict=True))
    taken = case["action_supplies"]
    kinds = kinds_of_work(case).drop(columns="file_row")
    needed = taken[taken["amount"] > 0].drop(columns="file_row").merge(kinds)
    needed = needed[~needed["kind"].isin(["", ON_LINE])]
    for row in rows(needed.drop_duplicates(["supply", "kind"])):
        if (row.supply, row.kind) not in given:
            found = f"{row.supply} has no row for kind {row.kind}"
            allowed = f"there is none then, and {row.family} {row.action} cannot go in there"
            remedy = "Add a row, unless that is meant."
            yield note("supply_amounts", 0, "supply", found, allowed, remedy)


def supply_conditions(case: Case) -> Iterator[Finding]:
    """What is there only in a plant condition is of a kind of outage in which that can hold."""
    held = set(zip(case["windows"]["kind"], case["windows"]["condition"], strict=True))
    for row in rows(case["supply_amounts"]):
        if row.condition and (row.kind, row.condition) not in held:
            found = f"{row.supply} is there only in {row.condition}"
            allowed = f"{row.condition} has a row of windows.csv for kind {row.kind}"
            remedy = "Add that row, or correct the condition."
            yield error("supply_amounts", row.file_row, "condition", found, allowed, remedy)


def supplies_taken(case: Case) -> Iterator[Finding]:
    """A supply that no work takes has no part in the plan."""
    taken = set(case["action_supplies"]["supply"])
    for row in rows(case["supplies"]):
        if row.supply not in taken:
            found, allowed = f"no work takes {row.supply}", "it has no part in the plan"
            remedy = "Add works to action_supplies.csv, or take it out."
            yield note("supplies", row.file_row, "supply", found, allowed, remedy)


#: every check of this file
OWN: tuple[Callable[[Case], Iterator[Finding]], ...] = (
    supplies_there,
    supply_conditions,
    supplies_taken,
)
