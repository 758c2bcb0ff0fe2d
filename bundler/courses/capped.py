"""The cap on the expected failures of one component in a year, held at the lives assumed."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR
from bundler.choice import FloatArray, IntArray
from bundler.courses.exposure import Exposure, Works
from bundler.courses.risk import by_start, unfailed_shares
from bundler.courses.rules import restores
from bundler.courses.stretches import stretches

#: failures that differ by less than this share are the same; far above rounding
CLOSE_SHARE = 1e-9


@dataclass(frozen=True)
class Worst:
    """The most failures of each course in any year, and when the first such year starts.

    failures_per_year [n]; from_days [n] from planning.
    """

    failures_per_year: FloatArray
    from_days: FloatArray


def failures_of_courses(sight: Exposure, works: Works, steps: IntArray) -> FloatArray:
    """Return the expected failures of each course in each cell of the risk grid [n, K]."""
    held = stretches(sight, works, steps)
    cut = held.cut
    found, _ = by_start(sight, works, held)
    cells = np.arange(found.shape[1])
    inside = (cells >= cut.start[:, None]) & (cells < cut.until[:, None])
    shares = unfailed_shares(sight, works, cut)[:, None]
    each = np.where(inside, shares * found[held.code], 0.0)
    order = np.argsort(cut.row, kind="stable")
    first = np.searchsorted(cut.row[order], np.arange(len(steps)))
    result: FloatArray = np.add.reduceat(each[order], first, axis=0)
    return result


def _up_to(total: FloatArray, grid_years: FloatArray, years: FloatArray) -> FloatArray:
    """Return failures up to some times [n, T] from those up to each grid point [n, K + 1]."""
    cell = np.clip(np.searchsorted(grid_years, years, side="right") - 1, 0, len(grid_years) - 2)
    part = (years - grid_years[cell]) / (grid_years[cell + 1] - grid_years[cell])
    result: FloatArray = total[:, cell] * (1 - part) + total[:, cell + 1] * part
    return result


def worst_years(sight: Exposure, works: Works, steps: IntArray, first_years: float) -> Worst:
    """Return the most expected failures of each course in any year that starts at first or later.

    Failures are taken as even inside a cell of the risk grid, so the worst year starts or ends at
    a grid point, and all of these are looked at. Where less than a year is left, what is left.
    """
    grid = sight.grid_years
    total = np.zeros((len(steps), len(grid)))
    np.cumsum(failures_of_courses(sight, works, steps), axis=1, out=total[:, 1:])
    last = max(grid[-1] - 1, first_years)
    starts = np.concatenate([[first_years, last], grid, grid - 1])
    starts = np.unique(starts[(starts >= first_years) & (starts <= last)])
    ends = np.minimum(starts + 1, grid[-1])
    found = _up_to(total, grid, ends) - _up_to(total, grid, starts)
    at = (found >= found.max(axis=1, keepdims=True) * (1 - CLOSE_SHARE)).argmax(axis=1)
    return Worst(found[np.arange(len(steps)), at], starts[at] * DAYS_A_YEAR)


def first_effect_days(own: pd.DataFrame) -> float:
    """Return the day on which work that restores something can first take effect; inf if never."""
    return float(own.loc[restores(own), "effect_days"].min()) if restores(own).any() else np.inf


def worst_of(sight: Exposure, works: Works, steps: IntArray, own: pd.DataFrame) -> Worst:
    """Return the most failures of each course in a year, from the first day work can help.

    Before that day nothing can be done, so nothing counts; all is 0 where no work can ever help.
    """
    first = first_effect_days(own) / DAYS_A_YEAR
    if first >= sight.grid_years[-1]:
        return Worst(np.zeros(len(steps)), np.full(len(steps), np.inf))
    return worst_years(sight, works, steps, first)


def keeps(worst: Worst, most_per_year: float) -> np.ndarray:
    """Return which courses keep a cap on failures in a year."""
    result: np.ndarray = worst.failures_per_year <= most_per_year * (1 + CLOSE_SHARE)
    return result
