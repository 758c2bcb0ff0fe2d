"""Hours by trade within the crews of an outage, the priced overtime band, and the site's pool."""

from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
from tests.cases import case, one_unit, settings
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

#: 9 heads x 50 h / 7 d x 0.5 x 30 d = 964 h in the window, where both pumps take 1,000
FEW = edited("crews", heads_count=9.0)
BAND = settings(overtime_share=0.1, overtime_weeks=6.0)


def overlapping(pool_heads: float) -> Case:
    """Return two units whose outages of 40 d share 30 d; each has one pump of 140 head days."""
    plain = one_unit()
    starts = {"P1": "2029-01-01", "P2": "2033-01-01", "Q1": "2029-01-11", "Q2": "2034-01-01"}
    outages: list[dict[str, Any]] = [
        {"outage": name, "unit": "U1" if name[0] == "P" else "U2", "kind": "planned",
         "start_date": start, "days": 40.0, "freeze_date": "2028-01-01"}
        for name, start in starts.items()
    ]  # fmt: skip
    return case(
        **one_unit(
            units=[plain["units"][0], dict(plain["units"][0]) | {"unit": "U2"}],
            outages=outages,
            components=[
                {"component": f"PUMP-{n}", "unit": f"U{n}", "family": "PUMP"} for n in (1, 2)
            ],
            resources=edited("resources", pool_heads_count=pool_heads),
        )
    )


def test_rule_11_binds_crews_of_one_outage_do_one_pump() -> None:
    found = planned(two_pumps(crews=FEW))
    assert periods(found) == ["P1", "P2"]
    assert found.breaches == []


def test_rule_11_binds_heads_of_the_site() -> None:
    """25 of the 30 days of each pump lie in the overlap: 2 x 116.7 head days of 30 d x heads."""
    assert periods(planned(overlapping(8.0))) == ["P1", "Q1"]
    assert periods(planned(overlapping(7.0))) in (["P1", "Q2"], ["P2", "Q1"])


def test_rule_11_does_not_bind_where_crews_suffice() -> None:
    free, held = planned(two_pumps(crews=[])), planned(two_pumps())
    assert periods(held) == ["P1", "P1"]
    assert held.pv_cost == pytest.approx(free.pv_cost)


def test_rule_11_does_not_bind_where_overtime_is_worth_it() -> None:
    """36 h are missing in 30 of 40 d, where three quarters of the overtime help, for 0.05 each."""
    free, held = planned(two_pumps()), planned(two_pumps(BAND, crews=FEW))
    assert periods(held) == ["P1", "P1"]
    missing = 1000 - 9 * 50 / 7 * 0.5 * 30
    assert held.pv_cost - free.pv_cost == pytest.approx(missing / (30 / 40) * 0.05)
    assert held.breaches == []


def test_rule_11_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("11_crews", two_pumps(BAND, crews=FEW), tmp_path, request)


def test_rule_11_breach_is_named() -> None:
    station = two_pumps(crews=FEW)
    assert rules_broken(station, FIRST, SECOND) == {"crews"}
    assert "1000.0 h are planned, 964.3 h are there" in found_in(station, FIRST, SECOND)[0].text
    assert rules_broken(station, FIRST, LATER) == set()
    both = (FIRST, ("PUMP-2", "replace", "Q1"))
    assert rules_broken(overlapping(7.0), *both) == {"pool"}
    assert rules_broken(overlapping(8.0), *both) == set()
