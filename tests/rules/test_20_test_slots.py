"""Tests for return to service within the slots of commissioning."""

from pathlib import Path

import pytest

from bundler.case import Case
from tests.rules.rule import has_stored_lp, planned
from tests.rules.two_pumps import (
    FIRST,
    LATER,
    SECOND,
    edited,
    found_in,
    periods,
    rules_broken,
    two_pumps,
)


def slots(amount_per_day: float) -> Case:
    """Return pumps that take a slot each; slots are there in the last 4 days but one."""
    return two_pumps(
        conditions=[*edited("conditions"), {"condition": "C", "name": "commissioning"}],
        windows=[
            *edited("windows"),
            {"kind": "planned", "condition": "C", "from_anchor": "end", "from_days": -5.0,
             "to_days": -1.0},
        ],
        supplies=[{"supply": "TEST", "name": "test slots", "measure": "slots"}],
        supply_amounts=[
            {"supply": "TEST", "kind": "planned", "condition": "C",
             "amount_per_day": amount_per_day},
        ],
        action_supplies=[
            {"family": "PUMP", "action": "replace", "supply": "TEST", "amount": 1.0},
        ],
    )  # fmt: skip


def test_rule_20_binds_one_test_is_made() -> None:
    """A slot in every other day: 2 in 4 d are enough for two, 1.6 are not."""
    found = planned(slots(0.4))
    assert periods(found) == ["P1", "P2"]
    assert found.breaches == []


def test_rule_20_does_not_bind_with_slots_for_both() -> None:
    held, free = planned(slots(0.5)), planned(two_pumps())
    assert periods(held) == ["P1", "P1"]
    assert held.pv_cost == pytest.approx(free.pv_cost)


def test_rule_20_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("20_test_slots", slots(0.4), tmp_path, request)


def test_rule_20_breach_is_named() -> None:
    assert rules_broken(slots(0.4), FIRST, SECOND) == {"supplies"}
    text = found_in(slots(0.4), FIRST, SECOND)[0].text
    assert text == "P1 TEST, days 0 to 40: 2.0 are taken, 1.6 are there."
    assert rules_broken(slots(0.4), FIRST, LATER) == set()
    assert rules_broken(slots(0.4), FIRST, SECOND, extension={"P1": 5.0}) == {"supplies"}
