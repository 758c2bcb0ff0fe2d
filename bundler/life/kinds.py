"""The kinds of life that can be fitted: how many parameters, their names, their formulae.

Every kind is spoken to by three numbers (scale, shape, share): a curve stretches with its scale
(mean, median or scale in years), bends with its shape (shape or sigma), and in a limited failure
population only a share can ever fail. What a kind does not have stays 1.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import special

from bundler.life.curves import Exponential, FloatArray, Gamma, LifeCurve, Lognormal, Weibull
from bundler.life.mixed import LimitedFailures


def _exponential_log_hazard(curve: Exponential, age: FloatArray) -> FloatArray:
    return np.full(age.shape, -np.log(curve.mean_years))


def _weibull_log_hazard(curve: Weibull, age: FloatArray) -> FloatArray:
    shape, scale = curve.shape_ratio, curve.scale_years
    result: FloatArray = np.log(shape / scale) + (shape - 1) * np.log(age / scale)
    return result


def _lognormal_log_hazard(curve: Lognormal, age: FloatArray) -> FloatArray:
    z = np.log(age / curve.median_years) / curve.sigma_ratio
    density = -(z**2) / 2 - np.log(curve.sigma_ratio * age * np.sqrt(2 * np.pi))
    result: FloatArray = density - special.log_ndtr(-z)
    return result


def _gamma_log_hazard(curve: Gamma, age: FloatArray) -> FloatArray:
    shape, x = curve.shape_ratio, age / curve.scale_years
    density = (shape - 1) * np.log(x) - x - special.gammaln(shape) - np.log(curve.scale_years)
    result: FloatArray = density + curve.cumulative_hazard(age)
    return result


def _exponential_log_age(shape: float, hazard: float) -> float:
    return float(np.log(hazard))


def _weibull_log_age(shape: float, hazard: float) -> float:
    return float(np.log(hazard) / shape)


def _lognormal_log_age(shape: float, hazard: float) -> float:
    return float(-shape * special.ndtri_exp(-hazard))


def _gamma_log_age(shape: float, hazard: float) -> float:
    if hazard < 1:
        return float(np.log(special.gammaincinv(shape, -np.expm1(-hazard))))
    return float(np.log(special.gammainccinv(shape, np.exp(-hazard))))


@dataclass(frozen=True)
class Kind:
    """A kind of life: its parameters as its curve names them, and its formulae.

    Parameters
    ----------
    names : parameters in the order (scale, shape, share), as many as there are.
    curve : class of the curve, without the share.
    log_hazard : ln h of a curve of this class at ages above 0 [ln 1/year].
    log_age : ln of the age at which H of the curve with scale 1 and this shape reaches a value.
    """

    names: tuple[str, ...]
    curve: Any
    log_hazard: Callable[[Any, FloatArray], FloatArray]
    log_age: Callable[[float, float], float]

    @property
    def has_share(self) -> bool:
        """True where only a share of the items can ever fail."""
        return len(self.names) == 3

    def whole(self, scale: float, shape: float) -> LifeCurve:
        """Return the curve of the items that can fail."""
        values = dict(zip(self.names, (scale, shape), strict=False))
        made: LifeCurve = self.curve(**values)
        return made

    def make(self, scale: float, shape: float, share: float) -> LifeCurve:
        """Return the curve of all items."""
        whole = self.whole(scale, shape)
        return LimitedFailures(whole, share) if self.has_share else whole

    def log_hazard_of(self, curve: LifeCurve, age_years: FloatArray) -> FloatArray:
        """Return ln h(age) of a curve that this kind made; ages above 0 [years]."""
        if not isinstance(curve, LimitedFailures):
            return self.log_hazard(curve, age_years)
        lag = curve.cumulative_hazard(age_years) - curve.curve.cumulative_hazard(age_years)
        own = self.log_hazard(curve.curve, age_years)
        result: FloatArray = np.log(curve.failing_share) + own + lag
        return result

    def log_scale(self, log_age: float, hazard: float, shape: float, share: float) -> float:
        """Return ln of the scale for which H of all items reaches `hazard` at this ln age.

        nan where so many can never fail: then no scale will do.
        """
        if share < 1:
            able = -np.expm1(-hazard) / share
            hazard = float(-np.log1p(-able)) if able < 1 else np.nan
        return log_age - self.log_age(shape, hazard)


_WEIBULL = (Weibull, _weibull_log_hazard, _weibull_log_age)
_LOGNORMAL = (Lognormal, _lognormal_log_hazard, _lognormal_log_age)
_SHARE = "failing_share"

#: every kind that can be fitted, by its word
KINDS: dict[str, Kind] = {
    "exponential": Kind(
        ("mean_years",), Exponential, _exponential_log_hazard, _exponential_log_age
    ),
    "weibull": Kind(("scale_years", "shape_ratio"), *_WEIBULL),
    "lognormal": Kind(("median_years", "sigma_ratio"), *_LOGNORMAL),
    "gamma": Kind(("scale_years", "shape_ratio"), Gamma, _gamma_log_hazard, _gamma_log_age),
    "limited_weibull": Kind(("scale_years", "shape_ratio", _SHARE), *_WEIBULL),
    "limited_lognormal": Kind(("median_years", "sigma_ratio", _SHARE), *_LOGNORMAL),
}
