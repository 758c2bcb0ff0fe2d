"""The tables of a plan on a small station, by hand."""

from typing import Any

import pytest

from bundler.run import Run, plan_case
from bundler.solve.highs import Options
from tests.cases import case, one_unit, settings

EXACT = Options(gap_share=0.0)


def plan(base: Any = None, **more: Any) -> Run:
    return plan_case(case(base, **one_unit(**more)), EXACT)


def two_pumps(**more: Any) -> dict[str, Any]:
    """Return two equal pumps, old enough to be worth replacing, and crews for one of them."""
    return {
        "components": [
            {"component": f"PUMP-{n}", "unit": "U1", "family": "PUMP", "position_count": n,
             "renewed_date": "1990-01-01"}
            for n in (1, 2)
        ],
        "crews": [{"resource": "M", "kind": "planned", "heads_count": 4.0, "direct_share": 0.5}],
        "outages": [
            {"outage": "P1", "unit": "U1", "kind": "planned", "start_date": "2029-01-01",
             "days": 40.0, "freeze_date": "2028-01-01"},
        ],
    } | more  # fmt: skip


def test_a_tight_crew_takes_one_and_defers_the_other() -> None:
    """4 heads x 50 / 7 x 0.5 x 40 d = 571 h carry one pump of 500 h: one in, one in the register."""
    run = plan(**two_pumps())
    work, register = run.tables["work_list"], run.tables["deferrals"]
    assert len(work) == 1
    assert len(register) == 1
    row = register.iloc[0]
    assert {work["component"].iloc[0], row["component"]} == {"PUMP-1", "PUMP-2"}
    assert (row["from_period"], row["to_period"]) == ("P1", "not in plan")
    assert row["carried_cost_per_year"] > 0
    assert not run.breaches


def test_the_crew_that_stops_it_is_named_and_has_a_price() -> None:
    run = plan(**two_pumps())
    reasons = run.tables["reasons"].set_index("component")
    left = reasons[reasons["decision"] == "no work"].iloc[0]
    assert left["kind"] == "stopped"
    assert "millwright hours in P1" in left["stopped_by"]
    assert "held back by millwright hours in P1" in left["sentence"]
    prices = run.tables["prices"]
    assert "millwright hours in P1" in prices["title"].iloc[0]
    assert prices["step"].iloc[0] == "1 head"
    assert prices["saved_pv_cost_per_step"].iloc[0] > 0


def test_lifting_the_stop_lets_it_in() -> None:
    """With crews for both, both go in, and the gain is what the reason promised."""
    before = plan(**two_pumps())
    more = [{"resource": "M", "kind": "planned", "heads_count": 8.0, "direct_share": 0.5}]
    after = plan(**two_pumps(crews=more))
    left = before.tables["reasons"].set_index("component")
    left = left[left["kind"] == "stopped"].iloc[0]
    assert len(after.tables["work_list"]) == 2
    gain = before.solved.objective_pv_cost - after.solved.objective_pv_cost
    assert gain == pytest.approx(left["chosen_pv_cost"] - left["best_pv_cost"], abs=0.2)


def test_the_next_window_counts_its_added_days() -> None:
    """Planned for P2, where 36 d of work in a window of 30 d add 6 d of 120 a day to 300."""
    action = {"family": "PUMP", "action": "replace", "cost": 300.0, "days": 36.0, "conditions": "D"}
    pin = [{"component": "PUMP-1", "outage": "P2", "rule": "in", "who": "manager", "why": "agreed"},
           {"component": "PUMP-1", "outage": "P1", "rule": "out", "who": "manager", "why": "agreed"}]  # fmt: skip
    run = plan(actions=[action], pins=pin)
    assert list(run.tables["work_list"]["period"]) == ["P2"]
    assert run.picked.extension_days == pytest.approx({"P2": 6.0})
    outages = run.tables["outages"].set_index("outage")
    assert outages.loc["P2", "extension_days"] == 6.0
    assert not run.breaches


def test_risk_of_an_exponential_by_year() -> None:
    """Mean life 20 years, a failure costs 200 + 5 d x 100: 35 a year, less while it is shut."""
    family = {"family": "PUMP", "name": "pump", "area": "TB", "curve": "exponential",
              "life_years": 20.0, "forced_days": 5.0, "repair_cost": 200.0}  # fmt: skip
    run = plan(families=[family])
    risk = run.tables["risk_by_year"].set_index("year")
    assert risk.loc[2028, "risk_cost"] == pytest.approx(35.0, rel=3e-3)
    shut = 35 * (1 - 40 / 365.25)
    assert risk.loc[2029, "risk_cost"] == pytest.approx(shut, rel=5e-3)
    assert list(run.tables["work_list"]["component"]) == []  # no ageing: never worth it


def test_cash_falls_where_it_is_paid() -> None:
    """One work of 300 in the middle of the slack of P1: all of it in January 2029."""
    pin = [{"component": "PUMP-1", "outage": "P1", "rule": "in", "who": "manager", "why": "agreed"}]
    run = plan(pins=pin)
    cash = run.tables["cash_flow"].set_index("year")
    assert cash.loc[2029, "total_cost"] == 300.0
    assert cash["total_cost"].sum() == 300.0
    assert (cash.loc[2029, "labour_cost"], cash.loc[2029, "delivery_cost"]) == (50.0, 250.0)


def test_discount_and_escalation_on_actual_dates() -> None:
    """300 paid with labour in the middle and material at the start, 6 % real, 1 % growth."""
    pin = [{"component": "PUMP-1", "outage": "P1", "rule": "in", "who": "manager", "why": "agreed"}]
    base = settings(discount_share_per_year=0.06, escalation_share_per_year=0.01)
    run = plan(base, pins=pin)
    start = (731 + 5 + 10) / 365.25
    middle = start + 5 / 365.25
    factor = 1.01 / 1.06
    wanted = 250 * factor**start + 50 * factor**middle
    assert run.picked.courses["planned_pv_cost"].sum() == pytest.approx(wanted, rel=1e-9)
