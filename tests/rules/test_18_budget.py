"""Cash by calendar year within its budget, with what may be carried over."""

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


def budgeted(share: float = 0.0, **limits: float) -> Case:
    """Return pumps of 300 each, with so much money in the years after the letter y."""
    budgets = [{"year": int(year[1:]), "limit_cost": cost} for year, cost in limits.items()]
    return two_pumps(settings(carry_over_share=share), budgets=budgets)


def year_by_year(*limits: float) -> Case:
    """Return pumps with P2 in 2030, and money for 2029 and 2030, of which half may be left."""
    budgets = [{"year": 2029 + n, "limit_cost": cost} for n, cost in enumerate(limits)]
    outages = edited("outages", 1, start_date="2030-06-01", freeze_date="2029-06-01")
    return two_pumps(settings(carry_over_share=0.5), budgets=budgets, outages=outages)


def test_rule_18_binds_money_for_one_pump() -> None:
    found = planned(budgeted(y2028=500.0, y2029=500.0))
    assert periods(found) == ["P1", "P2"]
    assert found.breaches == []


def test_rule_18_binds_what_is_carried_is_a_share_of_the_budget() -> None:
    found = planned(budgeted(0.19, y2028=500.0, y2029=500.0))
    assert periods(found) == ["P1", "P2"]
    assert found.breaches == []


def test_rule_18_binds_with_what_comes_from_the_year_before() -> None:
    """2032 leaves half of its 500; with 349 in 2033 that is 599, too little for both in P2."""
    station = budgeted(0.5, y2028=0.0, y2029=0.0, y2032=500.0, y2033=349.0)
    found = planned(station)
    assert periods(found) == ["P2"]
    assert found.breaches == []
    enough = planned(budgeted(0.5, y2028=0.0, y2029=0.0, y2032=500.0, y2033=350.0))
    assert periods(enough) == ["P2", "P2"]


def test_rule_18_binds_what_is_spent_is_not_carried() -> None:
    """2029 has 400 and may leave 200 to the 150 of 2030; after one pump it leaves only 100."""
    found = planned(year_by_year(400.0, 150.0))
    assert len(found.works) == 1
    assert found.breaches == []
    assert periods(planned(year_by_year(400.0, 200.0))) == ["P1", "P2"]


def test_rule_18_does_not_bind_with_what_the_year_before_left() -> None:
    free, held = planned(two_pumps()), planned(budgeted(0.2, y2028=500.0, y2029=500.0))
    assert periods(held) == ["P1", "P1"]
    assert held.pv_cost == pytest.approx(free.pv_cost)
    assert held.breaches == []


def test_rule_18_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("18_budget", year_by_year(400.0, 150.0), tmp_path, request)


def test_rule_18_breach_is_named() -> None:
    station = budgeted(0.1, y2028=500.0, y2029=500.0)
    assert rules_broken(station, FIRST, SECOND) == {"budget"}
    assert found_in(station, FIRST, SECOND)[0].text == "2029: 600.0 are paid, 550.0 may be."
    assert rules_broken(station, FIRST, LATER) == set()
    close = year_by_year(400.0, 150.0)
    assert rules_broken(close, FIRST, LATER) == {"budget"}
    assert found_in(close, FIRST, LATER)[0].text == "2030: 300.0 are paid, 250.0 may be."
    assert rules_broken(budgeted(0.2, y2028=500.0, y2029=500.0), FIRST, SECOND) == set()
