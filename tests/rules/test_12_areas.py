"""Workers of an area within its floor."""

from pathlib import Path

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

#: 80 m2 / 20 m2 x 2 shifts x 30 d = 240 head days in the window; each pump takes 140
SMALL = edited("areas", usable_m2=80.0)


def test_rule_12_binds_one_pump_has_room() -> None:
    found = planned(two_pumps(areas=SMALL))
    assert periods(found) == ["P1", "P2"]
    assert found.breaches == []


def test_rule_12_does_not_bind_on_a_large_floor() -> None:
    large = planned(two_pumps())
    fits = planned(two_pumps(areas=edited("areas", usable_m2=94.0)))  # 282 head days
    assert periods(large) == periods(fits) == ["P1", "P1"]
    assert fits.pv_cost == pytest.approx(large.pv_cost)


def test_rule_12_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("12_areas", two_pumps(areas=SMALL), tmp_path, request)


def test_rule_12_breach_is_named() -> None:
    station = two_pumps(areas=SMALL)
    assert rules_broken(station, FIRST, SECOND) == {"areas"}
    assert "280.0 head days are planned, 240.0 fit" in found_in(station, FIRST, SECOND)[0].text
    assert rules_broken(station, FIRST, LATER) == set()
