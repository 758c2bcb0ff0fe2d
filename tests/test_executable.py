"""A plan made executable: what finds no room on days is fed back until all has its days."""

from typing import Any

import pytest

from bundler.case import Case
from bundler.executable import Ask, Executed, executed
from bundler.level.chances import Doubts
from bundler.level.solve import Effort
from bundler.plan.chosen import cost_parts
from bundler.reopen import around_works
from bundler.run import silent
from bundler.solve.highs import Options
from tests.cases import case, one_unit, settings

EXACT = Options(gap_share=0.0)
EFFORT = Effort(work=2.0, most_seconds=60.0)
BOTH = {("PUMP-1", "replace", "P1"), ("PUMP-2", "replace", "P1")}


def station(**more: Any) -> Case:
    """Two pumps; each takes 2 of 3 m2 of laydown on each of its 16 days, in 30 drained days.

    As sums both go in: 64 of 90 m2-days. On days only one at a time does, and 32 days are not there.
    """
    pumps = [{"component": f"PUMP-{n}", "unit": "U1", "family": "PUMP"} for n in (1, 2)]
    action = {"family": "PUMP", "action": "replace", "cost": 30.0, "days": 16.0, "conditions": "D"}
    tables: dict[str, Any] = {
        "components": pumps,
        "action_hours": [
            {"family": "PUMP", "action": "replace", "resource": "M", "work_hours": 100.0}
        ],
        "actions": [action],
        "supplies": [{"supply": "LAY", "name": "laydown", "measure": "m2"}],
        "supply_amounts": [{"supply": "LAY", "kind": "planned", "amount_per_day": 3.0}],
        "action_supplies": [
            {
                "family": "PUMP",
                "action": "replace",
                "supply": "LAY",
                "amount": 2.0,
                "is_daily": True,
            }
        ],
    }
    return case(settings(), **one_unit(**tables | more))


def made(own: Case, rounds: int, promise: Doubts | None = None) -> Executed:
    opened = around_works(own, frozenset(BOTH))
    assert opened is not None
    return executed(opened, Ask((), EFFORT, EXACT, rounds, promise), silent)


def test_without_rounds_it_says_what_finds_no_room() -> None:
    found = made(station(), 0)
    assert not found.is_executable
    assert len(found.stuck) == 1 and found.stuck["outage"].tolist() == ["P1"]
    assert [each.left_out_count for each in found.rounds] == [1]
    assert found.breaches == ()


def test_what_fits_is_fed_back_until_every_work_has_its_days() -> None:
    """One work of 16 days at 2 m2 runs: 32 m2-days fit in days 5 to 35."""
    found = made(station(), 2)
    row = found.fits.iloc[0]
    assert (row["outage"], row["resource"], row["from_days"], row["to_days"]) == (
        "P1",
        "LAY",
        5,
        35,
    )
    assert row["amount"] == pytest.approx(32.0)
    assert found.is_executable and found.clash == ""
    in_first = found.plan.picked.works.query("period == 'P1'")
    assert len(in_first) == 1
    assert found.rounds[-1].left_out_count == 0 and found.rounds[1].moved_count >= 1
    assert found.breaches == ()


def test_the_plan_fed_back_is_the_best_that_keeps_what_fits() -> None:
    """Every other placing of the second pump costs no less: P2, or never."""
    found = made(station(), 2)
    told = cost_parts(found.plan.choices, found.plan.picked)["objective_pv_cost"]
    others = []
    for more in (set(), {("PUMP-2", "replace", "P2")}):
        opened = around_works(station(), frozenset({("PUMP-1", "replace", "P1")} | more))
        if opened is not None:
            others.append(cost_parts(opened.choices, opened.picked)["objective_pv_cost"])
    assert others
    assert told == pytest.approx(min(others), rel=1e-6)


def test_works_that_a_pin_forces_in_are_told_and_never_moved() -> None:
    pins = [
        {"component": name, "action": "replace", "outage": "P1", "rule": "in", "who": "owner"}
        for name in ("PUMP-1", "PUMP-2")
    ]
    found = made(station(pins=pins), 2)
    assert not found.is_executable
    assert found.fits.empty and len(found.rounds) == 1
    assert len(found.plan.picked.works.query("period == 'P1'")) == 2


def test_a_plan_is_solved_to_the_chance_that_is_asked_for() -> None:
    """Two works of the whole crew end on day 33 of 40 as levelled. With a chance of 0.3 of 20 days
    more in each, both are calm in 49 % of the runs: 45 % sure keeps both, 80 % takes one out."""
    discovery = {"family": "PUMP", "action": "replace", "discovery": "crack", "chance": 0.3}
    more: dict[str, Any] = {
        "discoveries": [discovery | {"days": 20.0, "cost": 10.0}],
        "action_hours": [
            {"family": "PUMP", "action": "replace", "resource": "M", "work_hours": 500.0}
        ],
        "actions": [
            {"family": "PUMP", "action": "replace", "cost": 30.0, "days": 10.0, "conditions": "D"}
        ],
        "supply_amounts": [{"supply": "LAY", "kind": "planned", "amount_per_day": 9.0}],
    }
    calm, sure = (made(station(**more), 1, Doubts(2000, 1, chance)) for chance in (0.45, 0.65))
    assert calm.pins.empty and calm.is_executable
    assert len(calm.plan.picked.works.query("period == 'P1'")) == 2
    assert len(sure.pins) == 1 and set(sure.pins["rule"]) == {"out"}
    assert len(sure.plan.picked.works.query("period == 'P1'")) == 1
    assert sure.breaches == ()
