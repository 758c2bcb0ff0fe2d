"""Two equal pumps, best renewed together in P1 (2029); one of them in P2 (2033) costs 101 more."""

from collections.abc import Mapping, Sequence
from typing import Any

from bundler.case import Case, Settings
from bundler.judge import Breach, judge
from tests.cases import case, one_unit
from tests.judge.small import plan
from tests.rules.rule import Planned

FIRST = ("PUMP-1", "replace", "P1")
SECOND = ("PUMP-2", "replace", "P1")
LATER = ("PUMP-2", "replace", "P2")


def two_pumps(base: Settings | None = None, **more: Sequence[Mapping[str, Any]]) -> Case:
    """Return the station with two pumps; each takes 500 hours and 10 days of the 30 drained."""
    pumps = [{"component": f"PUMP-{n}", "unit": "U1", "family": "PUMP"} for n in (1, 2)]
    return case(base, **one_unit(**{"components": pumps} | dict(more)))


def edited(table: str, row: int = 0, **cells: Any) -> list[dict[str, Any]]:
    """Return the rows of a table of the station with some cells of one row changed."""
    found = [dict(one) for one in one_unit()[table]]
    found[row] |= cells
    return found


def periods(found: Planned) -> list[str]:
    """Return the outages of all works of a plan."""
    return sorted(period for _, _, period in found.works)


def found_in(station: Case, *works: tuple[str, str, str], **more: Any) -> list[Breach]:
    """Return what the judge says of a plan written by hand."""
    return judge(station, plan(station, *works, **more))


def rules_broken(station: Case, *works: tuple[str, str, str], **more: Any) -> set[str]:
    """Return the rules that a plan written by hand breaks."""
    return {breach.rule for breach in found_in(station, *works, **more)}
