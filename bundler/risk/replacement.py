"""The long-run best age for replacement or overhaul, if outages were free and always there."""

from collections.abc import Callable

import numpy as np
from scipy import integrate, optimize

from bundler.life.curves import LifeCurve
from bundler.life.derived import median_residual_years, survival

#: ages looked at, in median lives; beyond the last one counts as never; our choice
LADDER_MEDIANS = np.geomspace(0.005, 20.0, 160)


def replacement_cost_rate(
    curve: LifeCurve, planned_cost: float, failure_cost: float, age_years: float
) -> float:
    """Return the long-run cost a year of replacing at this age or at failure, whichever is first.

    C(T) = (Cp R(T) + Cf F(T)) / integral of R up to T (Jardine and Tsang, chapter 2).
    """
    alive = float(survival(curve, np.array(age_years)))
    mean, _ = integrate.quad(
        lambda t: float(survival(curve, np.array(t))), 0, age_years, limit=200, epsrel=1e-11
    )
    return float((planned_cost * alive + failure_cost * (1 - alive)) / mean)


def overhaul_cost_rate(
    curve: LifeCurve, overhaul_cost: float, repair_cost: float, age_years: float
) -> float:
    """Return the long-run cost a year of overhauls at this age with minimal repair between them.

    C(T) = (Co + Cm H(T)) / T.
    """
    return (
        float(overhaul_cost + repair_cost * curve.cumulative_hazard(np.array(age_years)))
        / age_years
    )


def _least(rate: Callable[[float], float], median_years: float) -> float:
    """Return the age of least cost rate, infinite where it only falls."""
    ages = median_years * LADDER_MEDIANS
    costs = [rate(float(age)) for age in ages]
    best = int(np.argmin(costs))
    if best == len(ages) - 1 or costs[best] >= costs[-1] * (1 - 1e-9):
        return float("inf")
    low, high = float(ages[max(best - 1, 0)]), float(ages[best + 1])
    found = optimize.minimize_scalar(
        rate, bounds=(low, high), method="bounded", options={"xatol": low * 1e-10}
    )
    return float(found.x)


def best_replacement_age(curve: LifeCurve, planned_cost: float, failure_cost: float) -> float:
    """Return the age for replacement of least long-run cost [years]; infinite: run to failure."""

    def rate(age: float) -> float:
        return replacement_cost_rate(curve, planned_cost, failure_cost, age)

    return _least(rate, median_residual_years(curve, 0.0))


def best_overhaul_age(curve: LifeCurve, overhaul_cost: float, repair_cost: float) -> float:
    """Return the time between overhauls of least long-run cost [years]; infinite: never."""

    def rate(age: float) -> float:
        return overhaul_cost_rate(curve, overhaul_cost, repair_cost, age)

    return _least(rate, median_residual_years(curve, 0.0))
