"""Risk of every course of a component in present value, all courses at once."""

from dataclasses import dataclass

import numpy as np

from bundler.choice import FloatArray, IntArray
from bundler.courses.exposure import Exposure, Works, curve_list
from bundler.courses.stretches import Segments, Stretches, stretches
from bundler.risk.failures import failed_share_by_cell, failures_by_cell
from bundler.risk.renewal import renewals_by_cell


def by_start(
    exposure: Exposure, works: Works, cut: Stretches
) -> tuple[FloatArray, FloatArray | None]:
    """Return expected failures [n, K] and share stood failed [n, K] of each different start.

    The second is None where a failure does not leave the component standing.
    """
    curves, grid = curve_list(exposure, works), exposure.grid_years
    found = np.zeros((cut.starts_count, len(grid) - 1))
    standing = np.zeros_like(found) if exposure.on_failure == "stand" else None
    for own in cut.starts:
        curve = curves[own.curve]
        if exposure.on_failure == "renew":
            found[own.rows] = renewals_by_cell(curve, grid, own.start, own.age_years, own.stop)
        else:
            found[own.rows] = failures_by_cell(
                curve, grid, own.start, own.age_years, exposure.on_failure
            )
        if standing is not None:
            standing[own.rows] = failed_share_by_cell(curve, grid, own.start, own.age_years)
    return found, standing


def unfailed_shares(exposure: Exposure, works: Works, cut: Segments) -> FloatArray:
    """Return the chance that a component has not failed before each stretch since it was new."""
    shares = np.ones(len(cut.row))
    if not cut.depth.any():
        return shares
    curves, times, lasts = curve_list(exposure, works), exposure.grid_years, np.ones(len(cut.row))
    for number in np.unique(cut.curve):
        own = np.flatnonzero((cut.curve == number) & (cut.until > cut.end))
        age = cut.age_years[own]
        older = age + times[cut.end[own]] - times[cut.start[own]]
        held = curves[int(number)].cumulative_hazard
        lasts[own] = np.exp(held(age) - held(older))
    for depth in range(1, int(cut.depth.max()) + 1):
        own = np.flatnonzero(cut.depth == depth)
        shares[own] = shares[cut.previous[own]] * lasts[cut.previous[own]]
    return shares


@dataclass(frozen=True)
class Failing:
    """What fails in all courses, whatever it costs: of `by_start` and `unfailed_shares`."""

    found: FloatArray
    standing: FloatArray | None
    share: FloatArray


def failing(exposure: Exposure, works: Works, cut: Stretches) -> Failing:
    """Return what fails in all courses."""
    found, standing = by_start(exposure, works, cut)
    return Failing(found, standing, unfailed_shares(exposure, works, cut.cut))


def failing_risk(exposure: Exposure, cut: Stretches, fails: Failing) -> FloatArray:
    """Return the present value of the risk of each course from what fails [money of the case].

    Sum over its stretches of expected failures in each cell times the loss of a failure there,
    plus, where a failed component stands until its next work, the time it stands; discounted.
    Where its family uses up a stock, also what the stock's running out costs.
    """
    money = fails.found * exposure.loss_pv_cost
    if fails.standing is not None:
        money += fails.standing * exposure.standing_pv_cost
    total = np.zeros((len(money), money.shape[1] + 1))
    np.cumsum(money, axis=1, out=total[:, 1:])
    value = total[cut.code, cut.cut.until] - total[cut.code, cut.cut.start]
    value *= fails.share
    result: FloatArray = np.bincount(cut.cut.row, weights=value, minlength=cut.courses_count)
    if exposure.removal_pv_cost is not None:
        result += exposure.removal_pv_cost[cut.removed]
    return result


def stretch_risk(exposure: Exposure, works: Works, cut: Stretches) -> FloatArray:
    """Return the present value of the risk of each course from its stretches."""
    return failing_risk(exposure, cut, failing(exposure, works, cut))


def course_risk(exposure: Exposure, works: Works, steps: IntArray) -> FloatArray:
    """Return the present value of the risk of each course [money of the case]."""
    return stretch_risk(exposure, works, stretches(exposure, works, steps))


def course_cells(exposure: Exposure, works: Works, step: IntArray) -> tuple[FloatArray, FloatArray]:
    """Return expected failures [K] and real money at risk [K] in each cell for one course."""
    held = stretches(exposure, works, step.reshape(1, -1))
    cut = held.cut
    found, standing = by_start(exposure, works, held)
    cells = np.arange(found.shape[1])
    inside = (cells >= cut.start[:, None]) & (cells < cut.until[:, None])
    shares = unfailed_shares(exposure, works, cut)[:, None]
    own = np.where(inside, shares * found[held.code], 0.0).sum(axis=0)
    if standing is None:
        return own, own * exposure.loss_cost
    stands = np.where(inside, standing[held.code], 0.0).sum(axis=0)
    return own, own * exposure.loss_cost + stands * exposure.standing_cost
