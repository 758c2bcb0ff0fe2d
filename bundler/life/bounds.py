"""Profile-likelihood bounds of a fit: parameters, ages, chances; and how far the record limits."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike
from scipy import stats

from bundler.life.curves import FloatArray
from bundler.life.derived import span_to_rise
from bundler.life.fit import Fit
from bundler.life.lives import Lives
from bundler.life.profile import (
    Profile,
    age_profile,
    hazard_profile,
    scale_profile,
    shape_profile,
    share_profile,
)

#: a bound farther from the estimate than this factor limits nothing (our choice)
FAR_RATIO = 100.0
#: how far each working coordinate is followed: logarithms of ages and shapes, log-odds, ln H
FAR_LOG, FAR_LOG_ODDS, FAR_LOG_HAZARD = 20.0, 45.0, 600.0
#: ln H beyond which a chance is 0 or 1 to any float
LOG_HAZARDS = (-500.0, 6.0)
#: level whose bounds stand one standard deviation of a normal from the middle [-]
ONE_SIGMA = float(2 * stats.norm.cdf(1.0) - 1)


@dataclass(frozen=True)
class Bounds:
    """Two-sided profile-likelihood bounds of one quantity.

    The values whose likelihood, at its best over all else, is not below that of the fit by more
    than half the chi-square quantile with one degree of freedom. Meeker and Escobar (1998) 8.4
    (from memory).

    Parameters
    ----------
    name : what is bounded; its last word is the unit.
    estimate, low, high : the fit and its bounds; 0 (below) or inf or 1 (above) where none is found.
    level_share : confidence level of both sides together [-].
    """

    name: str
    estimate: float
    low: float
    high: float
    level_share: float

    @property
    def open_sides(self) -> tuple[str, ...]:
        """Return the sides (below, above) from which the record does not limit the quantity."""
        if self.name.endswith(("_share", "_chance")):
            is_open = (self.low <= 0, self.high >= 1)
        else:
            ends = (self.low * FAR_RATIO < self.estimate, self.high > self.estimate * FAR_RATIO)
            is_open = (ends[0] or self.low == 0, ends[1] or not np.isfinite(self.high))
        return tuple(s for s, found in zip(("below", "above"), is_open, strict=True) if found)

    @property
    def note(self) -> str:
        """Return in words what the record does not limit; empty where it limits both sides."""
        what = "life" if self.name.endswith("_years") else self.name.replace("_", " ")
        sides = " or ".join(self.open_sides)
        return f"The record does not limit the {what} from {sides}." if sides else ""


def _root_size(level: float) -> float:
    """Return the normal quantile of a two-sided level; raises ValueError if it is not a level."""
    if not 0 < level < 1:
        raise ValueError(f"level is {level:g}; a confidence level lies between 0 and 1.")
    return float(stats.norm.ppf((1 + level) / 2))


def _odds_to_share(x: float) -> float:
    return float(1 / (1 + np.exp(-x)))


def _hazard_to_chance(x: float) -> float:
    return float(-np.expm1(-np.exp(x)))


def _value(x: float) -> float:
    return float(np.exp(x))


def _bounds(
    name: str,
    estimate: float,
    profile: Profile,
    level: float,
    far: float,
    value: Callable[[float], float] = _value,
) -> Bounds:
    size = _root_size(level)
    with np.errstate(over="ignore"):
        low, high = (value(profile.end(side, size, far)) for side in (-1, 1))
    return Bounds(name, estimate, low, high, level)


def parameter_bounds(lives: Lives, fit: Fit, name: str, *, level: float = 0.90) -> Bounds:
    """Return the bounds of one parameter of a fit, by its name in `fit.parameters`.

    Raises ValueError if the fit has no such parameter, or is not of these lives.
    """
    names = list(fit.parameters)
    if name not in names:
        raise ValueError(f"{name!r} is no parameter of this fit; it has {', '.join(names)}.")
    estimate, place = fit.parameters[name], names.index(name)
    if place == 2:
        profile = share_profile(lives, fit)
        return _bounds(name, estimate, profile, level, FAR_LOG_ODDS, _odds_to_share)
    profile = (scale_profile, shape_profile)[place](lives, fit)
    return _bounds(name, estimate, profile, level, FAR_LOG)


def all_bounds(lives: Lives, fit: Fit, *, level: float = 0.90) -> tuple[Bounds, ...]:
    """Return the bounds of every parameter of a fit, in its order."""
    return tuple(parameter_bounds(lives, fit, name, level=level) for name in fit.parameters)


def age_bounds(lives: Lives, fit: Fit, failed_share: float, *, level: float = 0.90) -> Bounds:
    """Return the bounds of the age by which this share of the items has failed [years].

    Raises ValueError if the share is not between 0 and 1, or so many never fail.
    """
    if not 0 < failed_share < 1:
        raise ValueError(f"failed_share is {failed_share:g}; it has to lie between 0 and 1.")
    hazard = float(-np.log1p(-failed_share))
    able = fit.parameters.get("failing_share", 1.0)
    if failed_share >= able:
        raise ValueError(f"Only a share of {able:.3g} can fail; ask for a lower failed_share.")
    age = span_to_rise(fit.curve, 0.0, hazard)
    profile = age_profile(lives, fit, hazard, age)
    return _bounds("age_years", age, profile, level, FAR_LOG)


def chance_bounds(lives: Lives, fit: Fit, age_years: float, *, level: float = 0.90) -> Bounds:
    """Return the bounds of the chance that an item has failed by this age [-], from new."""
    if not age_years >= 0:
        raise ValueError(f"age_years is {age_years:g}; it has to be 0 or more.")
    if age_years == 0:
        return Bounds("failed_chance", 0.0, 0.0, 0.0, level)
    hazard = float(fit.curve.cumulative_hazard(np.array(age_years)))
    followed = float(np.clip(hazard, *np.exp(LOG_HAZARDS)))
    profile = hazard_profile(lives, fit, followed, age_years)
    chance = float(-np.expm1(-hazard))
    return _bounds("failed_chance", chance, profile, level, FAR_LOG_HAZARD, _hazard_to_chance)


def chance_band(
    lives: Lives, fit: Fit, ages_years: ArrayLike, *, level: float = 0.90
) -> pd.DataFrame:
    """Return the fitted chance of having failed by each age and its bounds, age by age.

    One row an age; columns age_years, failed_chance, low_chance, high_chance. Pointwise: each age
    holds the level by itself, the whole curve does not.
    """
    ages = np.asarray(ages_years, dtype=float).ravel()
    found = [chance_bounds(lives, fit, float(age), level=level) for age in ages]
    columns = ["age_years", "failed_chance", "low_chance", "high_chance"]
    rows = [(a, b.estimate, b.low, b.high) for a, b in zip(ages, found, strict=True)]
    return pd.DataFrame(rows, columns=columns, dtype=float)


def chance_scale_below(lives: Lives, fit: Fit, scale_years: ArrayLike) -> FloatArray:
    """Return the confidence that the true scale lies below each of these [-].

    Phi(r), r the signed root of the profile deviance: rising from 0 to 1, and 0.5 at the estimate.
    Its quantiles are the profile bounds. The scale is the fit's first parameter: its mean, median
    or scale [years]; any shape. Schweder and Hjort (2016), chapter 3 (from memory).
    """
    scales = np.asarray(scale_years, dtype=float)
    if not (scales > 0).all():
        raise ValueError("scale_years has to be above 0 everywhere.")
    profile = scale_profile(lives, fit)
    different, place = np.unique(np.log(scales), return_inverse=True)
    roots = np.empty(different.shape)
    split = int(np.searchsorted(different, profile.at))
    for walk in (range(split, len(different)), range(split - 1, -1, -1)):
        root = profile.signed_root()
        for i in walk:
            roots[i] = root(float(different[i]))
    result: FloatArray = stats.norm.cdf(roots)[place].reshape(scales.shape)
    return result


def scale_sigma_ratio(lives: Lives, fit: Fit) -> float:
    """Return the standard deviation of ln scale that fits its profile best [-].

    Half the logarithmic width of the bounds at the level of one standard deviation (68.27 %); inf
    where a side is open.
    """
    name = next(iter(fit.parameters))
    found = parameter_bounds(lives, fit, name, level=ONE_SIGMA)
    if found.low == 0 or not np.isfinite(found.high):
        return float(np.inf)
    return float(np.log(found.high / found.low) / 2)
