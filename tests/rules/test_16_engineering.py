"""Engineering finished by its date within the hours of each discipline."""

from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
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


def engineered(hours: float, **more: Any) -> Case:
    """Return pumps whose design is due a year before the outage: 1,202 h are there for P1."""
    design = {"family": "PUMP", "action": "replace", "discipline": "EL", "design_hours": hours}
    return two_pumps(
        outage_kinds=edited("outage_kinds", design_days=365.0),
        disciplines=[
            {"discipline": "EL", "name": "electrical engineering", "design_hours_per_month": 100.0}
            | more
        ],
        design_hours=[design],
    )


def test_rule_16_binds_one_pump_is_designed_in_time() -> None:
    found = planned(engineered(700.0))
    assert periods(found) == ["P1", "P2"]
    assert found.breaches == []


def test_rule_16_binds_later_dates_too() -> None:
    """100 h a month give 6,003 h until the design for P2 is due, too few for two of 3,100."""
    found = planned(engineered(3100.0))
    assert periods(found) == ["P2"]
    assert found.breaches == []


def test_rule_16_does_not_bind_with_time_to_design() -> None:
    held, free = planned(engineered(601.0)), planned(two_pumps())
    assert periods(held) == ["P1", "P1"]
    assert held.pv_cost == pytest.approx(free.pv_cost)


def test_rule_16_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("16_engineering", engineered(700.0), tmp_path, request)


def test_rule_16_breach_is_named() -> None:
    station = engineered(700.0)
    assert rules_broken(station, FIRST, SECOND) == {"engineering"}
    text = found_in(station, FIRST, SECOND)[0].text
    assert text == "EL by 2028-01-02: 1400.0 design hours are needed, 1202.5 are there."
    assert rules_broken(station, FIRST, LATER) == set()
