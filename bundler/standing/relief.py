"""The cheapest added days and overtime with which one outage holds what it is asked for."""

from dataclasses import dataclass

import numpy as np

from bundler.choice import FloatArray, IntArray

#: rows may be overfull by this share of their amount, as the solver allows
TOLERANCE = 1e-6


@dataclass(frozen=True)
class Outage:
    """The limits of one period that days or overtime can relieve, and what these cost.

    amount, per_day (more for a day of extension) and part (more for an hour of its overtime band)
    of each of R limits; band [R], -1 for none; most_hours and hour_cost of each band; most_days and
    day_cost of the extension, most_days 0 where there is none.
    """

    amount: FloatArray
    per_day: FloatArray
    part: FloatArray
    band: IntArray
    most_hours: FloatArray
    hour_cost: FloatArray
    most_days: float
    day_cost: float


@dataclass(frozen=True)
class Relief:
    """What it takes: days of extension, hours of each overtime band, and their cost.

    The cost is infinite where nothing would do.
    """

    days: float
    hours: FloatArray
    pv_cost: float


def _hours(outage: Outage, need: FloatArray, days: FloatArray) -> FloatArray:
    """Return the hours of each band that are needed at each number of days [D, B]."""
    lacking = np.maximum(need - np.outer(days, outage.per_day), 0.0)
    found = np.zeros((len(days), len(outage.most_hours)))
    for band in range(len(outage.most_hours)):
        own = outage.band == band
        found[:, band] = (lacking[:, own] / outage.part[own]).max(axis=1, initial=0.0)
    return found


def _fewest_days(outage: Outage, need: FloatArray, missing_days: float) -> float:
    """Return the fewest days of extension with which the bands could hold the rest."""
    has_band = outage.band >= 0
    helped = np.zeros_like(need)
    helped[has_band] = outage.part[has_band] * outage.most_hours[outage.band[has_band]]
    beyond = need - helped
    over = beyond > TOLERANCE * np.maximum(np.abs(outage.amount), 1.0)
    if (over & (outage.per_day <= 0)).any():
        return np.inf
    return max(missing_days, (beyond[over] / outage.per_day[over]).max(initial=0.0))


def _turning_days(outage: Outage, need: FloatArray, least: float) -> FloatArray:
    """Return the days at which the cost of relief may change its slope.

    Where a row is filled, and where two rows of one band need the same hours.
    """
    helps = (outage.band >= 0) & (outage.per_day > 0) & (need > 0)
    days = [np.array([least, outage.most_days]), need[helps] / outage.per_day[helps]]
    for band in np.unique(outage.band[(outage.band >= 0) & (need > 0)]):
        own = (outage.band == band) & (need > 0)
        height, slope = need[own] / outage.part[own], outage.per_day[own] / outage.part[own]
        first, second = np.triu_indices(len(height), 1)
        tilt = slope[first] - slope[second]
        cross = np.abs(tilt) > 0
        days.append((height[first] - height[second])[cross] / tilt[cross])
    every = np.concatenate(days)
    return np.unique(every[(every >= least) & (every <= outage.most_days)])


def relief(outage: Outage, used: FloatArray, missing_days: float) -> Relief:
    """Return the cheapest relief of a period.

    min day_cost e + sum of hour_cost t, with used <= amount + per_day e + part t on every row and
    e >= missing days. For a given e the hours follow; the cost is convex and straight between
    the days looked at, so the least of them is exact.

    Parameters
    ----------
    used : what is used of each of the R limits, in their own units.
    missing_days : days by which the longest work exceeds its window [days].
    """
    need = used - outage.amount
    small = TOLERANCE * np.maximum(np.abs(outage.amount), 1.0)
    need = np.where(need > small, need, np.minimum(need, 0.0))
    none = np.zeros(len(outage.most_hours))
    if missing_days <= 0 and not (need > 0).any():
        return Relief(0.0, none, 0.0)
    least = _fewest_days(outage, need, missing_days)
    if least > outage.most_days + TOLERANCE:
        return Relief(0.0, none, np.inf)
    least = min(least, outage.most_days)
    days = _turning_days(outage, need, least) if (need > 0).any() else np.array([least])
    hours = np.minimum(_hours(outage, need, days), outage.most_hours)
    cost = days * outage.day_cost + hours @ outage.hour_cost
    best = int(np.argmin(cost))
    return Relief(float(days[best]), hours[best], float(cost[best]))
