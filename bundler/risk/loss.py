"""Money lost by a failure, by when it happens."""

from dataclasses import dataclass

import numpy as np

from bundler.case import Settings
from bundler.life.curves import FloatArray

DAYS_A_YEAR = 365.25


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
    grid_years: FloatArray,
    next_fitting_years: FloatArray,
    day_value_cost: float,
) -> FloatArray:
    """Return the real money lost by one failure in the middle of each cell [K].

    Forced repair, lost output, the fixed cost of a forced outage by its chance, and the derate
    until the next outage in which it can be mended (`next_fitting_years` [K]).
    """
    fixed = (
        settings.forced_repair_ratio * effect.repair_cost
        + effect.forced_days * day_value_cost
        + effect.forced_outage_chance * settings.forced_outage_cost
    )
    grid = np.asarray(grid_years, dtype=float)
    wait = np.maximum(next_fitting_years - (grid[1:] + grid[:-1]) / 2, 0.0) * DAYS_A_YEAR
    result: FloatArray = fixed + effect.derate_share * day_value_cost * wait
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
