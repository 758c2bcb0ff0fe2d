"""Readings of one indicator to the life that is left: steady wear, chance, tubes plugged."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from bundler.life.curves import FloatArray, LifeCurve
from bundler.life.lines import LinearFit, fit_linear, rising_margin, with_known_rate
from bundler.life.passage import GammaPassage, LognormalRate, WienerPassage
from bundler.life.processes import fit_gamma, fit_wiener
from bundler.life.tubes import BundleLimit, limit_age_years, weibull_through

#: spread of the life that stays when the rate of wear is known; our choice
SURE_RATIO = 0.1


@dataclass(frozen=True)
class Left:
    """The life left from a reading on.

    curve counts from the reading; sure is the life if its wear were known; sigma_ratio is how well
    that wear is known: standard deviation of the logarithm of the life left; words say it.
    """

    curve: LifeCurve
    sure: LifeCurve
    sigma_ratio: float
    words: str


def _sign(indicator: Any) -> float:
    """Return 1 for an indicator that rises to its limit, -1 for one that falls."""
    return 1.0 if indicator.limit_value > indicator.new_value else -1.0


def _told(indicator: Any, value: float) -> str:
    """Return a value with the unit in which it is read, if that is given."""
    return f"{value:.3g} {indicator.measure}".rstrip()


def _beyond(indicator: Any, last: float) -> ValueError:
    return ValueError(
        f"the last reading {_told(indicator, last)} is at or beyond the limit "
        f"{indicator.limit_value:g}; the component counts as failed. Correct the reading or the "
        "limit, or plan its work with a pin."
    )


def _line(indicator: Any, own: pd.DataFrame) -> LinearFit:
    """Return the line through readings of one component, growing towards the limit."""
    sign = _sign(indicator)
    times, values = own["years"].to_numpy(), sign * own["reading_value"].to_numpy()
    error, rate_sd = own["error_value"].to_numpy(), float(indicator.rate_sd_value_per_year)
    known = np.isfinite(indicator.rate_value_per_year) and rate_sd > 0
    if len(own) == 1 or len(np.unique(times)) == 1:
        if not known:
            raise ValueError(
                "one reading tells no rate; give rate_value_per_year with its standard deviation "
                "in indicators.csv, or a second reading."
            )
        level, level_sd = float(values.mean()), float(error.mean() / np.sqrt(len(own)))
        rate = float(indicator.rate_value_per_year)
        return LinearFit(level, level_sd, rate, rate_sd, 0.0, np.nan)
    found = fit_linear(times, values, error if (error > 0).all() else None)
    if not known:
        return found
    return with_known_rate(found, float(indicator.rate_value_per_year), rate_sd)


def steady(indicator: Any, own: pd.DataFrame, others: pd.DataFrame) -> Left:
    """Return the life left under steady wear whose level and rate have errors."""
    line, limit = _line(indicator, own), _sign(indicator) * float(indicator.limit_value)
    margin = limit - line.level
    if margin <= 0:
        raise _beyond(indicator, float(own["reading_value"].iloc[-1]))
    if line.rate_per_year <= 0:
        raise ValueError(
            "the readings show no wear towards the limit; give rate_value_per_year, or take the "
            "readings out: they do not limit the life."
        )
    curve = rising_margin(line, limit)
    shares = line.level_sd / margin, line.rate_sd_per_year / line.rate_per_year
    both = 2 * line.correlation_ratio * shares[0] * shares[1]
    sigma = float(np.sqrt(shares[0] ** 2 + shares[1] ** 2 + both))
    words = (
        f"{_told(indicator, margin)} left to {indicator.limit_value:g}, wears "
        f"{line.rate_per_year:.2g} +/- {line.rate_sd_per_year:.1g} a year"
    )
    return Left(curve, LognormalRate(margin, line.rate_per_year, SURE_RATIO), sigma, words)


def _by_chance(
    indicator: Any, own: pd.DataFrame, others: pd.DataFrame
) -> tuple[pd.DataFrame, float]:
    """Return the readings of all components of the family, rising, and the margin of this one."""
    sign = _sign(indicator)
    others = others[others["age_years"] >= 0]
    table = pd.concat([own, others]).assign(value=lambda t: sign * t["reading_value"])
    last = sign * float(own["reading_value"].iloc[-1])
    margin = sign * float(indicator.limit_value) - last
    if margin <= 0:
        raise _beyond(indicator, float(own["reading_value"].iloc[-1]))
    return table, margin


def wiener(indicator: Any, own: pd.DataFrame, others: pd.DataFrame) -> Left:
    """Return the life left under wear with drift and scatter, shared by the family."""
    table, margin = _by_chance(indicator, own, others)
    found = fit_wiener(
        table["component"], table["years"], table["value"], float(indicator.error_value)
    )
    drift, sigma = found.drift_per_year, found.sigma_per_root_year
    if drift <= 0 or sigma <= 0:
        raise ValueError(
            "the readings show no drift towards the limit with a scatter of its own; use the "
            "model linear, or take the readings out."
        )
    curve = WienerPassage(margin, drift, sigma)
    words = (
        f"{_told(indicator, margin)} left to {indicator.limit_value:g}, drifts {drift:.2g} "
        f"+/- {found.drift_sd_per_year:.1g} a year"
    )
    return Left(curve, curve, found.drift_sd_per_year / drift, words)


def gamma(indicator: Any, own: pd.DataFrame, others: pd.DataFrame) -> Left:
    """Return the life left under a gamma process of wear, shared by the family."""
    table, margin = _by_chance(indicator, own, others)
    found = fit_gamma(table["component"], table["years"], table["value"])
    curve = GammaPassage(margin, found.shape_per_year, found.scale)
    span = table.groupby("component")["years"].agg(lambda years: years.max() - years.min()).sum()
    rate = found.shape_per_year * found.scale
    sigma = float(1 / np.sqrt(found.shape_per_year * span))  # error of a gamma mean over that span
    words = (
        f"{_told(indicator, margin)} left to {indicator.limit_value:g}, grows {rate:.2g} "
        "a year by a gamma process"
    )
    return Left(curve, curve, sigma, words)


def _tube_shapes(last: pd.Series) -> FloatArray:
    """Return the shape of a tube's Weibull and its ends one standard deviation off."""
    if pd.isna(last["shape_ratio"]):  # a constant rate: a Weibull whose shape is known to be 1
        return np.ones(3)
    shape = float(last["shape_ratio"])
    off = min(float(last["shape_sigma_ratio"]), 0.9 * shape)
    return np.array([shape, shape - off, shape + off])


def tubes(indicator: Any, own: pd.DataFrame, others: pd.DataFrame) -> Left:
    """Return the life left until more tubes are plugged than allowed."""
    last = own.iloc[-1]
    share, count = float(last["reading_value"]), int(indicator.tubes_count)
    if share >= indicator.limit_value:
        raise _beyond(indicator, share)
    age, plugged = float(last["age_years"]), round(share * count)
    if plugged == 0:
        raise ValueError(
            f"no tube of {count} is plugged, which tells no rate; take the reading out: the life "
            "of the family holds."
        )
    through = [weibull_through(share, age, float(shape)) for shape in _tube_shapes(last)]
    curve = BundleLimit(through[0], count, float(indicator.limit_value), plugged, age)
    times = [limit_age_years(tube, float(indicator.limit_value)) - age for tube in through]
    spread = float(np.log(times[1] / times[2])) / 2
    sigma = float(np.hypot(spread, 1 / np.sqrt(plugged)))
    words = f"{share:.1%} of {count} tubes plugged, {indicator.limit_value:.0%} allowed"
    return Left(curve, curve, sigma, words)


#: how a reading becomes the life left, by the words of `indicators.model`
WEAR = {"wall": steady, "linear": steady, "wiener": wiener, "gamma": gamma, "tubes": tubes}
