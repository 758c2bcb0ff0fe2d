"""Expected failures over time after a start, cell by cell of a grid."""

import numpy as np

from bundler.life.curves import FloatArray, IntArray, LifeCurve
from bundler.life.taken_over import TakenOver
from bundler.risk.renewal import failed_share, first_failures, renewals_by_cell


def repairs_by_cell(
    curve: LifeCurve, grid_years: FloatArray, start_index: IntArray, start_age_years: FloatArray
) -> FloatArray:
    """Return expected failures in each cell under minimal repair: differences of H [n, K].

    Where another curve takes over after the first failure: the first failure, and the other
    curve's differences of H for the share that has had it.
    """
    if isinstance(curve, TakenOver):
        first = first_failures(curve.first, grid_years, start_index, start_age_years)
        share = failed_share(curve.first, grid_years, start_index, start_age_years)
        later = repairs_by_cell(curve.after, grid_years, start_index, start_age_years)
        taken: FloatArray = first + share * later
        return taken
    grid = np.asarray(grid_years, dtype=float)
    passed = np.maximum(grid[None, :] - grid[start_index][:, None], 0.0)
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
    Array [n, K]; zero in cells before the start. Exact for repair and stand, second order in the
    cell width for renew.
    """
    if on_failure not in ON_FAILURE:
        raise ValueError(f"{on_failure!r} is not known; a failure means {', '.join(ON_FAILURE)}.")
    return ON_FAILURE[on_failure](curve, grid_years, start_index, start_age_years)


def failed_share_by_cell(
    curve: LifeCurve,
    grid_years: FloatArray,
    start_index: IntArray,
    start_age_years: FloatArray,
) -> FloatArray:
    """Return the mean chance over each cell that it stands failed since its start [n, K].

    Simpson's rule over each cell: fourth order in its width, within 1e-5 for cells of a tenth of
    the mean life (3e-3 in the first cell of a hazard that falls from infinity). Cells before the
    start hold 0.
    """
    return failed_share(curve, grid_years, start_index, start_age_years)
