import pytest

from bundler.judge import judge
from tests.judge.small import P1, P2, V1, added, broken, edited, plan, small

ISO = {
    "supplies": [{"supply": "ISO"}],
    "supply_amounts": [{"supply": "ISO", "kind": "planned", "amount_per_day": 2.0}],
    "action_supplies": [
        {"family": "PUMP", "action": "replace", "supply": "ISO", "amount": 60.0},
    ],
}


def taken(amount: float, **more: object) -> list[dict[str, object]]:
    return [ISO["action_supplies"][0] | {"amount": amount} | more]


def test_what_there_is_in_the_window_of_the_work() -> None:
    # 2 a day on the 30 drained days
    assert broken(small(**ISO), P1, P2) == []
    case = small(**ISO | {"action_supplies": taken(61.0)})
    found = judge(case, plan(case, P1))
    assert [(breach.rule, breach.place) for breach in found] == [("supplies", "O1 ISO")]
    assert "days 5 to 35: 61.0 are taken, 60.0 are there" in found[0].text
    assert found[0].amount == pytest.approx(1.0)
    assert broken(case, P1, extension={"O1": 0.5}) == []


def test_what_there_is_in_the_whole_outage() -> None:
    # 60 in the window, and 20 more of a work that may be done on any of the 40 days
    more = {"family": "VALVE", "action": "overhaul", "supply": "ISO"}
    for amount, rules in ((20.0, []), (20.5, ["supplies"])):
        both = [*ISO["action_supplies"], more | {"amount": amount}]
        assert broken(small(**ISO | {"action_supplies": both}), P1, V1) == rules


def test_what_is_taken_each_day() -> None:
    assert broken(small(**ISO | {"action_supplies": taken(6.0, is_daily=True)}), P1) == []
    case = small(**ISO | {"action_supplies": taken(6.1, is_daily=True)})
    assert broken(case, P1) == ["supplies"]


def test_what_is_there_in_a_condition_is_for_all_works_of_the_outage() -> None:
    # T on 4 days, from day 35: after the window of the pump
    windows = added(
        "windows", {"kind": "planned", "condition": "T", "from_days": 35.0, "to_days": -1.0}
    )
    amounts = [ISO["supply_amounts"][0] | {"condition": "T"}]
    for amount, rules in ((8.0, []), (8.1, ["supplies"])):
        case = small(
            **ISO
            | {"supply_amounts": amounts, "windows": windows, "action_supplies": taken(amount)}
        )
        assert broken(case, P1) == rules
        # days added to the outage are none of that condition
        assert broken(case, P1, extension={"O1": 3.0}) == rules


def test_the_pieces_of_a_season_add_up() -> None:
    # T in January and from 10 February: O1 is from 1 January to 9 February, 31 days of January
    windows = added("windows", {"kind": "planned", "condition": "T"})
    conditions = [{"condition": "T", "season_from_month": 12.0, "season_to_month": 1.0}]
    amounts = [ISO["supply_amounts"][0] | {"condition": "T"}]
    tables = ISO | {"supply_amounts": amounts, "windows": windows, "conditions": conditions}
    for amount, rules in ((62.0, []), (62.1, ["supplies"])):
        assert broken(small(**tables | {"action_supplies": taken(amount)}), P1) == rules


def test_without_a_row_an_outage_has_none_and_on_line_there_is_no_limit() -> None:
    assert broken(small(**ISO | {"supply_amounts": []}), P1) == ["supplies"]
    windows = edited("windows", 2, condition="D")
    line = ("P1", "replace", "U1-2030")
    crews = added("crews", {"resource": "M", "kind": "on_line", "heads_count": 10.0})
    tables = ISO | {"windows": windows, "crews": crews}
    assert broken(small(**tables), line) == []
    amounts = added("supply_amounts", {"supply": "ISO", "kind": "on_line", "amount_per_day": 0.1})
    assert broken(small(**tables | {"supply_amounts": amounts}), line) == ["supplies"]
