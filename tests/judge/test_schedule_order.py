"""The judge on the order and supplies of schedules: for each rule one that holds, one that breaks.

O1 has 40 days, D holds from day 5 to day 35.
"""

from typing import Any

from bundler.judge.schedule import judge_schedule
from tests.judge.small import added, edited, plan, small
from tests.judge.test_schedule import FEW, P1, P3, P4, PARTS, V1, broken, table

ISO: dict[str, Any] = {
    "supplies": [{"supply": "ISO", "name": "isolations", "measure": "isolations"}],
    "supply_amounts": [{"supply": "ISO", "kind": "planned", "amount_per_day": 2.0}],
    "action_supplies": [{"family": "PUMP", "action": "replace", "supply": "ISO", "amount": 26.0}],
}


def test_a_supply_is_spread_over_the_work() -> None:
    """26 in 13 days are two a day, in 12.5 more."""
    assert broken(small(**ISO), table(("work", P1, 5, 18)), P1) == []
    assert broken(small(**ISO), table(("work", P1, 5, 17.5)), P1) == ["supplies"]
    daily = [ISO["action_supplies"][0] | {"amount": 2.5, "is_daily": True}]
    assert broken(small(**ISO | {"action_supplies": daily}), table(("work", P1, 5, 30)), P1) == [
        "supplies"
    ]
    assert broken(small(**ISO | {"supply_amounts": []}), table(("work", P1, 5, 30)), P1) == [
        "supplies"
    ]


def test_a_supply_in_a_condition_asks_for_a_test_there() -> None:
    """Four slots at two a day are two days in T; two tests at once would need four a day."""
    windows = added(
        "windows", {"kind": "planned", "condition": "T", "from_days": 30.0, "to_days": -1.0}
    )
    tables = ISO | {
        "supply_amounts": [ISO["supply_amounts"][0] | {"condition": "T"}],
        "action_supplies": [ISO["action_supplies"][0] | {"amount": 4.0}],
        "windows": windows, "components": PARTS, "action_hours": FEW,
    }  # fmt: skip
    case, work, other = small(**tables), ("work", P1, 5.0, 18.0), ("work", P3, 5.0, 18.0)
    assert broken(case, table(work, ("test", P1, 30, 32)), P1) == []
    assert broken(case, table(work), P1) == ["test"]
    assert broken(case, table(work, ("test", P1, 29, 31)), P1) == ["test"]
    assert broken(case, table(work, ("test", P1, 30, 31)), P1) == ["supplies", "test"]
    rows = (work, other, ("test", P1, 30, 32))
    assert broken(case, table(*rows, ("test", P3, 32, 34)), P1, P3) == []
    assert broken(case, table(*rows, ("test", P3, 31, 33)), P1, P3) == ["supplies"]


RADIO: dict[str, Any] = {
    "supplies": [{"supply": "RAD", "name": "radiography", "measure": "nights"}],
    "supply_amounts": [
        {"supply": "RAD", "kind": "planned", "amount_per_day": 1.0, "condition": "R"}
    ],
    "action_supplies": [{"family": "PUMP", "action": "replace", "supply": "RAD", "amount": 1.0}],
    "windows": added(
        "windows",
        {"kind": "planned", "condition": "R", "from_days": 15.0, "to_days": -15.0},
        {"kind": "planned", "condition": "H", "from_days": 25.0, "to_days": -1.0},
    ),
    "components": PARTS,
    "action_hours": FEW,
}


def test_a_supply_in_a_condition_is_taken_by_the_test_there() -> None:
    """One radiography a day from day 15 to 25, another test from day 25 on: two at once are two."""
    case = small(**RADIO, actions=edited("actions", 0, test_days=1.0, test_condition="H"))
    works = (("work", P1, 5.0, 15.0), ("work", P3, 5.0, 15.0))
    later = (("test", P1, 30.0, 31.0), ("test", P3, 32.0, 33.0))
    for day, rules in ((17.0, []), (16.5, ["supplies"])):
        first = (("test", P1, 16.0, 17.0), ("test", P3, day, day + 1))
        assert broken(case, table(*works, *first, *later), P1, P3) == rules


def test_each_test_asked_for_is_made_in_its_own_condition() -> None:
    """Radiography and a test in H; two of the same do not stand for both."""
    case = small(**RADIO, actions=edited("actions", 0, test_days=1.0, test_condition="H"))
    work, radio, last = (
        ("work", P1, 5.0, 15.0), ("test", P1, 16.0, 17.0), ("test", P1, 30.0, 31.0),
    )  # fmt: skip
    assert broken(case, table(work, radio, last), P1) == []
    assert broken(case, table(work, radio, ("test", P1, 18, 19)), P1) == ["test"]
    assert broken(case, table(work, last, ("test", P1, 32, 33)), P1) == ["test"]
    assert broken(case, table(work, last), P1) == ["test"]
    assert broken(case, table(work, radio, last, last), P1) == ["test"]
    breach = judge_schedule(case, plan(case, P1), table(work, radio, ("test", P1, 18, 19)))[0]
    assert breach.text == "test of P1 (replace) in O1: it is not on 1 days of condition H."


def test_a_test_in_its_own_span_is_told_from_one_in_a_condition() -> None:
    """The valve waits for the pump's own test, on day 34, and not for its radiography."""
    tables = RADIO | {"links": [link("before")["links"][0]]}
    case = small(**tables, actions=edited("actions", 0, test_days=1.0))
    pump = (("work", P1, 5.0, 15.0), ("test", P1, 16.0, 17.0), ("test", P1, 32.0, 33.0))
    for start, rules in ((33.0, []), (32.5, ["before"])):
        assert broken(case, table(*pump, ("work", V1, start, start + 5)), P1, V1) == rules


def test_no_test_without_its_work() -> None:
    case = small(actions=edited("actions", 0, test_days=2.0), action_hours=FEW)
    assert broken(case, table(out=(P1,)), P1) == []
    assert broken(case, table(("test", P1, 15, 17), out=(P1,)), P1) == ["test"]


def link(rule: str, **more: Any) -> dict[str, Any]:
    row = {
        "link": "l",
        "rule": rule,
        "first_family": "PUMP",
        "second_family": "VALVE",
        "match": "unit",
    }
    return {"links": [row | more], "action_hours": FEW, "components": PARTS}


def test_what_goes_before() -> None:
    case = small(**link("before", lag_days=3.0))
    for start, rules in ((18.0, []), (17.5, ["before"])):
        assert (
            broken(case, table(("work", P1, 5, 15), ("work", V1, start, start + 5)), P1, V1)
            == rules
        )
    assert broken(case, table(("work", V1, 18, 23), out=(P1,)), P1, V1) == ["before"]
    assert broken(case, table(("work", P1, 5, 15), out=(V1,)), P1, V1) == []


def test_what_is_done_elsewhere_is_not_waited_for() -> None:
    case = small(**link("before"))
    early = ("P1", "replace", "U1-2028")
    case_on_line = small(**link("before"), windows=edited("windows", 2, condition="D"))
    both = table(("work", P1, 5, 15), ("work", V1, 0, 5))
    assert "before" in broken(case, both, P1, V1)
    assert "before" not in broken(case_on_line, both, early, P1, V1)


def test_what_goes_with_a_work() -> None:
    """Needs and triggers ask for the second of a running first; together for both."""
    first, second = ("work", P1, 5.0, 15.0), ("work", V1, 0.0, 5.0)
    for rule, alone in (("needs", []), ("triggers", []), ("together", ["needed"])):
        case = small(**link(rule))
        assert broken(case, table(first, second), P1, V1) == []
        assert broken(case, table(first, out=(V1,)), P1, V1) == ["needed"]
        assert broken(case, table(second, out=(P1,)), P1, V1) == alone
        assert broken(case, table(first), P1) == []  # not in the plan: the judge of plans says so
    early = ("V1", "overhaul", "U1-2028")
    assert broken(small(**link("triggers")), table(first, out=(V1,)), early, P1, V1) == []
    assert broken(small(**link("needs")), table(first, out=(V1,)), early, P1, V1) == ["needed"]


def test_what_is_kept_apart() -> None:
    case = small(**link("apart"))
    assert broken(case, table(("work", P1, 5, 15), ("work", V1, 15, 20)), P1, V1) == []
    assert broken(case, table(("work", P1, 5, 15), ("work", V1, 14.5, 20)), P1, V1) == ["apart"]
    elsewhere = small(**link("apart", only_unit="U2"))
    assert broken(elsewhere, table(("work", P1, 5, 15), ("work", V1, 14.5, 20)), P1, V1) == []
    one = small(**link("apart", second_family="PUMP"))
    both = table(("work", P1, 5, 15), ("work", P3, 10, 20))
    assert len(judge_schedule(one, plan(one, P1, P3), both)) == 1  # told once


def test_chains_by_train() -> None:
    both = table(("work", P1, 5, 15), ("work", P3, 10, 20))
    same = table(("work", P1, 5, 15), ("work", P4, 10, 20))
    after = table(("work", P1, 5, 15), ("work", P4, 15, 25))
    tables: dict[str, Any] = {"components": PARTS, "action_hours": FEW}
    case = small(**tables, chains=[{"chain": "c-*", "family": "PUMP"}])
    assert broken(case, both, P1, P3) == []
    assert broken(case, same, P1, P4) == ["chain"]
    assert broken(case, after, P1, P4) == []
    assert broken(small(**tables, chains=[{"chain": "c", "family": "PUMP"}]), both, P1, P3) == [
        "chain"
    ]


def test_lines_in_service() -> None:
    groups: dict[str, Any] = {
        "groups": [{"group": "G", "name": "pumps", "line_by": "train"}],
        "group_members": [{"group": "G", "family": "PUMP"}],
        "group_needs": [{"group": "G", "kind": "planned", "in_service_count": 1}],
        "components": PARTS, "action_hours": FEW,
    }  # fmt: skip
    both = table(("work", P1, 5, 15), ("work", P3, 10, 20))
    after = table(("work", P1, 5, 15), ("work", P3, 15, 25))
    one_line = table(("work", P1, 5, 15), ("work", P4, 10, 20))
    assert broken(small(**groups), both, P1, P3) == ["lines"]
    assert broken(small(**groups), after, P1, P3) == []
    assert broken(small(**groups), one_line, P1, P4) == []
    held = [
        groups["group_needs"][0],
        groups["group_needs"][0] | {"condition": "D", "in_service_count": 0},
    ]
    assert broken(small(**groups | {"group_needs": held}), both, P1, P3) == []
