"""Rule 15: no work before its parts are approved, ordered, delivered and kitted.

P1 opens on 2029-01-01 and its D ends on 2029-02-05; 24 months of lead and 6 of approval with 60
days to receive end on 2029-08-30.
"""

from pathlib import Path

import pytest

from bundler.case import Case
from tests.judge.small import broken
from tests.rules.pumps import family, of, parts, unit, work
from tests.rules.rule import has_stored_lp, planned

P1, P2 = of("PUMP-1", "P1"), of("PUMP-1", "P2")
BANDS = [
    {"lead_from_months": 0.0, "approval_months": 3.0},
    {"lead_from_months": 24.0, "approval_months": 6.0},
]


def station(lead_months: float) -> Case:
    """Return one pump whose parts take so long."""
    return unit(
        parts("PUMP-1"), [family(max_works_count=1)], [work(lead_months=lead_months)],
        approval_times=BANDS,
    )  # fmt: skip


def test_rule_15_binds_and_the_work_waits_for_its_parts() -> None:
    assert planned(station(0.0)).works == {P1}
    plan = planned(station(24.0))
    assert plan.works == {P2}
    assert plan.breaches == []
    out = plan.choices.ruled_out
    [row] = out[out["period"] == "P1"].to_dict("records")
    assert (row["reason"], row["ready_date"]) == ("parts", "2029-08-30")
    assert row["earliest_date"] == "2033-01-06"


def test_rule_15_binds_by_the_day() -> None:
    """19 and 3 months end on 2028-11-01, 60 days on 2028-12-31; a month more on 2029-01-30.

    D ends on 2029-02-05; 10 days from 2029-01-30 need four more, which the outage can give.
    """
    plan = planned(station(20.0))
    own = plan.choices.placements.set_index("period")
    assert own.loc["P1", "extension_days"] == 4.0
    own = planned(station(19.0)).choices.placements.set_index("period")
    assert own.loc["P1", "extension_days"] == 0.0


def test_rule_15_does_not_bind_where_parts_come_before_the_window() -> None:
    free, plan = planned(station(0.0)), planned(station(19.0))
    assert plan.works == free.works == {P1}
    assert plan.pv_cost == pytest.approx(free.pv_cost, rel=1e-12)
    assert plan.breaches == []


def test_rule_15_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """No course holds P1."""
    has_stored_lp("15_lead_time", station(24.0), tmp_path, request)


def test_rule_15_breach_a_work_before_its_parts_are_there() -> None:
    """It could only start after the window; not even the longest extension helps."""
    assert broken(station(24.0), P1) == ["outage_days"]
    assert broken(station(24.0), P1, extension={"P1": 10.0}) == ["outage_days"]
    assert broken(station(20.0), P1) == ["outage_days"]
    assert broken(station(20.0), P1, extension={"P1": 4.0}) == []
    assert broken(station(19.0), P1) == []
    assert broken(station(24.0), P2) == []
