"""Renewal on failure on any time grid, second order in the cell width."""

from functools import lru_cache

import numpy as np
from scipy import linalg

from bundler.life.curves import FloatArray, IntArray, LifeCurve
from bundler.life.taken_over import after_first


def _rise(
    curve: LifeCurve, grid_years: FloatArray, start_index: IntArray, start_age_years: FloatArray
) -> FloatArray:
    """Return the rise of H since each start at ends and middles of cells [n, 2 K + 1], 0 before."""
    grid = np.asarray(grid_years, dtype=float)
    age = np.asarray(start_age_years, dtype=float)[:, None]
    times = np.insert(grid, np.arange(1, len(grid)), (grid[1:] + grid[:-1]) / 2)
    passed = np.maximum(times[None, :] - grid[start_index][:, None], 0.0)
    result: FloatArray = curve.cumulative_hazard(age + passed) - curve.cumulative_hazard(age)
    return result


def _first(rise: FloatArray) -> FloatArray:
    begin, end = rise[:, :-1:2], rise[:, 2::2]
    result: FloatArray = np.exp(-begin) * -np.expm1(begin - end)
    return result


def _share(rise: FloatArray) -> FloatArray:
    gone = -np.expm1(-rise)
    result: FloatArray = (gone[:, :-1:2] + 4 * gone[:, 1::2] + gone[:, 2::2]) / 6
    return result


def first_failures(
    curve: LifeCurve, grid_years: FloatArray, start_index: IntArray, start_age_years: FloatArray
) -> FloatArray:
    """Return the chance that the first failure after each start falls into each cell [n, K].

    exp(H(a) - H(a + x)) (1 - exp(H(a + x) - H(a + y))), x and y the ends of the cell since the
    start; 0 before the start.
    """
    return _first(_rise(curve, grid_years, start_index, start_age_years))


def failed_share(
    curve: LifeCurve, grid_years: FloatArray, start_index: IntArray, start_age_years: FloatArray
) -> FloatArray:
    """Return the mean chance over each cell of having failed since each start [n, K].

    Simpson's rule over the cell: fourth order in its width; 0 before the start.
    """
    return _share(_rise(curve, grid_years, start_index, start_age_years))


def _landings(
    curve: LifeCurve,
    grid_years: FloatArray,
    start_index: IntArray,
    start_age_years: FloatArray,
    stop_index: IntArray | None = None,
) -> tuple[FloatArray, FloatArray]:
    """Return first failures in each cell [n, K], and the same shared out to grid points [n, K + 1].

    Each cell's failures go to its two ends so that their mean time is kept: the part at the start
    is the mean over the cell of the chance of having failed, less that chance at its start.
    """
    rise = _rise(curve, grid_years, start_index, start_age_years)
    first = _first(rise)
    early = np.clip(_share(rise) + np.expm1(-rise[:, :-1:2]), 0.0, first)
    if stop_index is not None:
        counts = np.arange(first.shape[1]) < np.asarray(stop_index)[:, None]
        first, early = first * counts, early * counts
    at = np.zeros((len(first), first.shape[1] + 1))
    at[:, :-1] = early
    at[:, 1:] += first - early
    return first, at


def _every_point(count: int) -> tuple[IntArray, FloatArray]:
    return np.arange(count, dtype=np.int64), np.zeros(count)


def renewal_matrix(curve: LifeCurve, grid_years: FloatArray) -> FloatArray:
    """Return expected failures in each cell of an item new at each grid point [K + 1, K].

    M = P + B M: P the chance of the first failure in each cell, B the same shared out to the ends
    of the cells. Exact where M is straight between grid points, as for a constant failure rate.
    """
    first, at = _landings(curve, grid_years, *_every_point(len(grid_years)))
    system = np.eye(len(grid_years)) - at
    result: FloatArray = linalg.solve_triangular(system, first, check_finite=False)
    return result


@lru_cache(maxsize=16)
def _kept_matrix(curve: LifeCurve, grid_years: tuple[float, ...]) -> FloatArray:
    matrix = renewal_matrix(curve, np.array(grid_years))
    matrix.setflags(write=False)
    return matrix


def renewals_by_cell(
    curve: LifeCurve,
    grid_years: FloatArray,
    start_index: IntArray,
    start_age_years: FloatArray,
    stop_index: IntArray | None = None,
) -> FloatArray:
    """Return expected failures in each cell when each failure makes the item new [n, K].

    With `stop_index` [n] only what fails for the first time before that cell counts, and all its
    failures after that. New is what the curve is after its first failure. Cells have to be short
    beside the mean life: at a tenth of it the error over six lives is below 0.02 %, at a quarter
    near 0.1 %; ten times that for a hazard that falls from infinity.
    """
    first, at = _landings(curve, grid_years, start_index, start_age_years, stop_index)
    later = _kept_matrix(after_first(curve), tuple(np.asarray(grid_years, dtype=float).tolist()))
    result: FloatArray = first + at @ later
    return result


def expected_renewals(curve: LifeCurve, horizon_years: float, steps_count: int = 800) -> float:
    """Return the expected number of failures up to the horizon of an item renewed at each [-]."""
    grid = np.linspace(0.0, horizon_years, steps_count + 1)
    first, at = _landings(curve, grid, *_every_point(steps_count + 1))
    system = np.eye(steps_count + 1) - at
    return float(linalg.solve_triangular(system, first.sum(axis=1), check_finite=False)[0])
