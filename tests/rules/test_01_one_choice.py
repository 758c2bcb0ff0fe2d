"""Rule 1: every component follows exactly one course."""

from pathlib import Path

import pytest

from bundler.case import Case
from tests.cases import settings
from tests.judge.small import broken
from tests.rules.pumps import family, of, parts, unit, work
from tests.rules.rule import has_stored_lp, planned


def station(life_years: float = 15.0) -> Case:
    """Return one pump that can be renewed or, for less, half renewed, in each of two outages."""
    half = work(action="refurbish", cost=45.0, restoration_share=0.5)
    return unit(parts("PUMP-1"), [family(life_years=life_years)], [work(), half])


def test_rule_01_binds_and_a_component_follows_one_course() -> None:
    """Both works would pay for themselves in P1; one of them goes in."""
    plan = planned(station())
    alone = planned(unit(parts("PUMP-1"), [family()], [work()]))
    half = planned(
        unit(
            parts("PUMP-1"),
            [family()],
            [work(action="refurbish", cost=45.0, restoration_share=0.5)],
        )
    )
    assert of("PUMP-1", "P1") in alone.works
    assert of("PUMP-1", "P1", "refurbish") in half.works
    assert len([one for one in plan.works if one[2] == "P1"]) == 1
    assert len(plan.picked.courses) == 1
    assert plan.pv_cost <= min(alone.pv_cost, half.pv_cost)
    assert plan.breaches == []


def test_rule_01_does_not_bind_where_nothing_is_worth_doing() -> None:
    """A pump that hardly ever fails follows the course without works; its cost is its risk."""
    plan = planned(station(life_years=500.0))
    assert plan.works == set()
    courses = plan.choices.courses.set_index("component")
    assert plan.pv_cost == pytest.approx(courses["risk_pv_cost"].min(), abs=1.0)
    assert plan.breaches == []


def test_rule_01_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("01_one_choice", station(), tmp_path, request)


def test_rule_01_breach_two_works_at_once_or_too_many() -> None:
    case = station()
    assert broken(case, of("PUMP-1", "P1"), of("PUMP-1", "P1", "refurbish")) == ["one_work"]
    assert broken(case, of("PUMP-1", "P1"), of("PUMP-1", "P2", "refurbish")) == []
    single = Case(settings(max_actions_count=1), case.tables, {})
    assert broken(single, of("PUMP-1", "P1"), of("PUMP-1", "P2")) == ["work_count"]
