"""The long-run best age for replacement or overhaul, if outages were free and always there."""

from collections.abc import Callable

import numpy as np
from scipy import integrate, optimize

from bundler.life.curves import LifeCurve
from bundler.life.derived import median_residual_years, span_to_rise, survival

#: cumulative hazard beyond which nothing lives on that counts (a share of 1e-17)
LAST_RISE = 40.0
#: pieces in which the time lived is integrated
PIECES = 8

#: ages looked at, in median lives; beyond the last one counts as never; our choice
LADDER_MEDIANS = np.geomspace(1e-4, 1e3, 300)


def _lived_years(curve: LifeCurve, age_years: float) -> float:
    """Return the integral of R up to an age: the mean time lived if replaced then [years]."""
    top = min(age_years, span_to_rise(curve, 0.0, LAST_RISE))
    edges = np.linspace(0.0, top, PIECES + 1)
    parts = [
        integrate.quad(lambda t: float(survival(curve, np.array(t))), a, b, epsrel=1e-10)[0]
        for a, b in zip(edges[:-1], edges[1:], strict=True)
    ]
    return float(np.sum(parts))


def replacement_cost_rate(
    curve: LifeCurve, planned_cost: float, failure_cost: float, age_years: float
) -> float:
    """Return the long-run cost a year of replacing at this age or at failure, whichever is first.

    C(T) = (Cp R(T) + Cf F(T)) / integral of R up to T (Jardine and Tsang, chapter 2).
    """
    alive = float(survival(curve, np.array(age_years)))
    lived = _lived_years(curve, age_years)
    return float((planned_cost * alive + failure_cost * (1 - alive)) / lived)


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
    """Return the age of least cost rate, infinite where it only falls or nothing wears out."""
    if not np.isfinite(median_years):
        return float("inf")
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
