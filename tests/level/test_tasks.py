"""Tasks of an outage and what they take, each amount worked by hand.

P1 of the small station has 40 days in half-day slots; D holds from day 5 to day 35.
One head gives 50 h / 7 x 0.5 = 3.571 direct hours a day, so 500 h are 140 head days.
"""

from typing import Any

import pytest

from bundler.level.modes import needs_of
from tests.cases import case, one_unit
from tests.level.laid import CRACK, laid, stated

P1 = ("PUMP-1", "replace", "P1")
WORK = "PUMP-1 replace"
ACTION: dict[str, Any] = {
    "family": "PUMP",
    "action": "replace",
    "cost": 300.0,
    "days": 10.0,
    "conditions": "D",
}
T = [
    {"kind": "planned", "condition": "D", "from_days": 5.0, "to_days": -5.0},
    {"kind": "planned", "condition": "T", "from_days": 32.0, "to_days": -1.0},
]
TWO = [{"condition": "D", "name": "drained"}, {"condition": "T", "name": "test"}]
ACCESS: dict[str, Any] = {
    "access_sets": [{"access_set": "G", "name": "gate", "setup_days": 2.0, "area": "TB"}],
    "access_hours": [{"access_set": "G", "resource": "M", "work_hours": 50.0}],
    "access_members": [{"access_set": "G", "family": "PUMP"}],
}


def slots(own: Any, task: str) -> list[int]:
    row = stated(own, "earliest latest least value").loc[task]
    return [int(number) for number in row]


def amounts(own: Any, task: str) -> dict[str, float]:
    mine = own.loads[own.loads["task"] == task]
    return dict(zip(mine["resource"], mine["amount"], strict=True))


def test_a_work_is_one_task_in_its_span() -> None:
    own = laid(case(**one_unit()), P1, values={"PUMP-1": 70})
    assert slots(own, WORK) == [10, 70, 20, 70]
    assert amounts(own, WORK) == pytest.approx({"M": 140.0, "area.TB": 140.0})
    assert len(own.tasks) == 1 and own.unfit.empty


def test_days_are_rounded_up_to_slots_and_added_days_lengthen_the_span() -> None:
    action = ACTION | {"days": 10.2, "make_ready_days": 1.0}
    own = laid(case(**one_unit(actions=[action])), P1, longer={"P1": 3.0})
    assert slots(own, WORK) == [10, 76, 23, 1000]
    assert own.outage.slots == 86


def test_a_test_without_a_condition_follows_in_the_same_span() -> None:
    own = laid(case(**one_unit(actions=[ACTION | {"test_days": 1.5}])), P1)
    assert slots(own, WORK) == [10, 67, 20, 1000]
    assert slots(own, f"{WORK} test") == [30, 70, 3, 1]
    assert amounts(own, f"{WORK} test") == {}
    rows = own.problem.follows
    assert [*rows[["first", "second", "lag", "is_needed"]].itertuples(index=False, name=None)] == [
        (WORK, f"{WORK} test", 0, True),
        (f"{WORK} test", WORK, -160, True),
    ]


def test_a_test_with_a_condition_lies_in_it() -> None:
    action = ACTION | {"test_days": 2.0, "test_condition": "T"}
    own = laid(case(**one_unit(actions=[action], windows=T, conditions=TWO)), P1)
    assert slots(own, WORK) == [10, 70, 20, 1000]
    assert slots(own, f"{WORK} test in T") == [64, 78, 4, 1]


def test_what_is_there_in_a_condition_only_is_taken_by_a_test() -> None:
    """8 slots at 2 a day are 4 days of T, though the work names no test."""
    supply: dict[str, Any] = {
        "supplies": [{"supply": "SLOT", "name": "slots", "measure": "slots"}],
        "supply_amounts": [
            {"supply": "SLOT", "kind": "planned", "condition": "T", "amount_per_day": 2.0}
        ],
        "action_supplies": [
            {"family": "PUMP", "action": "replace", "supply": "SLOT", "amount": 8.0}
        ],
    }
    own = laid(case(**one_unit(windows=T, conditions=TWO, **supply)), P1)
    assert slots(own, f"{WORK} test in T") == [64, 78, 8, 1]
    assert amounts(own, f"{WORK} test in T") == {"supply.SLOT": 8.0}
    assert "supply.SLOT" not in amounts(own, WORK)


def test_access_is_set_up_in_its_span_and_lifted_by_breaker_close() -> None:
    """50 h of access are 14 head days, seven at each end; the work waits two days in the plan.

    Five heads, half the crew, would give ten in two days.
    """
    own = laid(case(**one_unit(**ACCESS)), P1)
    assert slots(own, "G set-up") == [10, 70, 4, 1]
    assert slots(own, "G lift") == [10, 80, 4, 1]
    assert slots(own, WORK) == [14, 70, 20, 1000]
    for task in ("G set-up", "G lift"):
        assert amounts(own, task) == pytest.approx({"M": 7.0, "area.TB": 7.0})
    rows = {(r.first, r.second, r.lag, r.is_needed) for r in own.problem.follows.itertuples()}
    assert rows == {
        ("G set-up", WORK, 0, True),
        (WORK, "G lift", 0, False),
        ("G set-up", "G lift", 0, True),
        ("G lift", "G set-up", -160, True),
    }


@pytest.mark.parametrize(("setup_days", "ends"), [(2.0, 10.0), (0.0, 2.5), (30.0, 70.0)])
def test_what_half_the_crew_cannot_set_up_goes_alongside(setup_days: float, ends: float) -> None:
    """500 h are 140 head days; five heads give ten in two days, and 2.5 in half a day."""
    sets = [ACCESS["access_sets"][0] | {"setup_days": setup_days}]
    hours = [ACCESS["access_hours"][0] | {"work_hours": 500.0}]
    window = [{"kind": "planned", "condition": "D", "to_anchor": "end", "from_days": 0.0}]
    tables = ACCESS | {"access_sets": sets, "access_hours": hours, "windows": window}
    own = laid(case(**one_unit(**tables)), P1)
    for task in ("G set-up", "G lift"):
        assert amounts(own, task)["M"] == pytest.approx(ends)
        assert slots(own, task)[2] == max(1, 2 * setup_days)
    rest = amounts(own, "G alongside") if setup_days < 30 else {"M": 0.0}
    assert rest["M"] + 2 * ends == pytest.approx(140.0)
    assert ("G alongside" in set(own.tasks["task"])) == (setup_days < 30)


def test_what_goes_alongside_is_tied_to_the_set_up_and_elastic() -> None:
    """120 head days by ten heads are 12 days; from the set's span until breaker close."""
    hours = [ACCESS["access_hours"][0] | {"work_hours": 500.0}]
    own = laid(case(**one_unit(**ACCESS | {"access_hours": hours})), P1)
    assert slots(own, "G alongside") == [10, 80, 1, 1]
    modes = own.problem.modes.groupby("task")["duration"].agg(list)
    assert modes["G alongside"] == [24, 36, 48, 70]
    assert modes["G set-up"] == [4] and modes["G lift"] == [4]
    rows = {(r.first, r.second, r.lag, r.is_needed) for r in own.problem.follows.itertuples()}
    assert {row for row in rows if "G alongside" in row[:2]} == {
        ("G set-up", "G alongside", 0, True),
        ("G alongside", "G set-up", -160, True),
    }


def test_access_that_base_scope_makes_is_no_task() -> None:
    base = [{"kind": "planned", "access_set": "G"}]
    own = laid(case(**one_unit(**ACCESS, base_access=base)), P1)
    assert list(own.tasks["task"]) == [WORK]
    assert slots(own, WORK)[0] == 14  # the plan's span waits for it all the same


def test_discoveries_are_among_the_hours_and_told_apart() -> None:
    own = laid(case(**one_unit(**CRACK)), P1)
    row = own.loads[own.loads["resource"] == "M"].iloc[0]
    assert row["amount"] == pytest.approx(520 / 500 * 140)
    assert row["found_amount"] == pytest.approx(20 / 500 * 140)


def test_hours_are_never_lost_by_rounding() -> None:
    """140 head days in 14, 17.5, 21, 28 and 30 days: what the modes hold is no less."""
    own = laid(case(**one_unit()), P1)
    modes = own.problem.modes.set_index("mode")["duration"]
    assert modes.tolist() == [28, 35, 42, 56, 60]  # ten heads: 14 days, not the stated ten
    needs = needs_of(own.problem.modes, own.loads, own.outage)
    heads = needs[needs["resource"] == "M"].set_index("mode")["amount"]
    held = heads / 100 * modes / 2
    assert (held >= 140 - 1e-9).all() and (held <= 140 + 0.01 * modes).all()
    assert heads.tolist() == [1000, 800, 667, 500, 467]
