"""The judge on what levelling found to fit, worked by hand."""

import pytest

from bundler.judge import judge
from tests.judge.small import P1, broken, plan, small


def row(resource: str, amount: float, last: float = 35.0) -> dict[str, list[dict[str, object]]]:
    return {
        "levelled": [
            {"outage": "O1", "resource": resource, "from_days": 5.0, "to_days": last,
             "amount": amount},
        ]
    }  # fmt: skip


def test_hours_inside_the_window() -> None:
    # 500 h of the pump, which may be worked on in days 5 to 35 only
    assert broken(small(**row("M", 500.0)), P1) == []
    case = small(**row("M", 480.0))
    found = judge(case, plan(case, P1))
    assert [(breach.rule, breach.place) for breach in found] == [("levelled", "O1 M")]
    assert "days 5 to 35: 500.0 are planned, 480.0 fit" in found[0].text
    assert found[0].amount == pytest.approx(20.0)
    assert broken(small(**row("M", 480.0, last=34.0)), P1) == []


def test_head_days_of_an_area() -> None:
    # 500 h at 8 x 0.5 h a day
    for amount, rules in ((125.0, []), (124.9, ["levelled"])):
        assert broken(small(**row("area.TB", amount)), P1) == rules


def test_a_supply() -> None:
    isolations = {
        "supplies": [{"supply": "ISO"}],
        "supply_amounts": [{"supply": "ISO", "kind": "planned", "amount_per_day": 2.0}],
        "action_supplies": [
            {"family": "PUMP", "action": "replace", "supply": "ISO", "amount": 20.0},
        ],
    }
    for amount, rules in ((20.0, []), (19.0, ["levelled"])):
        assert broken(small(**isolations | row("ISO", amount)), P1) == rules
