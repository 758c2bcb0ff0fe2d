from dataclasses import replace

import pytest

from bundler.judge import judge, money, recomputed
from bundler.judge.reading import read_plan
from tests.judge.small import O1, O2, P1, P2, V1, added, broken, edited, outage, plan, small

RATES = {"discount_share_per_year": 0.05, "escalation_share_per_year": 0.01}
STAGED = {
    "actions": edited("actions", 0, lead_months=12.0),
    "approval_times": [{"lead_from_months": 0.0, "approval_months": 3.0}],
}


def pv(day: float, growth: float = 0.01) -> float:
    return float(((1 + growth) / 1.05) ** (day / 365.25))


def test_a_work_without_lead_is_paid_when_it_is_done() -> None:
    # 500 h x 0.1 = 50 labour, 250 material; start day 5, slack 20 days, so planned on day 15
    case = small(RATES)
    costs = recomputed(case, plan(case, P1))
    hand = 250 * pv(O1 + 15) + 50 * pv(O1 + 20)
    assert costs["planned_pv_cost"] == pytest.approx(hand, rel=1e-12)
    assert costs["objective_pv_cost"] == pytest.approx(hand + costs["risk_pv_cost"], rel=1e-12)


def test_a_long_lead_is_paid_in_stages() -> None:
    # approval 2027-04-01, day 90; delivery 2028-04-01, day 456: 366 days of lead
    case = small(RATES, **STAGED)
    delivery = O1 + 15 - 60
    order = delivery - 366
    hand = 250 * (0.2 * pv(order) + 0.5 * pv(order + 183) + 0.3 * pv(delivery)) + 50 * pv(O1 + 20)
    assert recomputed(case, plan(case, P1))["planned_pv_cost"] == pytest.approx(hand, rel=1e-12)
    short = small(RATES | {"staged_from_months": 13.0}, **STAGED)
    hand = 250 * pv(delivery) + 50 * pv(O1 + 20)
    assert recomputed(short, plan(short, P1))["planned_pv_cost"] == pytest.approx(hand, rel=1e-12)


def test_labour_is_learned_and_never_more_than_the_cost(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bundler.judge.works.learning_factors", lambda site, facts: {P1: 0.8})
    case = small()
    assert recomputed(case, plan(case, P1))["planned_pv_cost"] == pytest.approx(250 + 40)
    dear = edited("action_hours", 0, work_hours=5000.0)
    case = small(action_hours=dear)
    assert recomputed(case, plan(case, P1))["planned_pv_cost"] == pytest.approx(240)


def test_what_may_be_found_is_paid_in_the_middle_of_the_work() -> None:
    """A quarter of 80, of which a quarter of 400 h at 0.1 is labour: 10 and 10, on day 20.

    The day it takes is added only if the chance is high enough.
    """
    found = {"family": "PUMP", "action": "replace", "discovery": "crack"}
    tables = {
        "discoveries": [found | {"chance": 0.25, "cost": 80.0, "days": 8.0}],
        "discovery_hours": [found | {"resource": "M", "work_hours": 400.0}],
    }
    case = small(RATES, **tables)
    hand = 250 * pv(O1 + 15) + (50 + 10 + 10) * pv(O1 + 20)
    assert recomputed(case, plan(case, P1))["planned_pv_cost"] == pytest.approx(hand, rel=1e-12)
    case = small(RATES | {"discovery_from_chance": 0.25}, **tables)
    hand = 250 * pv(O1 + 11) + (50 + 10 + 10) * pv(O1 + 20)
    assert recomputed(case, plan(case, P1))["planned_pv_cost"] == pytest.approx(hand, rel=1e-12)


def test_dose_has_its_price() -> None:
    actions = edited("actions", 0, dose_person_msv=7.0)
    case = small(RATES | {"dose_value_cost_per_person_msv": 2.0}, actions=actions)
    free = small(RATES, actions=actions)
    costs = recomputed(case, plan(case, P1))["planned_pv_cost"]
    without = recomputed(free, plan(free, P1))["planned_pv_cost"]
    assert costs - without == pytest.approx(14 * pv(O1 + 20, growth=0.0))


@pytest.mark.parametrize(("year", "paid"), [(2027, 50.0), (2028, 200.0), (2029, 50.0)])
def test_budgets_of_each_year(year: int, paid: float) -> None:
    limits = {2027: 50.0, 2028: 200.0, 2029: 50.0}
    rows = [{"year": one, "limit_cost": limit} for one, limit in limits.items()]
    assert broken(small(**STAGED, budgets=rows), P1) == []
    tight = [row | {"limit_cost": paid - 1} if row["year"] == year else row for row in rows]
    case = small(**STAGED, budgets=tight)
    found = judge(case, plan(case, P1))
    assert [(breach.rule, breach.place) for breach in found] == [("budget", str(year))]
    assert found[0].amount == pytest.approx(1.0)


def carried(share: float, **budgets: float) -> list[str]:
    """Return the years that lack money for P1 (300 in 2029) and P2 (300 in 2033)."""
    rows = [{"year": int(year[1:]), "limit_cost": limit} for year, limit in budgets.items()]
    case = small({"carry_over_share": share}, budgets=rows)
    return [breach.place for breach in judge(case, plan(case, P1, P2))]


def test_what_a_year_leaves_is_carried_into_the_next() -> None:
    """At most a share of its budget, year by year, and never past a year without a budget."""
    assert carried(0.0, y2028=200.0, y2029=200.0) == ["2029"]
    assert carried(0.5, y2028=200.0, y2029=200.0) == []
    assert carried(0.49, y2028=200.0, y2029=200.0) == ["2029"]
    # 2027 gives 100 to 2028, which keeps no more than half of its own 100
    assert carried(0.5, y2027=200.0, y2028=100.0, y2029=250.0) == []
    assert carried(0.5, y2027=200.0, y2028=100.0, y2029=249.0) == ["2029"]
    # 2029 leaves 10 of its own 310
    assert carried(0.5, y2029=310.0, y2030=0.0, y2031=0.0, y2032=400.0, y2033=100.0) == []
    assert carried(0.5, y2027=900.0, y2029=299.0) == ["2029"]


def test_access_is_paid_once_at_its_first_possible_day() -> None:
    tables = {
        "access_sets": [{"access_set": "SC", "setup_cost": 40.0}],
        "access_members": [
            {"access_set": "SC", "family": "PUMP"},
            {"access_set": "SC", "family": "VALVE"},
        ],
        "access_hours": [{"access_set": "SC", "resource": "M", "work_hours": 80.0}],
    }
    made = [("SC", "U1", "", "O1")]
    case = small(RATES, **tables)
    costs = recomputed(case, plan(case, P1, access=made))
    assert costs["access_pv_cost"] == pytest.approx(48 * pv(O1))
    grown = 48 * 1.01 ** (O1 / 365.25) + 250 * 1.01 ** ((O1 + 15) / 365.25)
    grown += 50 * 1.01 ** ((O1 + 20) / 365.25)
    for limit, rules in ((grown + 0.001, []), (grown - 0.01, ["budget"])):
        budgets = [{"year": 2029, "limit_cost": limit}]
        assert broken(small(RATES, **tables, budgets=budgets), P1, access=made) == rules


def test_days_added_cost_the_team_and_the_output() -> None:
    shared = outage("S1", "station", "2040-01-01", 30.0)
    case = small(RATES, outages=added("outages", shared))
    facts = plan(case, extension={"O1": 2.0, "S1": 3.0})
    hand = 2 * 120 * pv(O1 + 40, growth=0.0) + 3 * 320 * pv(4748 + 30, growth=0.0)
    assert recomputed(case, facts)["extension_pv_cost"] == pytest.approx(hand)


def test_overtime_costs_its_premium() -> None:
    case = small(RATES | {"overtime_cost_ratio": 1.6})
    facts = plan(case, overtime={("O2", "M"): 50.0})
    assert recomputed(case, facts)["overtime_pv_cost"] == pytest.approx(50 * 0.06 * pv(O2 + 20))


def test_nothing_is_ordered_before_it_is_approved() -> None:
    case = small(**STAGED)
    reading = read_plan(case, plan(case, P1, P2, V1))
    assert list(money.check_orders(reading)) == []
    # a start on day 500 would mean an order on day 74, 16 days before approval
    early = replace(reading.works[0], start=500.0, span=(500.0, 510.0))
    found = list(money.check_orders(replace(reading, works=(early,))))
    assert [(breach.rule, breach.amount) for breach in found] == [("order_date", 16.0)]


def test_payments_are_counted_to_the_end() -> None:
    case = small()
    assert recomputed(case, plan(case))["planned_pv_cost"] == 0
    late = plan(case, ("V1", "overhaul", "U1-2046"))
    assert recomputed(case, late)["planned_pv_cost"] == pytest.approx(60.0)
