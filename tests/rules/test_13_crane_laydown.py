"""Crane hours and laydown as stocks, and works that cannot be side by side."""

from pathlib import Path
from typing import Any

import pytest

from bundler.judge import judge
from bundler.run import facts_of
from tests.rules import pumps
from tests.rules.rule import has_stored_lp, planned
from tests.rules.two_pumps import (
    FIRST,
    LATER,
    SECOND,
    edited,
    found_in,
    periods,
    rules_broken,
    two_pumps,
)


def crane(hours: float) -> dict[str, list[dict[str, Any]]]:
    """Return a crane of 17 h a day, 510 h in the 30 d of the window, and its hours for a pump."""
    crane = {"resource": "CR", "name": "hall crane", "hours_per_day": 17.0, "takes_area": False}
    pump = {"family": "PUMP", "action": "replace", "resource": "CR", "work_hours": hours}
    return {
        "resources": [*edited("resources"), crane],
        "crews": [*edited("crews"), {"resource": "CR", "kind": "planned", "heads_count": 1.0}],
        "action_hours": [*edited("action_hours"), pump],
    }


def laydown(floor_m2: float) -> dict[str, list[dict[str, Any]]]:
    """Return laydown of which each pump takes 400 m2 on 10 days."""
    pump = {"family": "PUMP", "action": "replace", "supply": "LAY", "amount": 400.0}
    return {
        "supplies": [{"supply": "LAY", "name": "laydown in the hall", "measure": "m2"}],
        "supply_amounts": [{"supply": "LAY", "kind": "planned", "amount_per_day": floor_m2}],
        "action_supplies": [pump | {"is_daily": True}],
    }


def side_by_side(days: float) -> dict[str, list[dict[str, Any]]]:
    """Return pumps that may not be worked on at the same time, each for so many days of the 30."""
    link = {"link": "heavy lifts", "rule": "apart", "first_family": "PUMP", "second_family": "PUMP"}
    return {"links": [link], "actions": edited("actions", days=days)}


def test_rule_13_binds_crane_hours() -> None:
    found = planned(two_pumps(**crane(300.0)))
    assert periods(found) == ["P1", "P2"]
    assert found.breaches == []


def test_rule_13_binds_laydown() -> None:
    """200 m2 on 30 d are 6,000 m2-days, of which each pump takes 4,000."""
    found = planned(two_pumps(**laydown(200.0)))
    assert periods(found) == ["P1", "P2"]
    assert found.breaches == []


def test_rule_13_binds_incompatible_works() -> None:
    found = planned(two_pumps(**side_by_side(20.0)))
    assert periods(found) == ["P1", "P2"]
    assert found.breaches == []


def test_rule_13_does_not_bind_where_there_is_enough() -> None:
    free = planned(two_pumps())
    for enough in (crane(255.0), laydown(400.0), side_by_side(15.0)):
        held = planned(two_pumps(**enough))
        assert periods(held) == ["P1", "P1"]
        assert held.pv_cost == pytest.approx(free.pv_cost)


def test_rule_13_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    station = two_pumps(**crane(300.0), **laydown(200.0), **side_by_side(20.0))
    has_stored_lp("13_crane_laydown", station, tmp_path, request)


def test_rule_13_breach_is_named() -> None:
    for scarce, rule in (
        (crane(300.0), "crews"), (laydown(200.0), "supplies"), (side_by_side(20.0), "links"),
    ):  # fmt: skip
        station = two_pumps(**scarce)
        assert rules_broken(station, FIRST, SECOND) == {rule}
        assert rules_broken(station, FIRST, LATER) == set()
    text = found_in(two_pumps(**laydown(200.0)), FIRST, SECOND)[0].text
    assert "8000.0 are taken, 6000.0 are there" in text


def test_rule_13_binds_two_that_may_not_share_an_outage() -> None:
    """Two pumps that are both best renewed in each outage are renewed in turn; the judge agrees."""
    link = {"link": "batch", "rule": "stagger", "first_family": "PUMP", "second_family": "PUMP",
            "match": "unit"}  # fmt: skip
    parts = pumps.parts("PUMP-1", "PUMP-2")
    free = pumps.unit(parts, [pumps.family()], [pumps.work()])
    bound = pumps.unit(parts, [pumps.family()], [pumps.work()], links=[link])
    both, turns = planned(free), planned(bound)
    shared = {period for _, _, period in both.works}
    assert len(both.works) == 2 * len(shared) > 0
    periods = [period for _, _, period in turns.works]
    assert len(periods) == len(set(periods)) and turns.pv_cost > both.pv_cost
    assert turns.breaches == []
    assert {breach.rule for breach in judge(bound, facts_of(both.choices, both.picked))} == {
        "links"
    }
