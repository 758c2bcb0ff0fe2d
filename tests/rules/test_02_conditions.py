"""Rule 2: a work sits where its conditions hold for its whole length, with make-ready and test."""

from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
from tests.cases import table
from tests.judge.small import broken
from tests.rules.pumps import family, of, outage, parts, unit, work
from tests.rules.rule import Planned, has_stored_lp, planned

P1, P2 = of("PUMP-1", "P1"), of("PUMP-1", "P2")
TURNING = {"kind": "planned", "condition": "T", "to_anchor": "start"}


def station(season: tuple[int, int] | None = None, notice: float = 0.0, **cells: Any) -> Case:
    """Return one pump; P1 opens on 2029-01-01, P2 on 2032-07-01; T holds to day 20 of each."""
    months = dict(zip(("season_from_month", "season_to_month"), season or (), strict=False))
    drained: dict[str, Any] = {"condition": "D", "name": "drained", "notice_months": notice}
    return unit(
        parts("PUMP-1"), [family(max_works_count=1)], [work(**cells)],
        outages=[outage("P1", 2029), outage("P2", 2032, start_date="2032-07-01")],
        conditions=[drained | months, {"condition": "T", "name": "turning"}],
        windows=[
            {"kind": "planned", "condition": "D", "from_days": 5.0, "to_days": -5.0},
            TURNING | {"to_days": 20.0},
        ],
    )  # fmt: skip


def reason(plan: Planned, period: str) -> str:
    out = plan.choices.ruled_out
    [found] = out.loc[out["period"] == period, "reason"]
    return str(found)


def test_rule_02_binds_by_season() -> None:
    """Worth most in P1; from June to November the condition holds in P2 only."""
    assert planned(station()).works == {P1}
    plan = planned(station((6, 11)))
    assert plan.works == {P2}
    assert reason(plan, "P1") == "condition"
    assert plan.breaches == []


def test_rule_02_binds_by_make_ready_and_test_in_the_window() -> None:
    """4 + 25 + 3 days in 30: the outage is two days longer, or the work is not done there."""
    plan = planned(station(days=25.0, make_ready_days=4.0, test_days=3.0))
    assert plan.works == {P1}
    assert plan.picked.extension_days == pytest.approx({"P1": 2.0})
    assert plan.breaches == []
    plan = planned(station(days=35.0, make_ready_days=4.0, test_days=3.0))
    assert plan.works == set()
    assert reason(plan, "P1") == "window"


def test_rule_02_binds_by_the_condition_of_the_test() -> None:
    """The work of 10 days ends on day 15 at the earliest, T on day 20."""
    assert planned(station(test_condition="T", test_days=5.0)).works == {P1}
    plan = planned(station(test_condition="T", test_days=6.0))
    assert plan.works == set()
    assert reason(plan, "P1") == "test"


def test_rule_02_binds_by_notice() -> None:
    """25 months after 2027-01-01 P1 has begun."""
    plan = planned(station(notice=25.0))
    assert plan.works == {P2}
    assert reason(plan, "P1") == "notice"


def on_line(hours: float, months: tuple[float, float]) -> Case:
    """Return one pump that is worked on in a season of 2028, on line, by one head."""
    case = unit(
        parts("PUMP-1"), [family(max_works_count=1)], [work()],
        outages=[outage("P1", 2029)],
        conditions=[{"condition": "D", "name": "drained", "season_from_month": months[0],
                     "season_to_month": months[1]}],
        windows=[{"kind": "on_line", "condition": "D"}],
        crews=[{"resource": "M", "kind": "on_line", "heads_count": 1.0, "direct_share": 0.5}],
    )  # fmt: skip
    hour = {"family": "PUMP", "action": "replace", "resource": "M", "work_hours": hours}
    tables = dict(case.tables) | {"action_hours": table("action_hours", [hour])}
    return Case(case.settings, tables, {})


def test_rule_02_binds_the_crews_of_a_season_on_line() -> None:
    """One head: 50 / 7 x 0.5 h a day, 110.7 h in January; 500 h would fit into a year."""
    january = of("PUMP-1", "U1-2027")
    assert planned(on_line(110.0, (1, 1))).works == {january}
    plan = planned(on_line(111.0, (1, 1)))
    assert january not in plan.works
    assert plan.breaches == []
    assert broken(on_line(111.0, (1, 1)), january) == ["crews"]
    assert planned(on_line(500.0, (1, 12))).works == {january}


def test_rule_02_does_not_bind_where_all_holds() -> None:
    plain = planned(station())
    for case in (
        station((1, 12)),
        station((10, 7)),
        station(notice=24.0),
        station(days=10.0, make_ready_days=10.0, test_days=10.0),
        station(test_condition="T", test_days=5.0),
    ):
        plan = planned(case)
        assert plan.works == plain.works
        assert plan.pv_cost == pytest.approx(plain.pv_cost, rel=1e-12)
        assert plan.breaches == []


def test_rule_02_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """32 days in 30: two of them are bought."""
    case = station(days=25.0, make_ready_days=4.0, test_days=3.0)
    has_stored_lp("02_conditions", case, tmp_path, request)


def test_rule_02_breach_a_work_where_its_conditions_do_not_hold() -> None:
    assert broken(station((6, 11)), P1) == ["conditions"]
    assert broken(station((6, 11)), P2) == []
    assert broken(station(days=25.0, make_ready_days=4.0, test_days=3.0), P1) == ["outage_days"]
    assert broken(station(days=23.0, make_ready_days=4.0, test_days=3.0), P1) == []
    assert broken(station(test_condition="T", test_days=6.0), P1) == ["test"]
    assert broken(station(test_condition="T", test_days=5.0), P1) == []
    assert broken(station(notice=25.0), P1) == ["notice"]
    assert broken(station(notice=24.0), P1) == []
