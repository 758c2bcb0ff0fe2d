"""Rule 14: statutory dates are kept, whatever the work costs; once with grace, where there is one.

P1 opens on 2029-01-01; a work of 10 days from day 5 ends on 2029-01-16 at the earliest.
"""

from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
from bundler.errors import NoPlanError
from tests.judge.small import broken
from tests.rules.pumps import family, of, parts, unit, work
from tests.rules.rule import has_stored_lp, planned

P1, P2 = of("PUMP-1", "P1"), of("PUMP-1", "P2")


def station(due_date: str = "", grace: float = 0.0, **cells: Any) -> Case:
    """Return a pump that is not worth a work, with a statutory date."""
    row = {"component": "PUMP-1", "due_date": due_date, "grace_days": grace}
    return unit(
        parts("PUMP-1"), [family(life_years=500.0)], [work()],
        mandates=[row | cells] if due_date else [],
    )  # fmt: skip


def test_rule_14_binds_and_the_work_is_done_in_time() -> None:
    assert planned(station()).works == set()
    plan = planned(station("2029-01-16"))
    assert plan.works == {P1}
    assert plan.breaches == []


def test_rule_14_binds_again_after_the_interval() -> None:
    """Done on day 746; life ends on day 7304. 18 years later nothing is due, 15 years later it is.

    Done again in P2, on day 2207, 15 years end after life does, and 5 years do not.
    """
    assert planned(station("2029-01-16", interval_months=216.0)).works == {P1}
    assert planned(station("2029-01-16", interval_months=180.0)).works == {P1, P2}
    with pytest.raises(NoPlanError, match="PUMP-1: no choice of works keeps its statutory dates"):
        planned(station("2029-01-16", interval_months=60.0))


def test_rule_14_binds_by_the_day_and_grace_is_counted_in_days() -> None:
    with pytest.raises(NoPlanError, match="first due 2029-01-15"):
        planned(station("2029-01-15"))
    plan = planned(station("2029-01-15", grace=1.0))
    assert plan.works == {P1}
    assert plan.breaches == []


def test_rule_14_does_not_bind_after_the_end_of_life() -> None:
    free, plan = planned(station()), planned(station("2047-01-01"))
    assert plan.works == set()
    assert plan.pv_cost == pytest.approx(free.pv_cost, rel=1e-12)


def test_rule_14_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """Every course holds the work in P1; there is none without it."""
    has_stored_lp("14_statutory", station("2029-01-16"), tmp_path, request)


def test_rule_14_breach_late_or_not_done() -> None:
    assert broken(station("2029-01-16"), P1) == []
    assert broken(station("2029-01-15", grace=1.0), P1) == []
    assert broken(station("2029-01-15"), P1) == ["mandate"]
    assert broken(station("2029-01-16"), P2) == ["mandate"]
    assert broken(station("2029-01-16")) == ["mandate"]
    again = station("2029-01-16", interval_months=60.0, grace_days=0.0)
    assert broken(again, P1) == ["mandate"]
