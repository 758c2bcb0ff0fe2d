"""What follows from a life curve: survival, hazard, chances, residual life."""

import numpy as np
from scipy import integrate, optimize

from bundler.life.curves import FloatArray, LifeCurve

#: relative step of the central difference for the hazard; balances rounding and curvature
STEP = 1e-5


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
    result: FloatArray = -np.expm1(curve.cumulative_hazard(age) - ahead)
    return result


def hazard(curve: LifeCurve, age_years: FloatArray) -> FloatArray:
    """Return h(age) = dH/da [1/year] by a fourth-order central difference; ages above 0."""
    age = np.asarray(age_years, dtype=float)
    step = STEP * np.maximum(age, 1e-6) * 100
    near = curve.cumulative_hazard(age + step) - curve.cumulative_hazard(age - step)
    far = curve.cumulative_hazard(age + 2 * step) - curve.cumulative_hazard(age - 2 * step)
    result: FloatArray = (8 * near - far) / (12 * step)
    return result


def median_residual_years(curve: LifeCurve, age_years: float) -> float:
    """Return the residual life that half of those alive at this age reach [years]."""
    start = float(curve.cumulative_hazard(np.array(age_years)))

    def over(span: float) -> float:
        ahead = float(curve.cumulative_hazard(np.array(age_years + span)))
        return ahead - start - float(np.log(2))

    top = 1.0
    while over(top) < 0:
        top *= 2
    return float(optimize.brentq(over, 0.0, top, xtol=1e-12, rtol=1e-14))


def mean_residual_years(curve: LifeCurve, age_years: float) -> float:
    """Return the mean residual life at this age: integral of S(a + x) / S(a) over x [years].

    Adaptive quadrature over doubling stretches until the rest is below a billionth.
    """
    start = float(curve.cumulative_hazard(np.array(age_years)))

    def left(span: float) -> float:
        return float(np.exp(start - curve.cumulative_hazard(np.array(age_years + span))))

    width = median_residual_years(curve, age_years)
    total, low = 0.0, 0.0
    while True:
        part, _ = integrate.quad(left, low, low + width, epsabs=0, epsrel=1e-11, limit=200)
        total += part
        low, width = low + width, 2 * width
        if part < 1e-12 * total and left(low) * width < 1e-10 * total:
            return total
