"""What leaving works out costs, and the lists that follow from it, on plans worked by hand."""

import numpy as np
import pandas as pd
import pytest

from bundler.level.chances import Doubts, chance_tables
from bundler.level.lacks import free_of, lack_of
from bundler.level.lists import to_add
from bundler.level.outages import Plan, finish_table, outages_in
from bundler.level.saved import schedules_from
from bundler.level.tables import Schedule, schedule_table
from bundler.level.values import FORCED_TIMES, PARTS, Values
from bundler.reopen import around_works
from bundler.run import silent
from tests.cases import case, one_unit
from tests.level.laid import levelled

PUMPS = [{"component": f"PUMP-{n}", "unit": "U1", "family": "PUMP"} for n in (1, 2, 3)]
P1, P2, P3 = ((f"PUMP-{n}", "replace", "P1") for n in (1, 2, 3))


def plan(*works: tuple[str, str, str], **more: object) -> Plan:
    opened = around_works(case(**one_unit(components=PUMPS, **more)), frozenset(works))
    assert opened is not None
    return Plan(opened.case, opened.choices, opened.picked)


def levelled_in(own: Plan, *works: tuple[str, str, str]) -> Schedule:
    return levelled(own.case, *works)


def test_what_leaving_out_costs_is_the_next_best_course() -> None:
    own = plan(P1, P2)
    costs = own.choices.courses.merge(own.choices.works, on="course", how="left").merge(
        own.choices.placements[["placement", "period"]], on="placement", how="left"
    )
    first = costs[costs["component"] == "PUMP-1"]
    hit = set(first.loc[first["period"] == "P1", "course"])
    free = first[~first["course"].isin(hit)]["pv_cost"].min()
    now = own.picked.courses.set_index("component").loc["PUMP-1", "pv_cost"]
    values = Values(own.choices, own.picked)
    assert values.worth("P1")["PUMP-1"] == pytest.approx(free - now)
    assert set(values.worth("P1")) == {"PUMP-1", "PUMP-2"} and values.forced("P1") == frozenset()
    assert max(values.of("P1").values()) == PARTS


def test_what_law_forces_in_counts_far_more() -> None:
    due = [{"component": "PUMP-1", "action": "replace", "due_date": "2029-12-31"}]
    own = plan(P1, P2, mandates=due)
    values = Values(own.choices, own.picked)
    assert values.forced("P1") == {"PUMP-1"}
    assert values.of("P1") == {"PUMP-1": FORCED_TIMES * PARTS, "PUMP-2": PARTS}


def test_outages_are_taken_as_they_open() -> None:
    own = plan(P1, ("PUMP-2", "replace", "P2"))
    assert outages_in(own) == ["P1", "P2"]
    assert outages_in(own, ["P2"]) == ["P2"]


def test_what_is_free_and_what_a_work_lacks() -> None:
    """Ten heads; two works of ten heads fill days 5 to 33, so the third has ten heads on two."""
    own = plan(P1, P2, P3)
    schedule = levelled_in(own, P1, P2, P3)
    out = [task for task in ("PUMP-1", "PUMP-2", "PUMP-3")
           if f"{task} replace" not in set(schedule.levelled.starts["task"])]  # fmt: skip
    assert len(out) == 1
    free = free_of(schedule.laid.problem, schedule.levelled.starts, schedule.laid.outage.slots)
    assert free["M"][:10].tolist() == [1000.0] * 10
    assert free["M"].sum() == pytest.approx(40 * 2 * 1000 - 2 * 280 * 100, rel=0.01)
    lack = lack_of(schedule, f"{out[0]} replace")
    assert lack.resource == "M" and lack.free_share < 0.2


def test_a_schedule_comes_back_from_its_table() -> None:
    own = plan(P1, P2)
    schedule = levelled_in(own, P1, P2)
    table = schedule_table(own.case, own.choices, [schedule])
    back = schedules_from(own, table)[0]
    own_days, told_days = (
        each.levelled.starts.set_index("task")[["start", "end"]].sort_index()
        for each in (schedule, back)
    )
    assert told_days.equals(own_days)
    assert back.levelled.finish == schedule.levelled.finish
    told = finish_table([schedule]).iloc[0]
    assert (told["works_count"], told["finish_days"], told["limit_days"]) == (2, 33.0, 40.0)


def test_the_add_list_holds_what_would_save_money_there() -> None:
    """PUMP-3 does nothing in this plan; its replacement in P1 saves what its courses say."""
    own = plan(P1, P2)
    table = to_add(own, levelled_in(own, P1, P2), "M")
    assert table["component"].tolist() == ["PUMP-3"]
    costs = own.choices.courses
    now = own.picked.courses.set_index("component").loc["PUMP-3", "pv_cost"]
    best = costs.loc[costs["component"] == "PUMP-3", "pv_cost"].min()
    assert table["value_cost"].iloc[0] <= now - best + 1e-6
    assert table["work_hours"].iloc[0] == 500.0


def test_chances_of_an_outage_without_doubt_and_with_it() -> None:
    """Class 3 of the estimate puts P10 and P90 of each duration at 15 % below and 20 % above.

    Two works in a row, 14 days each from day 5, levelled to day 33; late parts come on top.
    """
    own = plan(P1, P2)
    schedule = levelled_in(own, P1, P2)
    tables = chance_tables(own, [schedule], Doubts(runs_count=4000), silent)
    row = tables["confidence"].iloc[0]
    assert row["levelled_days"] == 33.0 and row["limit_days"] == 40.0
    assert 33.0 < row["p50_finish_days"] < row["p80_finish_days"] < row["p90_finish_days"] < 42.0
    assert row["margin_days"] == pytest.approx(row["p80_finish_days"] - 33.0, abs=1e-3)
    hours = tables["trade_hours"].set_index("resource").loc["M"]
    assert hours["mean_hours"] == pytest.approx(1000.0, rel=0.03)
    chains = tables["chains"].set_index("task")["longest_chance"]
    assert np.isclose(chains.max(), 1.0)


def test_a_discovery_of_one_in_four_moves_the_p80_and_not_the_p50() -> None:
    """28 days with a chance of 0.25: the finish of P50 without, of P80 with them."""
    more = {
        "discoveries": [
            {"family": "PUMP", "action": "replace", "discovery": "crack", "chance": 0.25,
             "days": 28.0, "cost": 50.0}
        ],
        "discovery_hours": [
            {"family": "PUMP", "action": "replace", "discovery": "crack", "resource": "M",
             "work_hours": 200.0}
        ],
    }  # fmt: skip
    calm, found = (
        chance_tables(own, [levelled_in(own, P1)], Doubts(runs_count=4000), silent)
        for own in (plan(P1), plan(P1, **more))
    )
    before, after = calm["confidence"].iloc[0], found["confidence"].iloc[0]
    assert after["p50_finish_days"] - before["p50_finish_days"] < 3.0
    assert after["p80_finish_days"] - before["p80_finish_days"] > 20.0
    assert found["drivers"]["kind"].iloc[0] == "discovery"
    told = [each["trade_hours"].set_index("resource").loc["M"] for each in (calm, found)]
    assert told[1]["mean_hours"] == pytest.approx(told[0]["mean_hours"] + 0.25 * 200, rel=0.005)
    assert 0 < told[1]["p50_hours"] - told[0]["p50_hours"] < 50.0  # the P67 of those without
    assert told[1]["promise_hours"] > told[0]["promise_hours"] + 60.0


def test_an_empty_plan_has_no_chances() -> None:
    own = plan()
    assert all(table.empty for table in chance_tables(own, [], Doubts(), silent).values())
    assert isinstance(finish_table([]), pd.DataFrame)


def test_late_parts_shift_what_has_no_time_to_wait() -> None:
    """Parts with a lead of 12 months come surely 12 days late: on day 17, as the window opens on
    day 5. Two works of the whole crew in a row: the first begins on day 17, so both end then 14
    days later each, 12 days after the levelled day 33."""
    late = [{"lead_from_months": 6.0, "chance": 1.0, "days": 12.0}]
    action = {"family": "PUMP", "action": "replace", "cost": 300.0, "days": 10.0, "conditions": "D",
              "lead_months": 12.0, "estimate_class": 1}  # fmt: skip
    plain, waits = (
        chance_tables(own, [levelled_in(own, P1, P2)], Doubts(runs_count=2000), silent)
        for own in (
            plan(P1, P2, actions=[action]),
            plan(P1, P2, actions=[action], late_deliveries=late),
        )
    )
    first, second = (each["confidence"].iloc[0]["p50_finish_days"] for each in (plain, waits))
    assert second - first == pytest.approx(12.0, abs=1.0)


def test_works_that_may_not_be_left_out_are_in_no_drop_list() -> None:
    due = [{"component": "PUMP-1", "action": "replace", "due_date": "2029-12-31"}]
    own = plan(P1, P2, mandates=due)
    tables = chance_tables(own, [levelled_in(own, P1, P2)], Doubts(runs_count=500), silent)
    assert set(tables["drop_list"]["task"]) == {"PUMP-2 replace"}


def test_a_work_goes_out_with_its_test() -> None:
    """A test of 20 days behind the work holds the finish: leaving the work out frees both."""
    action = {"family": "PUMP", "action": "replace", "cost": 300.0, "days": 5.0, "conditions": "D",
              "test_days": 20.0}  # fmt: skip
    hours = [{"family": "PUMP", "action": "replace", "resource": "M", "work_hours": 50.0}]
    own = plan(P1, actions=[action], action_hours=hours)
    tables = chance_tables(own, [levelled_in(own, P1)], Doubts(runs_count=500), silent)
    row = tables["drop_list"].query("short_of == 'days'").iloc[0]
    assert row["saved_days"] > 25.0 and row["task"] == "PUMP-1 replace"
