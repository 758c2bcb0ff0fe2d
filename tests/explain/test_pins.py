"""What a pin costs, against plans solved anew without it."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from bundler.case import Case
from bundler.compose import choices_of
from bundler.explain.pins import ALONE, SAME, pin_costs
from tests.cases import case, one_unit
from tests.rules.rule import planned

WHO = {"who": "scope board", "why": "promised"}


def pump(name: str, age_ratio: float = 1.0) -> dict[str, Any]:
    return {"component": name, "unit": "U1", "family": "PUMP", "age_ratio": age_ratio}


def pumps(pins: Sequence[dict[str, Any]], ratios: Sequence[float], **more: Any) -> Case:
    """Return pumps of different ages, with pins."""
    parts = [pump(f"PUMP-{number}", ratio) for number, ratio in enumerate(ratios, 1)]
    return case(**one_unit(components=parts, pins=[{**WHO, **pin} for pin in pins], **more))


def told(held: Case) -> pd.DataFrame:
    """Return what the pins of a case cost in its exact plan."""
    plan = planned(held)
    choices, courses = choices_of(held)
    return pin_costs(held, choices, courses, plan.picked)


def saving(held: Case, row: Any) -> float:
    """Return what an exact plan without one pin costs less than the plan with it."""
    pins = held["pins"]
    others = pins[pins["file_row"] != row].reset_index(drop=True)
    free = replace(held, tables={**held.tables, "pins": others})
    return planned(held).pv_cost - planned(free).pv_cost


PINS = [
    {"component": "PUMP-1", "action": "replace", "outage": "P1", "rule": "in"},
    {"component": "PUMP-1", "outage": "P2", "rule": "in"},
    {"component": "PUMP-1", "rule": "out"},
    {"component": "PUMP-1", "action": "replace", "outage": "P1", "rule": "out"},
    {"component": "PUMP-1", "outage": "P2", "rule": "only"},
    {"component": "PUMP-1", "action": "replace", "outage": "P1", "rule": "only"},
]


@pytest.mark.parametrize("pin", PINS, ids=lambda pin: f"{pin['rule']}-{pin.get('outage')}")
@pytest.mark.parametrize("ratio", [0.5, 1.0, 1.5, 2.0])
def test_equals_two_exact_plans_where_nobody_else_would_move(
    pin: dict[str, Any], ratio: float
) -> None:
    """Two pumps that share nothing that is full: the difference of two solved plans, to 0.1 k$."""
    held = pumps([pin], [ratio, 1.2])
    [cost] = told(held)["cost_pv_cost"]
    assert cost == pytest.approx(saving(held, 2), abs=0.06)
    assert cost >= 0


def random_pins(seed: int) -> Case:
    """Return three pumps that share a scaffold and a short crew, each with one pin of any sort."""
    rng = np.random.default_rng(seed)
    rules = rng.choice(["in", "out", "only"], 3)
    pins = [
        {
            "component": f"PUMP-{number}",
            "action": str(rng.choice(["replace", ""])),
            "outage": str(rng.choice(["P1", "P2"])),
            "rule": str(rule),
        }
        for number, rule in enumerate(rules, 1)
    ]
    hours = float(rng.uniform(300, 520))
    tables = {
        "action_hours": [
            {"family": "PUMP", "action": "replace", "resource": "M", "work_hours": hours}
        ],
        "access_sets": [{"access_set": "SC", "setup_cost": float(rng.uniform(0, 120))}],
        "access_members": [{"access_set": "SC", "family": "PUMP"}],
        "crews": [
            {"resource": "M", "kind": "planned", "heads_count": 8.0, "direct_share": 0.7}
        ],
    }  # fmt: skip
    return pumps(pins, list(rng.uniform(0.6, 2.0, 3)), **tables)


@pytest.mark.parametrize("seed", range(8))
def test_never_more_than_a_new_plan_saves(seed: int) -> None:
    """Others stand, so a plan solved anew can only save more; and nothing is below 0."""
    held = random_pins(seed)
    for row in told(held).itertuples():
        pin = held["pins"][held["pins"]["component"] == row.component].iloc[0]
        assert 0 <= row.cost_pv_cost <= saving(held, pin["file_row"]) + 0.1


def test_some_of_them_cost_something() -> None:
    costs = pd.concat([told(random_pins(seed)) for seed in range(4)])["cost_pv_cost"]
    assert (costs > 1).any() and (costs == 0).any()


def test_words_tell_what_the_plan_would_do() -> None:
    """An old pump is pinned out of both outages; free it would be replaced as soon as possible."""
    [row] = told(pumps([{"component": "PUMP-1", "rule": "out"}], [2.0])).to_dict("records")
    assert row["instead"] == "replace in P1"
    assert (row["who"], row["why"], row["note"]) == ("scope board", "promised", ALONE)
    [row] = told(pumps([PINS[0]], [2.0])).to_dict("records")
    assert (row["cost_pv_cost"], row["instead"]) == (0.0, SAME)


def test_two_pins_of_a_component_are_taken_out_one_by_one() -> None:
    """Out of P1 and out of P2: without the first it goes into P1, without the second into P2."""
    held = pumps(
        [
            {"component": "PUMP-1", "outage": "P1", "rule": "out"},
            {"component": "PUMP-1", "outage": "P2", "rule": "out"},
        ],
        [2.0],
    )
    assert list(told(held)["instead"]) == ["replace in P1", "replace in P2"]


def test_what_a_condition_bars_is_not_offered() -> None:
    """In P1 the system is never drained: taking out the pin that bars P1 saves nothing."""
    windows = [
        {"kind": "planned", "condition": "D", "from_days": 5.0, "to_anchor": "end", "to_days": -5.0},
        {"kind": "planned", "condition": "D", "outage": "P1", "to_anchor": "start", "to_days": -1.0},
    ]  # fmt: skip
    pin = {"component": "PUMP-1", "outage": "P1", "rule": "out"}
    free = told(pumps([pin], [2.0]))
    barred = told(pumps([pin], [2.0], windows=windows))
    assert free["cost_pv_cost"][0] > 0 and barred["cost_pv_cost"][0] == 0


def test_a_pin_into_a_frozen_outage_is_worth_what_it_saves() -> None:
    """Only the pin lets the work in after scope freeze; without it the plan costs more."""
    outages = [
        {**row, "freeze_date": "2026-12-01"} if row["outage"] == "P1" else row
        for row in one_unit()["outages"]
    ]
    [row] = told(pumps([PINS[0]], [2.0], outages=outages)).to_dict("records")
    assert row["cost_pv_cost"] == 0.0
    assert row["note"].startswith("without it the plan costs ")
    assert row["instead"] == "replace in P2"


def test_no_pins_no_rows() -> None:
    assert told(pumps([], [1.0])).empty
