"""Traps of the demo that rest on spares, stocks, dates, common systems and batches.

The tests are collected by test_demo.py, so that they share its plan.
"""

import numpy as np
import pandas as pd
import pytest

from bundler import Run
from bundler.judge.reading import read_plan
from bundler.judge.redundancy import group_loss_pv
from bundler.judge.stocks import stock_loss_pv
from bundler.plan.chosen import cost_parts
from bundler.report.summary import summary
from bundler.risk.spares import short_chance
from bundler.run import facts_of


def works_on(run: Run, component: str) -> dict[str, str]:
    """Return the works on a component: outage to action."""
    table = run.tables["work_list"]
    own = table[table["component"] == component]
    return dict(zip(own["period"], own["action"], strict=True))


def test_true_cost_never_rises_and_the_error_is_told(run: Run) -> None:
    """The last round's true cost is not above the first's; what courses were charged is near it;
    and the judge, by enumerating all states of all groups, finds the same cost."""
    rounds = summary(run)["rounds"]
    assert len(rounds) >= 2
    true = [each["true_pv_cost"] for each in rounds]
    assert run.solved.objective_pv_cost == pytest.approx(min(true), abs=1e-3)
    assert run.solved.objective_pv_cost <= true[0]
    errors = [abs(each["linearisation_error_pv_cost"]) for each in rounds]
    assert 0 < errors[0] < 0.005 * true[0] and errors[-1] < errors[0]
    told = cost_parts(run.choices, run.picked)["objective_pv_cost"]
    assert told == pytest.approx(run.solved.objective_pv_cost, abs=1e-3)
    reading = read_plan(run.case, facts_of(run.choices, run.picked))
    mine = run.shared.loss_pv(run.shared.plan(run.picked.works))
    assert mine == pytest.approx(group_loss_pv(reading) + stock_loss_pv(reading), rel=2e-3)


def test_trap_10_control_computers_run_out_of_cards(run: Run) -> None:
    """9 cards, 1.7 a year rising 6 %: the end is August 2031, then 0.65 failures x 25 days x 900 k$ =
    14.6 M$ a unit-year. Ageing alone says never; with the cards Q1 is renewed first, in M1, and its
    22 cards put the end off for the others."""
    stocks = run.tables["stocks"].set_index("stock").loc["CARDS"]
    assert stocks["idle_run_out_date"].startswith("2031-08")
    assert stocks["run_out_date"] == "never" or stocks["run_out_date"] > "2033"
    assert pytest.approx(14_600, rel=0.01) == 0.65 * 25 * 900
    assert works_on(run, "Q1-DCC") == {"M1": "replace"}
    assert stocks["without_pv_cost"] > 5 * stocks["loss_pv_cost"]
    ageing = run.case["families"].set_index("family").loc["DCC"]
    assert ageing["life_years"] == 30 and ageing["shape_ratio"] == 1.2
    each = next(one for one in run.shared.run_outs if one.name == "CARDS")
    plan = dict(run.shared.plan(run.picked.works))
    idle = dict(run.shared.plan(run.picked.works.iloc[:0]))
    first = {**idle, "Q1-DCC": plan["Q1-DCC"]}
    third = {**idle, "Q3-DCC": _renewed_in(run, "Q3-DCC", "M3")}
    assert each.loss_pv(first) < each.loss_pv(third) < each.loss_pv(idle)


def _renewed_in(run: Run, component: str, period: str):  # type: ignore[no-untyped-def]
    """Return what a component does that is replaced in one outage only."""
    own = run.courses.eligible
    own = own[(own["component"] == component) & (own["period"] == period)]
    return run.shared.doing(component, own[own["action"] == "replace"])


def test_trap_11_one_spare_transformer_for_four_units(run: Run) -> None:
    """About 9 % chance that another one fails within 46 months of a first; the spare is worth far
    more than it costs, a second one less than it costs."""
    each = next(one for one in run.shared.spares if one.name == "MOT")
    assert each.spares_count == 1 and len(each.members) == 4
    family = run.case["families"].set_index("family").loc["MOT"]
    shape, life = family["shape_ratio"], family["life_years"]
    ages = {"Q2": 31.4, "Q3": 29.9, "Q4": 11.1}  # at the start of M1, 2030-09
    others = sum(shape / life * (age / life) ** (shape - 1) for age in ages.values())
    assert short_chance(np.array(others * 46 / 12), 1) == pytest.approx(0.09, abs=0.01)
    told = run.tables["stocks"].set_index("stock").loc["MOT"]
    assert told["without_pv_cost"] - told["loss_pv_cost"] > 10 * told["item_cost"]
    assert 0 < told["more_saves_pv_cost"] < told["item_cost"] and not told["is_worth_buying"]


def test_trap_12_a_bundle_brings_its_drain_valves(run: Run) -> None:
    """A new reheater bundle (11,500 k$) goes in with new drain valves (650 k$, 15 d)."""
    table = run.tables["work_list"]
    bundles = table[(table["family"] == "MSR-BUN") & (table["action"] == "replace")]
    assert len(bundles) >= 4
    for unit, period in set(zip(bundles["unit"], bundles["period"], strict=True)):
        assert works_on(run, f"{unit}-MSR-DRN").get(period) == "replace"
    drains = run.case["actions"].set_index(["family", "action"]).loc[("MSR-DRN", "replace")]
    assert (drains["cost"], drains["days"]) == (650, 15)


def test_trap_18_the_station_wide_outage_finds_its_date(run: Run) -> None:
    """2032-11 falls into the defuelling of Q3; 2033-01 costs 120 M$, 2032-07 147, 2033-05-10 81, or
    54 M$ if the outage of Q4 slides to 2033-05-01: taken."""
    dates = run.tables["outage_dates"].set_index("dates")
    assert dates["cost"].to_dict() == pytest.approx(
        {
            "as drawn": 81_000.0,
            "P4-33 on 2033-05-01": 54_000.0,
            "S1 on 2032-07-15": 147_000.0,
            "S1 on 2033-01-10": 120_000.0,
            "S1 on 2032-11-01": dates.at["S1 on 2032-11-01", "cost"],
        }
    )
    assert not dates.at["S1 on 2032-11-01", "is_allowed"]
    assert "M3" in dates.at["S1 on 2032-11-01", "why_not"]
    assert list(dates.index[dates["is_chosen"]]) == ["P4-33 on 2033-05-01"]
    outages = run.tables["outages"].set_index("outage")
    assert outages.at["P4-33", "start_date"] == "2033-05-01"
    assert outages.at["S1", "start_date"] == "2033-05-10"


def test_trap_20_the_crane_comes_before_the_lifts(run: Run) -> None:
    """The north crane is upgraded on line before M1 lifts its first rotor; never with an open
    turbine in its hall."""
    table = run.tables["work_list"].set_index("component")
    for crane, units in (("CM-CRN-N", ("Q1", "Q2")), ("CM-CRN-S", ("Q3", "Q4"))):
        upgrade = table.loc[crane]
        assert upgrade["period"].startswith("station-")
        lifts = table[table["family"].isin(["TG-LP", "GEN-ROT"]) & table["unit"].isin(units)]
        assert len(lifts) and (lifts["window_end_date"] > upgrade["window_start_date"]).all()
    north = table.loc["CM-CRN-N"]
    opened = pd.Timestamp("2030-09-01") + pd.Timedelta(days=20)
    assert north["window_end_date"] <= opened.date().isoformat()


def test_trap_25_batteries_of_one_batch_are_staggered(run: Run) -> None:
    """Both banks of Q3 are of one batch of 2019 and reach 20 years in 2039: bank A goes into M3, bank
    B into P3-37, and they are never renewed in one outage again."""
    one, other = works_on(run, "Q3-BAT-A"), works_on(run, "Q3-BAT-B")
    assert not set(one) & set(other)
    dates = run.tables["outages"].set_index("outage")["start_date"]
    assert min(one, key=dates.get) == "M3"
    assert min(other, key=dates.get) == "P3-37"
