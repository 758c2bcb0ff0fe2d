"""The judge on schedules: for each rule one that holds, and one that breaks it, worked by hand.

O1 has 40 days, D holds from day 5 to day 35. One head gives 8 h x 0.5 = 4 direct hours a day, so
the 500 h of a pump are 125 head days.
"""

from collections.abc import Mapping
from typing import Any

import pandas as pd
import pytest

from bundler.case import Case
from bundler.judge.schedule import judge_schedule
from tests.judge.small import O1, added, edited, plan, small

P1, V1 = ("P1", "replace", "O1"), ("V1", "overhaul", "O1")
P3, P4 = ("P3", "replace", "O1"), ("P4", "replace", "O1")
PARTS = added(
    "components",
    {"component": "P3", "unit": "U1", "family": "PUMP", "train": "B"},
    {"component": "P4", "unit": "U1", "family": "PUMP", "train": "A"},
)
FEW = edited("action_hours", 0, work_hours=40.0)
Row = tuple[str, tuple[str, str, str], float, float]


def table(*given: Row, out: tuple[tuple[str, str, str], ...] = (), train: str = "") -> pd.DataFrame:
    """Return a schedule: kind, (component, action, outage), start and end in days."""
    found = [(who[2], kind, who[0], who[1], train, False, a, b) for kind, who, a, b in given]
    found += [
        (who[2], "work", who[0], who[1], train, True, float("nan"), float("nan")) for who in out
    ]
    names = [
        "outage",
        "kind",
        "component",
        "action",
        "train",
        "is_left_out",
        "start_days",
        "end_days",
    ]
    return pd.DataFrame(found, columns=names)


def broken(
    case: Case, schedule: pd.DataFrame, *works: tuple[str, str, str], **more: Any
) -> list[str]:
    """Return the rules that a schedule breaks, each once."""
    breaches = judge_schedule(case, plan(case, *works, **more), schedule)
    return sorted({breach.rule.removeprefix("schedule ") for breach in breaches})


def test_every_work_is_there_once() -> None:
    case = small()
    good = table(("work", P1, 5, 18))
    assert broken(case, good, P1) == []
    assert broken(case, table(out=(P1,)), P1) == []
    assert broken(case, good, P1, V1) == ["listed"]
    assert broken(case, pd.concat([good, table(out=(P1,))]), P1) == ["listed"]
    assert broken(case, table(("work", P1, 5, 18), ("work", V1, 0, 5)), P1) == ["known"]
    assert broken(case, table(("walk", P1, 5, 18)), P1) == ["known", "listed"]
    nowhere = table(("work", P1, 5, 18), ("work", ("P1", "replace", "O9"), 5, 18))
    assert broken(case, nowhere, P1) == ["known"]


def test_inside_its_span() -> None:
    case = small()
    assert broken(case, table(("work", P1, 4.5, 20)), P1) == ["span"]
    assert broken(case, table(("work", P1, 20, 35)), P1) == []
    assert broken(case, table(("work", P1, 20, 35.5)), P1) == ["span"]
    assert broken(case, table(("work", P1, 20, 37)), P1, extension={"O1": 1.2}) == []  # whole days
    assert broken(case, table(("work", P1, 20, 37.5)), P1, extension={"O1": 1.2}) == ["span"]
    assert broken(case, table(("work", P1, float("nan"), 20)), P1) != []


def test_long_enough_with_make_ready_and_what_is_found() -> None:
    actions = edited("actions", 0, make_ready_days=2.0)
    case = small(actions=actions, action_hours=FEW)
    assert broken(case, table(("work", P1, 5, 17)), P1) == []
    assert broken(case, table(("work", P1, 5, 16.5)), P1) == ["length"]


def test_a_test_in_its_own_span() -> None:
    case = small(actions=edited("actions", 0, test_days=2.0), action_hours=FEW)
    work, bad = ("work", P1, 5.0, 15.0), broken
    assert bad(case, table(work, ("test", P1, 15, 17)), P1) == []
    assert bad(case, table(work), P1) == ["test"]
    assert bad(case, table(work, ("test", P1, 14, 16)), P1) == ["test"]
    assert bad(case, table(work, ("test", P1, 15, 16.5)), P1) == ["test"]
    assert bad(case, table(work, ("test", P1, 34, 36)), P1) == ["span", "test"]


def test_a_test_in_a_condition() -> None:
    windows = added(
        "windows", {"kind": "planned", "condition": "T", "from_days": 34.0, "to_days": -1.0}
    )
    actions = edited("actions", 0, test_days=2.0, test_condition="T")
    case = small(actions=actions, action_hours=FEW, windows=windows)
    work = ("work", P1, 5.0, 15.0)
    assert broken(case, table(work, ("test", P1, 37, 39)), P1) == []
    assert broken(case, table(work, ("test", P1, 38, 40)), P1) == ["test"]
    assert broken(case, table(work, ("test", P1, 38, 40)), P1, extension={"O1": 1.0}) == []
    assert broken(case, table(work, ("test", P1, 33, 35)), P1) == ["test"]


GATE: dict[str, Any] = {
    "access_sets": [{"access_set": "G", "name": "gate", "setup_days": 2.0}],
    "access_hours": [{"access_set": "G", "resource": "M", "work_hours": 16.0}],
    "access_members": [{"access_set": "G", "family": "PUMP"}],
    "action_hours": FEW,
}
G = ("U1", "G", "O1")


SET_UP: Row = ("set-up", G, 5, 7)
WORK: Row = ("work", P1, 7, 17)
LIFT: Row = ("lift", G, 17, 19)
MADE = [("G", "U1", "", "O1")]


@pytest.mark.parametrize(
    ("rows", "rules"),
    [
        ((SET_UP, WORK, LIFT), []),
        ((SET_UP, WORK), ["access"]),
        ((WORK, LIFT), ["access"]),
        ((("set-up", G, 6, 8), WORK, LIFT), ["access"]),
        ((SET_UP, WORK, ("lift", G, 16, 18)), ["access"]),
        ((("set-up", G, 5, 6), WORK, LIFT), ["length"]),
        ((SET_UP, WORK, ("lift", G, 17, 18)), ["length"]),
        ((("set-up", G, 4, 7), WORK, LIFT), ["span"]),
        ((SET_UP, WORK, ("lift", G, 38.5, 40.5)), ["span"]),
        ((SET_UP, ("work", P1, 6, 17), LIFT), ["access", "span"]),
        ((SET_UP, SET_UP, WORK, LIFT), ["access"]),
        ((SET_UP, WORK, LIFT, ("alongside", G, 7, 9)), ["access"]),
    ],
)
def test_access_is_held(rows: tuple[Row, ...], rules: list[str]) -> None:
    """16 h are 4 head days, so the two days of set-up and of lift hold them all."""
    assert broken(small(**GATE), table(*rows), P1, access=MADE) == rules


def test_access_for_nobody_is_a_breach() -> None:
    case = small(**GATE)
    assert broken(case, table(out=(P1,)), P1, access=MADE) == []
    assert broken(case, table(SET_UP, LIFT, out=(P1,)), P1, access=MADE) == ["access"]


@pytest.mark.parametrize(
    ("days", "rules"),
    [
        ((7, 21.5), []),
        ((7, 21), ["heads"]),
        ((), ["access"]),
        ((6, 40), ["access"]),
        ((4, 40), ["access", "span"]),
    ],
)
def test_most_hours_of_access_go_on_alongside(days: tuple[float, ...], rules: list[str]) -> None:
    """600 h: half of ten heads in two days are 40 h at each end; 520 h are left, 130 head days.

    Beside one head of the work they take 9 heads for 14.4 days.
    """
    hours = [GATE["access_hours"][0] | {"work_hours": 600.0}]
    more: list[Row] = [("alongside", G, days[0], days[1])] if days else []
    given = table(SET_UP, WORK, ("lift", G, 22, 24), *more)
    assert broken(small(**GATE | {"access_hours": hours}), given, P1, access=MADE) == rules


def test_a_set_up_takes_half_the_crew() -> None:
    """40 h in two days are five heads: beside five others of a work they fit, beside 6 not.

    A work in no access set, of 240 h: 60 head days, six a day in ten days and five in twelve.
    """
    members = [GATE["access_members"][0] | {"action": "replace"}]
    valve = {"family": "VALVE", "action": "overhaul", "resource": "M", "work_hours": 240.0}
    tables = GATE | {
        "access_hours": [GATE["access_hours"][0] | {"work_hours": 80.0}],
        "access_members": members,
        "action_hours": [*FEW, valve],
    }
    for end, rules in ((12.0, []), (10.0, ["heads"])):
        given = table(SET_UP, WORK, ("lift", G, 20, 22), ("work", V1, 0, end))
        assert broken(small(**tables), given, P1, V1, access=MADE) == rules


def test_heads_on_every_half_day() -> None:
    """125 head days: 12.5 days of ten heads; two pumps at once take twice as long."""
    case = small(components=PARTS)
    assert broken(case, table(("work", P1, 5, 17.5)), P1) == []
    assert broken(case, table(("work", P1, 5, 17)), P1) == ["heads"]
    assert broken(case, table(("work", P1, 5, 30), ("work", P3, 5, 30)), P1, P3) == []
    both = table(("work", P1, 5, 30), ("work", P3, 6, 30))
    assert [b.text for b in judge_schedule(case, plan(case, P1, P3), both)] == [
        "O1 M, day 6: 10.21 are needed at once, 10.00 are there."
    ]


def test_base_scope_takes_heads_on_crew_days() -> None:
    """160 h are 40 head days: one a day over 40 days; nine heads take 13.9 days, so 14 do."""
    base = [{"kind": "planned", "resource": "M", "work_hours": 160.0}]
    case = small(base_scope=base)
    assert broken(case, table(("work", P1, 5, 19)), P1) == []
    assert broken(case, table(("work", P1, 5, 18.5)), P1) == ["heads"]
    kinds = edited("outage_kinds", 0, crew_from_days=30.0)  # now four a day, from day 30 on
    case = small(base_scope=base, outage_kinds=kinds)
    assert broken(case, table(("work", P1, 5, 18.5)), P1) == []
    assert broken(case, table(("work", P1, 12, 31)), P1) == ["heads"]


OVER: Mapping[str, Any] = {"overtime_share": 0.5, "overtime_weeks": 1.0}


def test_overtime_within_its_band_and_its_weeks() -> None:
    """14 heads for nine days are within 15, but nine days are two weeks of overtime."""
    long = edited("actions", 0, days=5.0)
    works = table(("work", P1, 5, 14))
    assert broken(small(OVER | {"overtime_weeks": 2.0}, actions=long), works, P1) == []
    assert broken(small(OVER, actions=long), works, P1) == ["overtime"]
    assert broken(
        small(OVER | {"overtime_weeks": 2.0}, actions=long), table(("work", P1, 5, 13)), P1
    ) == ["heads"]
    less = edited("action_hours", 0, work_hours=400.0)
    within = table(("work", P1, 5, 12))  # 14.3 heads, one week
    assert broken(small(OVER, actions=long, action_hours=less), within, P1) == []
    nobody = edited("resources", 0, has_overtime=False)
    assert broken(small(OVER, actions=long, action_hours=less, resources=nobody), within, P1) == [
        "heads"
    ]
    late = edited("outage_kinds", 0, crew_from_days=8.0)
    assert broken(small(OVER, actions=long, action_hours=less, outage_kinds=late), within, P1) == [
        "heads"
    ]


def test_the_site_has_one_pool() -> None:
    """O9 of U2 from day 20 of O1 on; eight heads of a pool are fewer than ten while both are there."""
    more = {
        "outage": "O9",
        "unit": "U2",
        "kind": "planned",
        "start_date": "2029-01-21",
        "days": 40.0,
        "freeze_date": "2028-01-01",
    }
    for pool, rules in ((10.0, []), (8.0, ["pool"])):
        case = small(
            outages=added("outages", more), resources=edited("resources", 0, pool_heads_count=pool)
        )
        assert broken(case, table(("work", P1, 5, 17.5)), P1) == []  # before the other opens
        assert broken(case, table(("work", P1, 20, 32.5)), P1) == rules
    far = small(resources=edited("resources", 0, pool_heads_count=8.0))
    assert broken(far, table(("work", P1, 20, 32.5)), P1) == []  # alone
    case = small(
        outages=added("outages", more), resources=edited("resources", 0, pool_heads_count=11.0)
    )
    other = ("P2", "replace", "O9")
    both = table(("work", P1, 20, 32.5), ("work", other, 10, 35))
    assert broken(case, both, P1, other) == ["pool"]  # ten and five of eleven from day 30 on


def test_an_area_holds_so_many_heads() -> None:
    """100 m2 at 20 m2 and two shifts are ten heads; 80 m2 are eight."""
    for size, rules in ((100.0, []), (80.0, ["areas"])):
        case = small(areas=edited("areas", 0, usable_m2=size))
        assert broken(case, table(("work", P1, 5, 17.5)), P1) == rules
    case = small(areas=edited("areas", 0, usable_m2=80.0, is_by_train=True), components=PARTS)
    two = table(("work", P1, 5, 30), ("work", P3, 5, 30))  # five heads on each side
    assert broken(case, two, P1, P3) == []
    same = table(("work", P1, 5, 30), ("work", P4, 5, 30))  # ten on one
    assert broken(case, same, P1, P4) == ["areas"]


def test_days_are_counted_from_breaker_open() -> None:
    case = small()
    breach = judge_schedule(case, plan(case, P1), table(("work", P1, 4, 20)))[0]
    assert breach.text == (
        "work of P1 (replace) in O1: it is on days 4 to 20, it can be from 5 to 35."
    )
    assert breach.amount == pytest.approx(1.0) and O1 == 731.0
