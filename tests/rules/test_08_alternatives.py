"""Rule 8: replace, repair or inspect: one of them at a time."""

from pathlib import Path

import pytest

from bundler.case import Case
from tests.judge.small import broken
from tests.rules.pumps import family, of, parts, unit, work
from tests.rules.rule import has_stored_lp, planned

REPLACE, REPAIR = work(cost=100.0), work(action="repair", cost=30.0, restoration_share=0.6)


def station(repair_days: float = 10.0) -> Case:
    """Return a pump that can be replaced or repaired; the repair may be too long for an outage."""
    return unit(parts("PUMP-1"), [family()], [REPLACE, REPAIR | {"days": repair_days}])


def test_rule_08_binds_and_one_alternative_is_taken() -> None:
    """Each alternative alone goes into P1; with both there, one does, and it costs no more."""
    plan = planned(station())
    for action in ("replace", "repair"):
        own = REPLACE if action == "replace" else REPAIR
        alone = planned(unit(parts("PUMP-1"), [family()], [own]))
        assert of("PUMP-1", "P1", action) in alone.works
        assert plan.pv_cost <= alone.pv_cost + 1e-6
    periods = [period for _, _, period in plan.works]
    assert len(periods) == len(set(periods))
    assert plan.breaches == []


def test_rule_08_does_not_bind_where_only_one_fits() -> None:
    """A repair of 60 days fits no outage of 40 with at most 10 more: the plan is that without it."""
    plan = planned(station(repair_days=60.0))
    alone = planned(unit(parts("PUMP-1"), [family()], [REPLACE]))
    assert plan.works == alone.works
    assert plan.pv_cost == pytest.approx(alone.pv_cost)


def test_rule_08_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("08_alternatives", station(), tmp_path, request)


def test_rule_08_breach_both_alternatives_in_one_outage() -> None:
    case = station()
    both = (of("PUMP-1", "P1"), of("PUMP-1", "P1", "repair"))
    assert broken(case, *both) == ["one_work"]
    assert broken(case, both[0], of("PUMP-1", "P2", "repair")) == []
    assert broken(case, both[1]) == []
