"""One component, one replacement, no limits: the plan finds the optimal age for replacement.

A component that fails once and stands failed with a derate worth g a year, replaced at T by a
design that fails at once and stands with the same derate, costs (beside constants)
Cp + (Cf - Cp) F(T) - g x integral of R up to T. With g the least cost rate, the best T is the
optimal age for replacement; g is found by stepping to the cost rate of the T just chosen.
"""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from scipy import integrate

from bundler.compose import choices_of
from bundler.program.build import build_program
from bundler.solve.highs import Options
from bundler.solve.search import search
from tests.cases import PLANNING, case, one_unit, settings

SCALE_YEARS = 10.0
DAY_VALUE = 100.0
NAME = frozenset({"PUMP-1"})


def dense_station(
    shape: float, ratio: float, rate: float, every_days: float, last_years: float
) -> Any:
    """Return a station whose only unit can be stopped for a moment every few days."""
    count = int(last_years * 365.25 / every_days)
    outages: list[dict[str, Any]] = [
        {"outage": f"P{n:04d}", "unit": "U1", "kind": "planned", "days": 0.002,
         "start_date": PLANNING + timedelta(days=round(n * every_days)), "freeze_date": "2029-01-01"}
        for n in range(1, count + 1)
    ]  # fmt: skip
    family = {
        "family": "PUMP", "name": "pump", "area": "TB", "life_years": SCALE_YEARS, "shape_ratio": shape,
        "repair_cost": ratio - 1, "on_failure": "stand", "derate_share": rate / DAY_VALUE / 365.25,
        "max_works_count": 1.0,
    }  # fmt: skip
    action = {"family": "PUMP", "action": "replace", "cost": 1.0, "days": 0.001, "conditions": "D",
              "new_life_years": 1e-6, "new_shape_ratio": 1.0}  # fmt: skip
    base = settings(horizon_end_date=date(2038, 1, 1))
    tables = one_unit(
        outages=outages, families=[family], actions=[action], action_hours=[],
        windows=[{"kind": "planned", "condition": "D"}],
        components=[{"component": "PUMP-1", "unit": "U1", "family": "PUMP", "renewed_date": PLANNING}],
        pins=[{"component": "PUMP-1", "rule": "in", "who": "test", "why": "one replacement"}],
    )  # fmt: skip
    return case(replace(base, grid_years=99.0), **tables)  # stops alone make the grid: even cells


def best_age(
    shape: float, ratio: float, rate: float, every_days: float, last_years: float
) -> float:
    """Return the age [years] at which the plan replaces the component."""
    station = dense_station(shape, ratio, rate, every_days, last_years)
    choices, _ = choices_of(station, NAME)
    solved = search(build_program(choices), Options(gap_share=0.0), lambda stage, share: None)
    placed = choices.works[choices.works["course"].isin(solved.courses)]["placement"]
    age = choices.placements.set_index("placement").loc[placed, "effect_days"].sum() / 365.25
    return float(age)


def cost_rate(shape: float, ratio: float, age: float) -> float:
    """Return the long-run cost rate of replacement at this age, from its textbook formula."""

    def alive(t: float) -> float:
        return float(np.exp(-((t / SCALE_YEARS) ** shape)))

    mean, _ = integrate.quad(alive, 0, age)
    return (alive(age) + ratio * (1 - alive(age))) / mean


def planned_optimum(
    shape: float, ratio: float, every_days: float, last_years: float
) -> tuple[float, float]:
    """Return age and cost rate at which the plan settles."""
    rate = cost_rate(shape, ratio, SCALE_YEARS)
    for _ in range(8):
        age = best_age(shape, ratio, rate, every_days, last_years)
        if abs(cost_rate(shape, ratio, age) - rate) < 1e-9:
            break
        rate = cost_rate(shape, ratio, age)
    return age, rate


@pytest.mark.parametrize(
    ("shape", "ratio", "age", "share"),
    [
        (2.0, 5.0, 0.510655224, 0.724090255),
        (2.5, 5.0, 0.493046958, 0.614349051),
        (3.0, 10.0, 0.382455531, 0.352668890),
        (3.5, 20.0, 0.332073951, 0.190107463),
    ],
)
def test_exact_table_of_optimal_ages(shape: float, ratio: float, age: float, share: float) -> None:
    """Age replacement, Weibull: T*/eta and cost over run-to-failure, computed exactly from the
    first-order condition (references 3.2; 2.5 and 5 is also the reliability library's documented
    example, references 3.1). Stops every 18 days: T* to half a step, cost to 0.01 %."""
    from math import gamma

    found, rate = planned_optimum(shape, ratio, 18.0, 7.5)
    assert found == pytest.approx(age * SCALE_YEARS, abs=10 / 365.25)
    failing = ratio / (SCALE_YEARS * gamma(1 + 1 / shape))
    assert rate / failing == pytest.approx(share, rel=1e-4)


def test_the_denser_the_calendar_the_closer() -> None:
    """With stops every 360, 90 and 30 days the cost rate falls towards 0.346204 a year
    (references 3.1 at eta = 10 years)."""
    rates = [planned_optimum(2.5, 5.0, every, 8.0)[1] for every in (360.0, 90.0, 30.0)]
    assert rates[0] >= rates[1] >= rates[2] >= 0.346204274 - 1e-9
    assert rates[2] == pytest.approx(0.346204274, rel=2e-4)
