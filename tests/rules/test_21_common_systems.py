"""Rule 21: a system common to several units is worked on while these are as it needs them.

Two units; U1 is out on days 731 to 771, U2 on days 751 to 791 (2029). T holds in an outage.
"""

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
from tests.cases import case, one_unit, settings
from tests.judge.small import broken
from tests.rules.pumps import family
from tests.rules.rule import has_stored_lp, planned

UNIT = {"capacity_mw": 800.0, "day_value_cost_per_day": 100.0, "first_sync_date": "2007-01-01"}
OUTAGE = {"kind": "planned", "days": 40.0, "freeze_date": "2028-01-01"}
BOTH = {"condition": "T", "rule": "holds", "why": "both halls are needed"}
NONE = {"condition": "T", "rule": "absent"}


def station(days: float, *needs: dict[str, Any]) -> Case:
    """Return an old crane common to two units, on which a work on line takes so many days."""
    tables = one_unit(
        units=[UNIT | {"unit": "U1"}, UNIT | {"unit": "U2"}],
        outages=[
            OUTAGE | {"outage": "P1", "unit": "U1", "start_date": "2029-01-01"},
            OUTAGE | {"outage": "P2", "unit": "U2", "start_date": "2029-01-21"},
        ],
        conditions=[
            {"condition": "any", "name": "any state"},
            {"condition": "T", "name": "turbine open"},
        ],
        windows=[
            {"kind": "planned", "condition": "T"},
            {"kind": "on_line", "condition": "any"},
        ],
        families=[family("CRANE", max_works_count=1)],
        actions=[
            {"family": "CRANE", "action": "upgrade", "cost": 100.0, "days": days,
             "conditions": "any"},
        ],
        action_hours=[],
        components=[{"component": "CRANE", "unit": "station", "family": "CRANE"}],
        common_needs=[{"family": "CRANE"} | need for need in needs],
    )  # fmt: skip
    return case(settings(horizon_end_date=date(2031, 12, 31)), **tables)


def of(year: int) -> tuple[str, str, str]:
    return "CRANE", "upgrade", f"station-{year}"


def test_rule_21_binds_and_the_work_waits_for_its_units() -> None:
    """Both are open together on days 751 to 771, in 2029; free, it is done in the first year."""
    assert planned(station(20.0)).works == {of(2027)}
    plan = planned(station(20.0, BOTH))
    assert plan.works == {of(2029)}
    assert plan.breaches == []
    [row] = plan.choices.ruled_out.to_dict("records")
    assert row["reason"] == "common system"
    assert row["detail"].endswith(
        "T (turbine open) has to hold in all units, both halls are needed"
    )


def test_rule_21_binds_by_the_day() -> None:
    assert planned(station(21.0, BOTH)).works == set()
    some = BOTH | {"least_count": 1.0}
    assert planned(station(60.0, some)).works == {of(2029)}  # days 731 to 791
    assert planned(station(61.0, some)).works == set()


def test_rule_21_does_not_bind_away_from_the_outages() -> None:
    free, plan = planned(station(300.0)), planned(station(300.0, NONE))
    assert plan.works == free.works == {of(2027)}
    assert plan.pv_cost == pytest.approx(free.pv_cost, rel=1e-12)
    assert plan.breaches == []


def test_rule_21_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """One course with the work, in 2029, and one without."""
    has_stored_lp("21_common_systems", station(20.0, BOTH), tmp_path, request)


def test_rule_21_breach_a_work_while_its_units_are_not_as_it_needs_them() -> None:
    assert broken(station(20.0, BOTH), of(2027)) == ["common_system"]
    assert broken(station(20.0, BOTH), of(2029)) == []
    assert broken(station(21.0, BOTH), of(2029)) == ["outage_days"]
    # absent from day 791 to the end of the year, 305 days
    assert broken(station(305.0, NONE), of(2029)) == []
    assert broken(station(306.0, NONE), of(2029)) == ["outage_days"]
