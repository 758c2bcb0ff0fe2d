"""Expected failures in the cells of a stretch of time, by what a failure does."""

import math

import numpy as np
from numpy.typing import NDArray

from bundler.life.curves import LifeCurve
from bundler.life.taken_over import TakenOver

FloatArray = NDArray[np.float64]
#: coarsest step of the renewal equation, and the chance of failing in half a step it aims at
STEP_YEARS = 1 / 24
STEP_CHANCE = 0.02
MOST_STEPS = 4000


def failures_in_cells(
    mode: str,
    curve: LifeCurve,
    age_years: float,
    offsets_years: FloatArray,
    lasts_years: float = math.inf,
) -> tuple[FloatArray, FloatArray]:
    """Return expected failures in each cell, and the chance of standing failed at its middle.

    Parameters
    ----------
    mode
        repair: failures come at the rate of the age; renew: each failure starts a new life;
        stand: one failure at most.
    curve
        Life curve, here with its cumulative hazard H.
    age_years
        Age at the start of the stretch; the component is taken to work then.
    offsets_years
        Edges of the cells, counted from the start of the stretch.
    lasts_years
        With renew, what fails for the first time after so many years is not counted.
    """
    middle = (offsets_years[1:] + offsets_years[:-1]) / 2
    if mode == "repair" and isinstance(curve, TakenOver):
        return _repairs_after_first(curve, age_years, offsets_years), np.zeros_like(middle)
    if mode == "repair":
        failures = np.diff(curve.cumulative_hazard(age_years + offsets_years))
        return failures, np.zeros_like(middle)
    if mode == "stand":
        failures = np.diff(_failed(curve, age_years, offsets_years))
        return failures, _failed(curve, age_years, middle)
    found = _renewals(curve, age_years, offsets_years, lasts_years)
    return np.diff(found), np.zeros_like(middle)


def _repairs_after_first(
    curve: TakenOver, age_years: float, offsets_years: FloatArray
) -> FloatArray:
    """Return failures in each cell: the first by the reading, later ones at the rate behind it.

    The rate behind counts for the chance that the first has come, here at the cell's middle.
    """
    middle = (offsets_years[1:] + offsets_years[:-1]) / 2
    first = np.diff(_failed(curve.first, age_years, offsets_years))
    later = np.diff(curve.after.cumulative_hazard(age_years + offsets_years))
    result: FloatArray = first + _failed(curve.first, age_years, middle) * later
    return result


def _failed(curve: LifeCurve, age_years: float, x_years: FloatArray) -> FloatArray:
    """Return the chance of failing within x of an age: 1 - exp(H(a) - H(a + x))."""
    at_age = curve.cumulative_hazard(np.array([age_years]))
    result: FloatArray = -np.expm1(at_age - curve.cumulative_hazard(age_years + x_years))
    return result


def _failed_soon(curve: LifeCurve, x_years: float) -> float:
    return float(_failed(curve, 0.0, np.array([x_years]))[0])


def _renewals(
    curve: LifeCurve, age_years: float, x_years: FloatArray, lasts_years: float
) -> FloatArray:
    """Return expected failures M up to each x, each failure starting a new life.

    M(x) = Fa(x) + integral of F0(x - y) dM(y), with dM taken at the middle of its step.
    """
    if len(x_years) < 2:
        return np.zeros_like(x_years)
    span = float(x_years[-1])
    count = math.ceil(span / STEP_YEARS)
    new = curve.after if isinstance(curve, TakenOver) else curve
    while count < MOST_STEPS and _failed_soon(new, span / count / 2) > STEP_CHANCE:
        count *= 2
    x = np.linspace(0.0, span, count + 1)
    first = _failed(curve, age_years, np.minimum(x, lasts_years))
    later = _failed(new, 0.0, x + span / count / 2)
    steps = np.zeros(count + 1)
    total = 0.0
    for j in range(1, count + 1):
        repeated = float(steps[1:j] @ later[j - 1 : 0 : -1])
        steps[j] = (float(first[j]) + repeated - total) / (1 - float(later[0]))
        total += float(steps[j])
    result: FloatArray = np.interp(x_years, x, np.cumsum(steps))
    return result
