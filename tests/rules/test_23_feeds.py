"""Rule 23: one of the two supplies of the emergency buses stays in every state."""

from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
from tests.judge.small import broken
from tests.rules.pumps import family, of, outage, parts, unit, work
from tests.rules.rule import has_stored_lp, planned

NAMES = ("UST", "SST", "TIE")
BOTH = (of("UST-1", "P1"), of("SST-1", "P1"))


def station(days: float, tie_days: float | None = None, kept: int = 1) -> Case:
    """Return a unit with its two service transformers, and a tie transformer of the station.

    Unit and system transformers may be out for 30 days of an outage; the tie, which can take the
    place of neither, in the first 40 days of each year on line.
    """
    own = parts("UST-1", "SST-1")
    own += [{"component": "TIE-1", "unit": "station", "family": "TIE"}] if tie_days else []
    names = NAMES if tie_days else NAMES[:2]
    needs = [{"group": "FEED", "kind": "planned", "in_service_count": kept + bool(tie_days)}]
    windows: list[dict[str, Any]] = [
        {"kind": "planned", "condition": "X", "from_days": 5.0, "to_days": -5.0},
        {"kind": "planned", "condition": "Y", "from_days": 5.0, "to_days": -5.0},
        {"kind": "on_line", "condition": "T", "to_anchor": "start", "to_days": 40.0},
    ]
    conditions = {"UST": "X", "SST": "Y", "TIE": "T"}
    return unit(
        own,
        [family(name, max_works_count=1) for name in names],
        [
            work(tie_days or 1.0 if name == "TIE" else days, name, conditions=conditions[name])
            for name in names
        ],
        conditions=[{"condition": name, "name": name} for name in "XYT"],
        windows=windows,
        outages=[outage("P1", 2029), outage("P2", 2031)],
        groups=[{"group": "FEED", "name": "supplies", "match": "station"}],
        group_members=[{"group": "FEED", "family": name} for name in names],
        group_needs=needs,
    )


def period_of(works: set[tuple[str, str, str]]) -> dict[str, str]:
    return {component: period for component, _, period in works}


def test_rule_23_binds_and_one_supply_waits() -> None:
    plan, free = planned(station(16.0)), planned(station(16.0, kept=0))
    assert free.works >= set(BOTH)
    assert sorted(period_of(plan.works).values()) == ["P1", "P2"]
    assert plan.pv_cost > free.pv_cost
    assert plan.breaches == []


def test_rule_23_binds_over_unit_and_station_at_the_same_time() -> None:
    """A tie out for 36 of the first 40 days of 2029 leaves no time for either transformer."""
    case = station(16.0, 36.0)
    tie = of("TIE-1", "station-2029")
    assert broken(case, tie, BOTH[0]) == ["out_together"]
    assert broken(case, of("TIE-1", "station-2030"), BOTH[0]) == []
    plan = planned(case)
    assert plan.breaches == []
    there = period_of(plan.works)
    assert not (there.get("TIE-1") == "station-2029" and "P1" in there.values())


def test_rule_23_does_not_bind_where_they_follow_each_other() -> None:
    plan, free = planned(station(15.0)), planned(station(15.0, kept=0))
    assert plan.works == free.works and plan.works >= set(BOTH)
    assert plan.pv_cost == pytest.approx(free.pv_cost)
    assert plan.breaches == []


def test_rule_23_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("23_feeds", station(16.0), tmp_path, request)


def test_rule_23_breach_both_supplies_out() -> None:
    assert broken(station(16.0), *BOTH) == ["out_together"]
    assert broken(station(15.0), *BOTH) == []
    assert broken(station(16.0), BOTH[0], of("SST-1", "P2")) == []
