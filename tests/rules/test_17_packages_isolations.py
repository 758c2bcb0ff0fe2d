"""Work packages planned in time, and isolations placed in a day."""

from pathlib import Path
from typing import Any

import pytest

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

PUMP = {"family": "PUMP", "action": "replace"}


def isolations(amount: float) -> dict[str, list[dict[str, Any]]]:
    """Return 3 isolations a day, 90 in the 30 d of the window, of which each pump takes some."""
    return {
        "supplies": [{"supply": "ISO", "name": "isolations", "measure": "isolations"}],
        "supply_amounts": [{"supply": "ISO", "kind": "planned", "amount_per_day": 3.0}],
        "action_supplies": [PUMP | {"supply": "ISO", "amount": amount}],
    }


def packages(hours: float) -> dict[str, list[dict[str, Any]]]:
    """Return planners with 10 h a month for packages, due half a year before: 180 h for P1."""
    return {
        "outage_kinds": edited("outage_kinds", design_days=183.0),
        "disciplines": [
            {"discipline": "PLAN", "name": "work package", "design_hours_per_month": 10.0}
        ],
        "design_hours": [PUMP | {"discipline": "PLAN", "design_hours": hours}],
    }


def test_rule_17_binds_isolations() -> None:
    found = planned(two_pumps(**isolations(50.0)))
    assert periods(found) == ["P1", "P2"]
    assert found.breaches == []


def test_rule_17_binds_packages() -> None:
    found = planned(two_pumps(**packages(100.0)))
    assert periods(found) == ["P1", "P2"]
    assert found.breaches == []


def test_rule_17_binds_where_a_kind_of_outage_has_none() -> None:
    none = isolations(50.0) | {"supply_amounts": []}
    assert periods(planned(two_pumps(**none))) == []


def test_rule_17_does_not_bind_where_there_are_enough() -> None:
    free = planned(two_pumps())
    for enough in (isolations(45.0), packages(90.0)):
        held = planned(two_pumps(**enough))
        assert periods(held) == ["P1", "P1"]
        assert held.pv_cost == pytest.approx(free.pv_cost)


def test_rule_17_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    station = two_pumps(**isolations(50.0), **packages(100.0))
    has_stored_lp("17_packages_isolations", station, tmp_path, request)


def test_rule_17_breach_is_named() -> None:
    for scarce, rule in ((isolations(50.0), "supplies"), (packages(100.0), "engineering")):
        station = two_pumps(**scarce)
        assert rules_broken(station, FIRST, SECOND) == {rule}
        assert rules_broken(station, FIRST, LATER) == set()
    text = found_in(two_pumps(**isolations(50.0)), FIRST, SECOND)[0].text
    assert text == "P1 ISO, days 5 to 35: 100.0 are taken, 90.0 are there."
