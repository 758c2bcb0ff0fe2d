"""The demo's plan on days: two overlapping mid-life outages, a planned one, their chances, a slip."""

from collections.abc import Sequence

import pandas as pd
import pytest
from threadpoolctl import threadpool_limits

from bundler import Run
from bundler.judge.schedule import judge_schedule
from bundler.level.chances import Doubts, chance_tables
from bundler.level.outages import Plan, finish_table, level_outages
from bundler.level.solve import Effort
from bundler.level.tables import Schedule, schedule_table, slot_heads, weekly_histogram
from bundler.run import facts_of, silent

#: M3 opens while M1 is being restored
OUTAGES = ("P1-28", "P4-30", "M1", "M3")
EFFORT = Effort(work=0.5, most_seconds=600.0)
pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def plan(demo_plan: Run) -> Plan:
    return Plan(demo_plan.case, demo_plan.choices, demo_plan.picked)


@pytest.fixture(scope="module")
def schedules(plan: Plan) -> Sequence[Schedule]:
    with threadpool_limits(limits=1):
        return level_outages(plan, EFFORT, silent, OUTAGES)


def of(schedules: Sequence[Schedule], outage: str) -> Schedule:
    return next(each for each in schedules if each.laid.outage.period == outage)


def heads(schedule: Schedule, resource: str) -> pd.DataFrame:
    """Return the heads of a trade on each day of an outage, with base scope and overtime."""
    table = slot_heads(schedule)
    table = table[table["resource"] == resource]
    day = table["days"] - schedule.laid.outage.start_days
    return table.assign(
        day=day,
        all_count=table["heads_count"] + table["base_heads_count"],
        there_count=table["limit_heads_count"] + table["overtime_heads_count"],
    )


def test_the_judge_finds_nothing_against_the_days(
    plan: Plan, schedules: Sequence[Schedule]
) -> None:
    table = schedule_table(plan.case, plan.choices, list(schedules))
    facts = facts_of(plan.choices, plan.picked)
    assert [breach.text for breach in judge_schedule(plan.case, facts, table)] == []


def test_every_finish_has_its_bound_and_most_works_their_days(
    schedules: Sequence[Schedule],
) -> None:
    table = finish_table(schedules)
    assert (table["bound_days"] <= table["finish_days"]).all()
    assert (table["finish_days"] <= table["limit_days"]).all()
    assert table["left_out_count"].sum() <= 0.15 * table["works_count"].sum()


def test_trap_14_electricians_of_the_bus_window(plan: Plan, schedules: Sequence[Schedule]) -> None:
    """The whole train A bus group takes 25,200 h of electricians, 21,528 are there in 130 days:
    one of its works is elsewhere, and on no day are there more electricians than heads."""
    case, works = plan.case, plan.picked.works
    group = ["MVS", "LVS", "CAB-MV", "BAT", "UPS"]
    hours = case["action_hours"]
    hours = hours[(hours["resource"] == "E") & (hours["action"] == "replace")]
    asked = hours[hours["family"].isin(group)]["work_hours"].sum()
    gross = 42 * 50 / 7 * 0.92 * 0.6 * 130
    assert asked == pytest.approx(25_200) and gross == pytest.approx(21_528, rel=0.001)
    there = works[(works["period"] == "M1") & (works["train"] == "A")]
    assert set(group) - set(there.loc[there["action"] == "replace", "family"])
    daily = heads(of(schedules, "M1"), "E")
    assert (daily["all_count"] <= daily["there_count"] + 0.01).all()
    window = daily[(daily["day"] >= 160) & (daily["day"] < 290)]
    assert len(window) == 130
    assert 0 < window["heads_count"].max() <= window["all_count"].max() <= 42 * 1.15


def test_trap_16_insulators_while_two_outages_overlap(
    plan: Plan, schedules: Sequence[Schedule]
) -> None:
    """12 heads in M1 and 12 in M3 against 20 on the site, with what base scope holds: on no day
    of the overlap are there more than 20."""
    one, two = (of(schedules, name).laid.outage for name in ("M1", "M3"))
    first, last = two.start_days, one.start_days + one.days
    assert 170 < last - first < 190
    both = [heads(of(schedules, name), "I").set_index("days")["all_count"] for name in ("M1", "M3")]
    together = both[0].add(both[1], fill_value=0.0)
    overlap = together[(together.index >= first) & (together.index < last)]
    assert overlap.max() <= 20.0 + 0.02
    weeks = weekly_histogram(plan.case, list(schedules))
    site = weeks[(weeks["outage"] == "site") & (weeks["resource"] == "I")]
    assert len(site) and (site["limit_heads_count"] == 20).all()


def test_trap_23_tubesheets_that_may_be_found(plan: Plan, schedules: Sequence[Schedule]) -> None:
    """One retubed half in four finds 28 days and 5,200 h of boilermakers more. The outage keeps
    its end in half of the runs; each half is told with its P50 and P80 against its window, hours
    of boilermakers with what they may be, and a drop-list beside."""
    with threadpool_limits(limits=1):
        tables = chance_tables(plan, [of(schedules, "M1")], Doubts(runs_count=4000), silent)
    row = tables["confidence"].iloc[0]
    assert row["p50_finish_days"] <= row["limit_days"] == 912
    assert (row["in_time_chance"] >= 0.8) == (row["p80_finish_days"] <= 912)
    chains = tables["chains"].set_index("task")
    halves = [name for name in chains.index if "CON-TUB" in name and name.endswith("retube")]
    assert halves
    for name in halves:
        half = chains.loc[name]
        assert half["promise_end_days"] > half["p50_end_days"] + 5.0
        assert half["window_days"] in (300.0, 580.0)
        assert (half["overrun_chance"] > 0.5) == (half["p50_end_days"] > half["window_days"])
        assert (half["overrun_chance"] > 0.2) == (half["promise_end_days"] > half["window_days"])
    # the quarter of the runs with 5,200 h more begins below P80
    hours = tables["trade_hours"].set_index("resource").loc["B"]
    assert hours["promise_hours"] > hours["p50_hours"] + 5200 / 2
    check_days_list(tables["drop_list"], row["early_finish_days"])


def check_days_list(drops: pd.DataFrame, early: float) -> None:
    """Least value per day first; one alone saves what it says, all of them no less than any."""
    assert set(drops["short_of"]) == {"days", "hours"}
    assert not drops.duplicated(["short_of", "task"]).any()
    days = drops[drops["short_of"] == "days"]
    assert (days["value_cost"] / days["saved_days"]).is_monotonic_increasing
    first, saved = days.iloc[0], days["saved_days"]
    assert first["finish_days"] == pytest.approx(early - first["saved_days"], abs=1e-3)
    assert days["finish_days"].iloc[-1] <= early - saved.max() + 1e-3


def test_the_same_outage_has_the_same_days_again(plan: Plan, schedules: Sequence[Schedule]) -> None:
    with threadpool_limits(limits=1):
        again = level_outages(plan, EFFORT, silent, ("P1-28", "P4-30"))
    assert len(again) == 2
    for each in again:
        before = of(schedules, each.laid.outage.period)
        assert each.levelled.starts.equals(before.levelled.starts)
