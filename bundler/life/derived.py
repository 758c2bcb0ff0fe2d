"""What follows from a life curve: survival, hazard, chances, residual life."""

from typing import Protocol, runtime_checkable

import numpy as np
from scipy import integrate, optimize

from bundler.life.curves import FloatArray, LifeCurve

#: step of the central difference over the age; keeps its relative error below 1e-9
STEP = 1e-4
#: rises of H at which an integral of survival is cut into stretches that quadrature handles well
CUTS = (1e-9, 1e-3, 0.05, 0.3, 0.7, 1.5, 3.0, 7.0, 20.0, 40.0)
#: a span that is longer than this never ends [years]
FOREVER_YEARS = 1e100


@runtime_checkable
class StatesHazard(Protocol):
    """A life curve that states its own hazard."""

    def hazard_per_year(self, age_years: FloatArray) -> FloatArray:
        """Return h(age) [1/year]."""


def survival(curve: LifeCurve, age_years: FloatArray) -> FloatArray:
    """Return S(age) = exp(-H(age)) [-]."""
    result: FloatArray = np.exp(-curve.cumulative_hazard(np.asarray(age_years, dtype=float)))
    return result


def failure_chance(curve: LifeCurve, age_years: FloatArray, span_years: FloatArray) -> FloatArray:
    """Return the chance of failing in (a, a + x] given survival to a [-].

    1 - exp(H(a) - H(a + x)); ages and spans in years.
    """
    age = np.asarray(age_years, dtype=float)
    ahead = curve.cumulative_hazard(age + np.asarray(span_years, dtype=float))
    result: FloatArray = np.maximum(-np.expm1(curve.cumulative_hazard(age) - ahead), 0.0)
    return result  # two roundings of the same H may differ in the last digit


def hazard(curve: LifeCurve, age_years: FloatArray) -> FloatArray:
    """Return h(age) = dH/da [1/year].

    As the curve states it, or else by a fourth-order central difference; age 0 then stands for
    a billionth of a year.
    """
    age = np.asarray(age_years, dtype=float)
    if isinstance(curve, StatesHazard):
        return curve.hazard_per_year(age)
    age = np.maximum(age, 1e-9)
    step = STEP * age
    near = curve.cumulative_hazard(age + step) - curve.cumulative_hazard(age - step)
    far = curve.cumulative_hazard(age + 2 * step) - curve.cumulative_hazard(age - 2 * step)
    result: FloatArray = (8 * near - far) / (12 * step)
    return result


def span_to_rise(curve: LifeCurve, age_years: float, rise: float) -> float:
    """Return the span x after which H has grown by `rise` since this age [years].

    inf where H never grows so far. The chance of failing within x is 1 - exp(-rise).
    """
    start = float(curve.cumulative_hazard(np.array(age_years)))

    def over(span: float) -> float:
        grown = float(curve.cumulative_hazard(np.array(age_years + span))) - start
        return min(grown, 1e9) - rise

    top = 1.0
    while over(top) < 0:
        top *= 2
        if top > FOREVER_YEARS:
            return np.inf
    while over(top / 2) > 0 and top > 1e-300:
        top /= 2
    return float(optimize.brentq(over, top / 2, top, xtol=1e-14 * top, rtol=1e-14))


def median_residual_years(curve: LifeCurve, age_years: float) -> float:
    """Return the residual life that half of those alive at this age reach [years]."""
    return span_to_rise(curve, age_years, float(np.log(2)))


def _alive_years(curve: LifeCurve, age_years: float, edges_years: FloatArray) -> FloatArray:
    """Return the integral of S(a + x) / S(a) over x in each stretch between the edges [years]."""
    start = float(curve.cumulative_hazard(np.array(age_years)))

    def alive(span: float) -> float:
        return float(np.exp(start - curve.cumulative_hazard(np.array(age_years + span))))

    parts = [
        integrate.quad(alive, low, high, epsabs=0, epsrel=1e-12, limit=200, full_output=True)[0]
        for low, high in zip(edges_years, edges_years[1:], strict=False)
    ]
    return np.array(parts, dtype=float)


def mean_residual_years(curve: LifeCurve, age_years: float) -> float:
    """Return the mean residual life at this age: integral of S(a + x) / S(a) over x [years].

    Adaptive quadrature between set rises of H, so that no kink hides between its points, then over
    doubling stretches until the rest is below a trillionth; inf where there is no mean.
    """
    spans = np.array([0.0, *(span_to_rise(curve, age_years, rise) for rise in CUTS)])
    cuts = np.unique(spans[np.isfinite(spans)])
    low = max(float(cuts[-1]), 1.0)
    total = float(_alive_years(curve, age_years, np.append(cuts, low)).sum())
    while low < FOREVER_YEARS:
        part = float(_alive_years(curve, age_years, np.array([low, 2 * low]))[0])
        total, low = total + part, 2 * low
        if part <= 1e-13 * total:
            return total
    return float(np.inf)
