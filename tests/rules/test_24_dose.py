"""Collective dose of an outage, and the dose of one head of each trade over years."""

from pathlib import Path

import pytest

from bundler.case import Case
from tests.cases import settings
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


def dosed(limit_person_msv: float = 20.0, **limits: float) -> Case:
    """Return pumps of 500 h x 0.01 mSv/h = 5 person-mSv, 0.5 mSv for each of 10 heads."""
    return two_pumps(
        settings(**limits),
        outage_kinds=edited("outage_kinds", dose_limit_person_msv=limit_person_msv),
        action_hours=edited("action_hours", dose_rate_msv_per_hour=0.01),
    )


def test_rule_24_binds_the_dose_of_an_outage() -> None:
    found = planned(dosed(9.0))
    assert periods(found) == ["P1", "P2"]
    assert found.breaches == []


def test_rule_24_binds_the_dose_of_one_head_in_a_year() -> None:
    found = planned(dosed(dose_year_msv=0.9))
    assert periods(found) == ["P1", "P2"]
    assert found.breaches == []


def test_rule_24_binds_the_dose_of_one_head_in_five_years() -> None:
    """P1 in 2029 and P2 in 2033 lie in five calendar years that follow each other."""
    found = planned(dosed(dose_five_years_msv=0.9))
    assert periods(found) == ["P1"]
    assert found.breaches == []


def test_rule_24_does_not_bind_within_the_limits() -> None:
    free = planned(two_pumps())
    held = planned(dosed(10.0, dose_year_msv=1.0, dose_five_years_msv=1.0))
    assert periods(held) == ["P1", "P1"]
    assert held.pv_cost == pytest.approx(free.pv_cost)


def test_rule_24_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    station = dosed(9.0, dose_year_msv=0.9, dose_five_years_msv=0.95)
    has_stored_lp("24_dose", station, tmp_path, request)


def test_rule_24_breach_is_named() -> None:
    assert rules_broken(dosed(9.0), FIRST, SECOND) == {"dose"}
    assert rules_broken(dosed(9.0), FIRST, LATER) == set()
    assert rules_broken(dosed(dose_year_msv=0.9), FIRST, SECOND) == {"person_dose"}
    assert rules_broken(dosed(dose_year_msv=0.9), FIRST, LATER) == set()
    five = dosed(dose_five_years_msv=0.9)
    assert [breach.text for breach in found_in(five, FIRST, LATER)] == [
        "M in 2029-2033: one head takes 1.0 mSv, 0.9 are allowed."
    ]
    assert rules_broken(five, FIRST) == set()
