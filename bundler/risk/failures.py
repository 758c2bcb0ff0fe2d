"""Expected failures over time after a start, cell by cell of a grid."""

import numpy as np

from bundler.life.curves import FloatArray, IntArray, LifeCurve
from bundler.risk.renewal import first_failures, renewals_by_cell


def repairs_by_cell(
    curve: LifeCurve, grid_years: FloatArray, start_index: IntArray, start_age_years: FloatArray
) -> FloatArray:
    """Return expected failures in each cell under minimal repair: differences of H [n, K]."""
    grid = np.asarray(grid_years, dtype=float)
    start = start_index
    passed = np.maximum(grid[None, :] - grid[start][:, None], 0.0)
    age = np.asarray(start_age_years, dtype=float)[:, None] + passed
    result: FloatArray = np.diff(curve.cumulative_hazard(age), axis=1)
    return result


#: what a failure does, by the words of `families.on_failure`
ON_FAILURE = {"repair": repairs_by_cell, "renew": renewals_by_cell, "stand": first_failures}


def failures_by_cell(
    curve: LifeCurve,
    grid_years: FloatArray,
    start_index: IntArray,
    start_age_years: FloatArray,
    on_failure: str,
) -> FloatArray:
    """Return expected failures in each cell after each start, as if no further work happened.

    Parameters
    ----------
    curve : life curve.
    grid_years : K + 1 rising times [years]; need not be even.
    start_index : n indices of grid points at which a stretch starts.
    start_age_years : n virtual ages there [years].
    on_failure : repair (same age), renew (as new), stand (fails once and stands failed).

    Returns
    -------
    Array [n, K]; zero in cells before the start.
    """
    return ON_FAILURE[on_failure](curve, grid_years, start_index, start_age_years)


def failed_share_by_cell(
    curve: LifeCurve,
    grid_years: FloatArray,
    start_index: IntArray,
    start_age_years: FloatArray,
) -> FloatArray:
    """Return the mean chance over each cell that it stands failed since its start [n, K].

    Trapezoid of the chance of having failed: second order in the cell width.
    """
    gone = np.cumsum(first_failures(curve, grid_years, start_index, start_age_years), axis=1)
    before = np.concatenate([np.zeros((len(gone), 1)), gone[:, :-1]], axis=1)
    result: FloatArray = (gone + before) / 2
    return result
