"""Rule 27: no more units are out at once than may be, also with the days that a plan adds."""

from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
from bundler.dates.choose import choose_dates
from bundler.errors import NoPlanError
from bundler.judge import judge
from bundler.run import facts_of
from tests.cases import case, one_unit, settings
from tests.rules.rule import has_stored_lp, planned


def two_units(most: int, work_days: float, second_start: str = "2029-02-12") -> Case:
    """Return U1 in P1 until 2029-02-10 and in P2 in 2033, and U2 in Q1 from a date on.

    The only work has 30 days of condition D in P1, which may be lengthened by up to 10 days.
    """
    plain = one_unit()
    unit = {**plain["units"][0], "unit": "U2"}
    second: dict[str, Any] = {**plain["outages"][0], "outage": "Q1", "unit": "U2"}
    more = one_unit(
        units=[*plain["units"], unit],
        outages=[*plain["outages"], second | {"start_date": second_start}],
        actions=[{**plain["actions"][0], "days": work_days}],
        families=[{**plain["families"][0], "forced_days": 60.0, "life_years": 8.0}],
    )
    return case(settings(most_units_out_count=most), **more)


def test_rule_27_binds_an_outage_is_not_lengthened_into_the_next_unit_s() -> None:
    """35 days need 5 more than P1 has; 2 are free until U2 goes out, so no work fits in P1."""
    free, held = planned(two_units(2, 35.0)), planned(two_units(1, 35.0))
    assert ("PUMP-1", "replace", "P1") in free.works
    assert free.picked.extension_days["P1"] == pytest.approx(5.0)
    assert not [work for work in held.works if work[2] == "P1"]
    assert held.pv_cost > free.pv_cost


def test_rule_27_binds_a_date_with_too_many_units_out_is_not_taken() -> None:
    with pytest.raises(NoPlanError, match="P1 and Q1 put more than 1 unit out at once for 5 days"):
        choose_dates(two_units(1, 10.0, "2029-02-05"))


def test_rule_27_does_not_bind_where_the_days_are_free() -> None:
    """32 days need 2 more, which are free; and with 2 units out at once nothing is cut."""
    for most in (1, 2):
        found = planned(two_units(most, 32.0))
        assert ("PUMP-1", "replace", "P1") in found.works
        assert found.picked.extension_days["P1"] == pytest.approx(2.0)
    assert planned(two_units(1, 32.0)).pv_cost == planned(two_units(2, 32.0)).pv_cost
    drawn = two_units(1, 32.0)
    assert choose_dates(drawn).case is drawn


def test_rule_27_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("27_units_out", two_units(1, 31.5), tmp_path, request)


def test_rule_27_breach_is_named_with_its_days() -> None:
    free, held = planned(two_units(2, 35.0)), two_units(1, 35.0)
    found = judge(held, facts_of(free.choices, free.picked))
    assert [(one.rule, one.place) for one in found] == [("units_out", "P1 Q1")]
    assert found[0].amount == pytest.approx(3.0)
    assert planned(held).breaches == []
