"""Rules 9 and 10: an isolation, a scaffold or an opening that works share is paid once."""

from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
from tests.judge.small import broken
from tests.rules.pumps import family, of, parts, unit, work
from tests.rules.rule import has_stored_lp, planned

BOTH = (of("PUMP-1", "P1"), of("PUMP-2", "P1"))
MADE = [("SET", "U1", "", "P1")]


def station(days: float = 10.0, pumps: int = 2, **more: Any) -> Case:
    """Return pumps that need an access of 90 k$ which takes 5 days; `more` are tables."""
    kind = [
        {"kind": "planned", "name": "planned outage", "standing_cost_per_day": 20.0},
        {"kind": "on_line", "name": "on line"},
    ]
    return unit(
        parts(*(f"PUMP-{number + 1}" for number in range(pumps))),
        [family(max_works_count=1)],
        [work(days)],
        outage_kinds=kind,
        access_sets=[{"access_set": "SET", "name": "isolation", "setup_cost": 90.0, "setup_days": 5.0}],
        access_members=[{"access_set": "SET", "family": "PUMP"}],
        **more,
    )  # fmt: skip


def given() -> dict[str, Any]:
    return {"base_access": [{"kind": "planned", "access_set": "SET"}]}


def test_rule_09_binds_and_work_waits_for_its_isolation() -> None:
    """D has 30 days, and the isolation takes 5: 25 days of work fit, 26 are ruled out."""
    assert {one[2] for one in planned(station(25.0)).works} == {"P1"}
    plan = planned(station(26.0))
    assert plan.works == set()
    assert set(plan.choices.ruled_out["reason"]) >= {"window"}


def test_rule_09_does_not_bind_a_work_that_needs_no_isolation() -> None:
    """The same 26 days fit where another family needs the isolation."""
    case = station(26.0)
    free = Case(case.settings, case.tables | {"access_members": case["access_members"][:0]}, {})
    plan = planned(free)
    assert plan.works == set(BOTH)
    assert plan.picked.access.empty
    assert plan.breaches == []


def test_rule_09_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("09_isolation", station(25.0, pumps=1), tmp_path, request)


def test_rule_09_breach_isolation_not_made_or_too_late() -> None:
    case = station(25.0)
    assert broken(case, BOTH[0]) == ["access"]
    assert broken(case, BOTH[0], access=MADE) == []
    assert broken(case, BOTH[0], access=[("SET", "U1", "", "P2")]) == ["access"]
    assert broken(station(26.0), BOTH[0], access=MADE) == ["outage_days"]


def test_rule_10_binds_and_the_scaffold_is_paid_once_for_both() -> None:
    """Two pumps cost their two courses and one scaffold; a second pump adds no scaffold."""
    one, two = planned(station(pumps=1)), planned(station())
    assert two.works == set(BOTH)
    assert list(two.picked.access["access"]) == ["P1.SET"]
    courses = two.choices.courses.set_index("course")["pv_cost"]
    assert two.pv_cost == pytest.approx(courses[list(two.picked.courses["course"])].sum() + 90.0)
    assert two.pv_cost - one.pv_cost == pytest.approx(one.pv_cost - 90.0)
    assert two.breaches == []


def test_rule_10_binds_and_what_does_not_pay_alone_pays_together() -> None:
    """Each pump saves less than the scaffold costs, both together more."""
    saved = {pumps: _saved(pumps) for pumps in (1, 2)}
    assert 0 < saved[1] < 90 < saved[2]
    assert planned(_marginal(1)).works == set()
    assert len(planned(_marginal(2)).works) == 2


def _marginal(pumps: int, **more: Any) -> Case:
    case = station(pumps=pumps, **more)
    families = case["families"].assign(life_years=60.0)
    return Case(case.settings, case.tables | {"families": families}, {})


def _saved(pumps: int) -> float:
    """Return what the works save where the scaffold costs nothing."""
    plan = planned(_marginal(pumps, **given()))
    idle = plan.choices.courses.groupby("component")["risk_pv_cost"].max().sum()
    return float(idle - plan.pv_cost)


def test_rule_10_does_not_bind_where_the_scaffold_is_there_anyway() -> None:
    plan, paid = planned(station(**given())), planned(station())
    assert plan.works == paid.works == set(BOTH)
    assert paid.pv_cost - plan.pv_cost == pytest.approx(90.0)
    assert plan.breaches == []


def test_rule_10_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("10_scaffold", station(), tmp_path, request)


def test_rule_10_breach_scaffold_missing_for_the_second() -> None:
    case = station()
    assert broken(case, *BOTH, access=MADE) == []
    assert broken(case, *BOTH) == ["access"]
    assert broken(case, BOTH[0], of("PUMP-2", "P2"), access=MADE) == ["access"]
    both = [*MADE, ("SET", "U1", "", "P2")]
    assert broken(case, BOTH[0], of("PUMP-2", "P2"), access=both) == []
