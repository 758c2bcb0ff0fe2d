"""Money lost by a failure, by when it happens."""

from dataclasses import dataclass

import numpy as np

from bundler.calendar import DAYS_A_YEAR
from bundler.case import Settings
from bundler.life.curves import FloatArray


@dataclass(frozen=True)
class FailureEffect:
    """What one failure does: full-power days lost, repair, derate until mended, forced outage."""

    forced_days: float
    repair_cost: float
    derate_share: float
    forced_outage_chance: float


def loss_by_cell(
    effect: FailureEffect,
    settings: Settings,
    wait_days: FloatArray,
    day_value_cost: float,
) -> FloatArray:
    """Return the real money lost by one failure in the middle of each cell [K].

    Forced repair, lost output, the fixed cost of a forced outage by its chance, and the derate
    over the days on line until it can be mended (`wait_days` [K], from `wait_by_cell`).
    """
    fixed = (
        settings.forced_repair_ratio * effect.repair_cost
        + effect.forced_days * day_value_cost
        + effect.forced_outage_chance * settings.forced_outage_cost
    )
    result: FloatArray = fixed + effect.derate_share * day_value_cost * wait_days
    return result


def wait_by_cell(
    grid_years: FloatArray,
    next_fitting_years: FloatArray,
    on_line_share: FloatArray,
    discount: FloatArray,
) -> FloatArray:
    """Return the days on line from the middle of each cell to the next fitting outage [K].

    `next_fitting_years` [K] are grid points. Each day is discounted to the cell it is counted
    from: with `discount` [K] all 1 the days are real ones.
    """
    grid = np.asarray(grid_years, dtype=float)
    days = np.diff(grid) * DAYS_A_YEAR * on_line_share * discount
    passed = np.append(0.0, np.cumsum(days))
    stop = np.searchsorted(grid, np.asarray(next_fitting_years) - 1e-9)
    result: FloatArray = np.maximum(passed[stop] - passed[1:] + days / 2, 0.0) / discount
    return result


def standing_loss_by_cell(
    effect: FailureEffect, grid_years: FloatArray, day_value_cost: float
) -> FloatArray:
    """Return the real money lost by standing failed, with its derate, through each cell [K]."""
    days = np.diff(np.asarray(grid_years, dtype=float)) * DAYS_A_YEAR
    result: FloatArray = effect.derate_share * day_value_cost * days
    return result


def on_line_share_by_cell(grid_years: FloatArray, shut_years: FloatArray) -> FloatArray:
    """Return the share of each cell in which the unit is on line [K].

    `shut_years` [m, 2] holds start and end of its outages, which do not overlap.
    """
    grid = np.asarray(grid_years, dtype=float)
    share = np.ones(len(grid) - 1)
    for start, end in np.asarray(shut_years, dtype=float).reshape(-1, 2):
        inside = np.minimum(grid[1:], end) - np.maximum(grid[:-1], start)
        share -= np.maximum(inside, 0.0) / np.diff(grid)
    return np.clip(share, 0.0, 1.0)
