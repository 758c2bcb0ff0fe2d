"""Whole outages levelled: closed forms, and the judge of schedules, which shares no code with them."""

from dataclasses import replace
from typing import Any

import pandas as pd
import pytest

from bundler.case import Case
from bundler.judge.schedule import judge_schedule
from bundler.level.outage import idle_access, outage_problem, without_idle
from bundler.level.problem import Levelled
from bundler.level.tables import Schedule, schedule_table
from tests.cases import case, one_unit, settings
from tests.level.laid import everything, facts, laid, levelled, picked
from tests.level.test_tasks import ACCESS, ACTION

P1, P2, P3 = (("PUMP-1", "replace", "P1"), ("PUMP-2", "replace", "P1"), ("PUMP-3", "replace", "P1"))
PUMPS = [
    {"component": f"PUMP-{n}", "unit": "U1", "family": "PUMP", "train": train}
    for n, train in ((1, "A"), (2, "B"), (3, "A"))
]
FEW = [{"family": "PUMP", "action": "replace", "resource": "M", "work_hours": 50.0}]


def station(single: dict[str, Any] | None = None, **more: Any) -> Case:
    return case(settings(**(single or {})), **one_unit(components=PUMPS, **more))


def days(schedule: Schedule) -> dict[str, tuple[float, float]]:
    table = schedule.levelled.starts
    return {
        row.task.removesuffix(" replace"): (row.start / 2, row.end / 2)
        for row in table.itertuples()
    }


def breaches(own: Case, schedule: Schedule, *works: tuple[str, str, str]) -> list[str]:
    table = schedule_table(own, everything(own), [schedule])
    return [breach.text for breach in judge_schedule(own, facts(own, *works), table)]


def test_two_works_that_need_the_whole_crew_follow_each_other() -> None:
    """280 head days by ten heads are 28 days from day 5; no schedule is shorter."""
    own = station()
    schedule = levelled(own, P1, P2)
    assert schedule.levelled.finish / 2 == 33.0 and schedule.levelled.is_proven
    assert breaches(own, schedule, P1, P2) == []


def test_what_has_no_room_is_left_out_by_its_value() -> None:
    """420 head days do not go into 30 days of ten heads; the one of least value stays out."""
    own = station()
    schedule = levelled(own, P1, P2, P3, values={"PUMP-2": 10})
    assert schedule.levelled.left_out == ("PUMP-2 replace",)
    assert breaches(own, schedule, P1, P2, P3) == []


def test_overtime_shortens_what_the_crew_cannot() -> None:
    """15 heads for 14 days hold 210 of 280 head days, ten the other 70 in 7: 21 days."""
    own = station({"overtime_share": 0.5, "overtime_weeks": 2.0})
    schedule = levelled(own, P1, P2)
    assert schedule.levelled.finish / 2 < 33.0
    assert schedule.levelled.finish / 2 >= 5 + 21
    assert breaches(own, schedule, P1, P2) == []


@pytest.mark.parametrize("rule", ["chain", "apart", "group"])
def test_works_that_exclude_each_other(rule: str) -> None:
    """Three works of ten days one after the other: day 35; A and B only: two of A side by side."""
    tables: dict[str, Any] = {
        "chain": {"chains": [{"chain": "c", "family": "PUMP"}]},
        "apart": {
            "links": [
                {
                    "link": "l",
                    "rule": "apart",
                    "first_family": "PUMP",
                    "second_family": "PUMP",
                    "match": "unit",
                }
            ]
        },
        "group": {
            "groups": [{"group": "G", "name": "pumps", "line_by": "train"}],
            "group_members": [{"group": "G", "family": "PUMP"}],
            "group_needs": [{"group": "G", "kind": "planned", "in_service_count": 1}],
        },
    }
    own = station(action_hours=FEW, **tables[rule])
    schedule = levelled(own, P1, P2, P3)
    assert schedule.levelled.finish / 2 == (25.0 if rule == "group" else 35.0)
    assert breaches(own, schedule, P1, P2, P3) == []


def test_two_of_three_lines_may_be_out() -> None:
    groups: dict[str, Any] = {
        "groups": [{"group": "G", "name": "pumps"}],
        "group_members": [{"group": "G", "family": "PUMP"}],
        "group_needs": [{"group": "G", "kind": "planned", "in_service_count": 1}],
    }
    own = station(action_hours=FEW, **groups)
    schedule = levelled(own, P1, P2, P3)
    assert schedule.levelled.finish / 2 == 25.0  # two side by side, then the third
    assert breaches(own, schedule, P1, P2, P3) == []


WIDE = [
    {"kind": "planned", "condition": word, "from_days": 0.0, "to_anchor": "end"} for word in "DE"
]
WIDE += [{"kind": "planned", "condition": "late", "from_days": 20.0, "to_anchor": "end"}]
WIDE[1] |= {"to_anchor": "start", "to_days": 20.0}
WORDS = [{"condition": word, "name": word} for word in ("D", "E", "late")]


def lines_by_day(late: int) -> Case:
    """Three lines: one has to stay, from day 20 on so many; one pump is free, two until day 20."""
    families = [one_unit()["families"][0], one_unit()["families"][0] | {"family": "SPARE"}]
    needs = {"group": "G", "kind": "planned", "in_service_count": 1}
    return case(
        **one_unit(
            components=[PUMPS[0], *(part | {"family": "SPARE"} for part in PUMPS[1:])],
            families=families, windows=WIDE, conditions=WORDS, action_hours=[],
            actions=[ACTION, ACTION | {"family": "SPARE", "conditions": "E"}],
            groups=[{"group": "G", "name": "pumps"}],
            group_members=[{"group": "G", "family": name} for name in ("PUMP", "SPARE")],
            group_needs=[needs, needs | {"condition": "late", "in_service_count": late}],
        )
    )  # fmt: skip


@pytest.mark.parametrize("late", [1, 2, 3])
def test_lines_that_may_be_out_on_some_days_only(late: int) -> None:
    """Two of three may be out until day 20, so that three works of ten days take 20; then fewer."""
    own = lines_by_day(late)
    schedule = levelled(own, P1, P2, P3)
    assert schedule.levelled.finish / 2 == 20.0 and not schedule.levelled.left_out
    assert breaches(own, schedule, P1, P2, P3) == []


def test_a_link_with_days_between() -> None:
    """Ten days, three days of cure, ten days: day 5 to 28."""
    valve = {"component": "VALVE-1", "unit": "U1", "family": "VALVE"}
    families = [
        *one_unit()["families"],
        {"family": "VALVE", "area": "TB", "life_years": 30.0, "shape_ratio": 3.0},
    ]
    link = {
        "link": "cure",
        "rule": "before",
        "first_family": "PUMP",
        "second_family": "VALVE",
        "match": "unit",
        "lag_days": 3.0,
    }
    own = case(
        **one_unit(
            components=[PUMPS[0], valve], families=families, actions=[ACTION, ACTION | {"family": "VALVE"}],
            action_hours=FEW, links=[link],
        )
    )  # fmt: skip
    works = (P1, ("VALVE-1", "replace", "P1"))
    schedule = levelled(own, *works)
    assert days(schedule) == {"PUMP-1": (5.0, 15.0), "VALVE-1": (18.0, 28.0)}
    assert breaches(own, schedule, *works) == []


def test_access_takes_its_days_at_both_ends() -> None:
    """Set-up of two days, works of ten days, lift of two days.

    100 h are 28 head days: ten at each end, and eight beside the works, which hold 2.8 of ten heads.
    """
    for hours in (50.0, 100.0):
        access = ACCESS | {"access_hours": [ACCESS["access_hours"][0] | {"work_hours": hours}]}
        own = station(action_hours=FEW, **access)
        schedule = levelled(own, P1, P2)
        found = days(schedule)
        assert found["G set-up"] == (5.0, 7.0) and found["G lift"] == (17.0, 19.0)
        assert ("G alongside" in found) == (hours > 50)
        assert schedule.levelled.finish / 2 == 19.0
        assert breaches(own, schedule, P1, P2) == []


def test_access_that_a_schedule_makes_for_nobody_is_taken_out() -> None:
    """The problem cannot ask a set-up for one of several works, so it may run without any."""
    own = laid(station(**ACCESS), P1, P2)
    two = pd.DataFrame({"task": ["G set-up", "G lift"], "mode": 0, "start": [10, 14]})
    alone = Levelled(two.assign(end=two["start"] + 4), (), 18, 18, two.iloc[:0], "found")
    assert len(idle_access(own, alone)) == 1
    again = without_idle(own, alone)
    assert again.problem.tasks.empty and len(again.tasks) == len(own.tasks)
    run = pd.DataFrame({"task": ["PUMP-2 replace"], "mode": 0, "start": [14], "end": [48]})
    used = replace(alone, starts=pd.concat([alone.starts, run], ignore_index=True))
    assert without_idle(own, used) is own


@pytest.mark.parametrize("before", [False, True])
def test_what_a_work_triggers_goes_with_it_unless_done(before: bool) -> None:
    link = {
        "link": "due",
        "rule": "triggers",
        "first_family": "PUMP",
        "second_family": "VALVE",
        "match": "unit",
    }
    valve = {"component": "VALVE-1", "unit": "U1", "family": "VALVE"}
    families = [
        *one_unit()["families"],
        {"family": "VALVE", "area": "TB", "life_years": 30.0, "shape_ratio": 3.0},
    ]
    own = case(
        **one_unit(
            components=[PUMPS[0], valve], families=families, actions=[ACTION, ACTION | {"family": "VALVE"}],
            action_hours=FEW, links=[link],
        )
    )  # fmt: skip
    early = [("VALVE-1", "replace", "P1")] if before else []
    found = laid(own, ("PUMP-1", "replace", "P2"), ("VALVE-1", "replace", "P2"), *early)
    table = found.problem.follows
    ties = list(table[["first", "second", "is_needed"]].itertuples(index=False, name=None))
    assert ties == ([] if before else [("VALVE-1 replace", "PUMP-1 replace", True)])


def test_what_cannot_be_done_at_all_is_told_with_what_needs_it() -> None:
    """2,200 h are 616 head days, less 20 at both ends: 60 days of ten heads, 35 to breaker close."""
    hours = [{"access_set": "G", "resource": "M", "work_hours": 2200.0}]
    own = laid(station(**(ACCESS | {"access_hours": hours})), P1)
    table = own.unfit.set_index("task")
    assert set(table.index) == {"G set-up", "G alongside", "G lift", "PUMP-1 replace"}
    assert table.loc["G alongside", "resource"] == "M"
    assert table.loc["G alongside", "needed_days"] == pytest.approx(60.0)
    assert table.loc["G alongside", "window_days"] == pytest.approx(35.0)
    assert table.loc["PUMP-1 replace", "because_of"] == "G alongside"
    assert own.problem.tasks.empty


def test_the_same_plan_gives_the_same_problem_whatever_the_order_of_its_rows() -> None:
    own = station(**ACCESS)
    choices = everything(own)
    plan = picked(own, choices, P1, P2, P3)
    mixed = type(plan)(
        plan.courses,
        plan.works.iloc[::-1].reset_index(drop=True),
        plan.access.iloc[::-1],
        plan.extension_days,
        {},
    )
    one, two = (outage_problem(own, choices, given, "P1").problem for given in (plan, mixed))
    for name in one.__dict__:
        pd.testing.assert_frame_equal(getattr(one, name), getattr(two, name))
