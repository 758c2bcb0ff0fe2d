"""Renewal on failure on any time grid, second order in the cell width."""

import numpy as np
from scipy import linalg

from bundler.life.curves import FloatArray, IntArray, LifeCurve


def first_failures(
    curve: LifeCurve, grid_years: FloatArray, start_index: IntArray, start_age_years: FloatArray
) -> FloatArray:
    """Return the chance that the first failure after each start falls into each cell [n, K]."""
    grid = np.asarray(grid_years, dtype=float)
    start = start_index
    age = np.asarray(start_age_years, dtype=float)
    passed = np.maximum(grid[None, :] - grid[start][:, None], 0.0)
    hazard = curve.cumulative_hazard(age[:, None] + passed)
    begun = curve.cumulative_hazard(age)[:, None]
    gone = -np.expm1(begun - hazard)
    result: FloatArray = np.diff(gone, axis=1)
    return result


def renewal_matrix(curve: LifeCurve, grid_years: FloatArray) -> FloatArray:
    """Return expected failures in each cell of an item new at each grid point [K + 1, K].

    M = P + P A M: P the chance of the first failure in each cell, A the mean of the rows at both
    ends of the cell, because a failure lands evenly in it.
    """
    count = len(grid_years) - 1
    new = first_failures(
        curve, grid_years, np.arange(count + 1, dtype=np.int64), np.zeros(count + 1)
    )
    ends = (np.eye(count, count + 1) + np.eye(count, count + 1, k=1)) / 2
    result: FloatArray = linalg.solve(np.eye(count + 1) - new @ ends, new, check_finite=False)
    return result


def renewals_by_cell(
    curve: LifeCurve, grid_years: FloatArray, start_index: IntArray, start_age_years: FloatArray
) -> FloatArray:
    """Return expected failures in each cell when each failure makes the item new [n, K]."""
    first = first_failures(curve, grid_years, start_index, start_age_years)
    later = renewal_matrix(curve, grid_years)
    result: FloatArray = first + first @ ((later[:-1] + later[1:]) / 2)
    return result


def expected_renewals(curve: LifeCurve, horizon_years: float, steps_count: int = 800) -> float:
    """Return the expected number of failures up to the horizon of an item renewed at each [-]."""
    grid = np.linspace(0.0, horizon_years, steps_count + 1)
    return float(renewals_by_cell(curve, grid, np.zeros(1, dtype=np.int64), np.zeros(1)).sum())
