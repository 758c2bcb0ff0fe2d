"""The cost of every course of every component, component by component, courses all at once."""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR, ON_LINE, STATION
from bundler.case import Case
from bundler.choice import FloatArray, IntArray
from bundler.courses.exposure import Exposure, Works
from bundler.courses.lives import curve_now
from bundler.life.curves import LifeCurve
from bundler.risk.loss import (
    FailureEffect,
    loss_by_cell,
    on_line_share_by_cell,
    standing_loss_by_cell,
    wait_by_cell,
)
from bundler.risk.money import mean_discount_by_cell


@dataclass(frozen=True)
class UnitTime:
    """The risk grid of one unit: grid_years [K+1], discount [K] and on-line share [K] of cells."""

    grid_years: FloatArray
    discount: FloatArray
    on_line_share: FloatArray


def unit_time(case: Case, periods: pd.DataFrame, unit: str, end_days: float) -> UnitTime:
    """Return the risk grid of a unit: no coarser than the setting, with every work date in it.

    While the unit (or the whole station) is shut down nothing is lost: on_line_share is 0 there.
    What is common to all units is taken to be needed always.
    """
    steps = np.arange(0, end_days / DAYS_A_YEAR, case.settings.grid_years)
    own = periods[periods["unit"] == unit]
    shut = periods[periods["is_outage"] & periods["unit"].isin([unit, STATION])]
    middle = (own["start_days"] + own["end_days"]) / 2
    dates = np.concatenate([shut["start_days"], shut["end_days"], middle[own["kind"] == ON_LINE]])
    inside = dates[(dates > 0) & (dates < end_days)] / DAYS_A_YEAR
    grid = np.unique(np.concatenate([steps, inside, [end_days / DAYS_A_YEAR]]).round(9))
    years = (shut[["start_days", "end_days"]].to_numpy() / DAYS_A_YEAR).round(9)
    if unit == STATION:
        years = np.zeros((0, 2))
    return UnitTime(
        grid,
        mean_discount_by_cell(case.settings.discount_share_per_year, grid),
        on_line_share_by_cell(grid, years),
    )


def exposure(case: Case, part: pd.Series, time: UnitTime, fitting_days: FloatArray) -> Exposure:
    """Return what the failures of a described component cost over time.

    `fitting_days` are the starts of the outages in which it can be mended, in order.
    """
    grid, settings = time.grid_years, case.settings
    effect = FailureEffect(
        part["forced_days"], part["repair_cost"], part["derate_share"], part["forced_outage_chance"]
    )
    middle = (grid[1:] + grid[:-1]) / 2
    stops = np.append(fitting_days / DAYS_A_YEAR, grid[-1])
    following = stops[np.searchsorted(stops[:-1], middle, side="right")]
    value = float(part["day_value_cost_per_day"])
    stands = part["on_failure"] == "stand"
    mended = replace(effect, derate_share=0.0) if stands else effect
    share, flat = time.on_line_share, np.ones_like(time.discount)
    real = wait_by_cell(grid, following, share, flat)
    worth = wait_by_cell(grid, following, share, time.discount)
    loss = loss_by_cell(mended, settings, real, value)
    loss_worth = loss_by_cell(mended, settings, worth, value) * time.discount
    standing = standing_loss_by_cell(effect, grid, value)
    return Exposure(
        grid, loss * share, loss_worth * share, standing * share,
        standing * share * time.discount, part["on_failure"], curve_now(case, part),
        float(part["age_years"]),
    )  # fmt: skip


def planned_cost(steps: IntArray, placement_cost: FloatArray) -> FloatArray:
    """Return the planned cost of each course: the sum over its works."""
    cost = np.append(placement_cost, 0.0)
    result: FloatArray = cost[steps].sum(axis=1)
    return result


def _codes(steps: IntArray, base: int) -> IntArray:
    """Return one number a course that tells which works it holds, in order."""
    powers = base ** np.arange(steps.shape[1], dtype=np.int64)
    result: IntArray = ((steps + 1) * powers).sum(axis=1)
    return result


def useful(steps: IntArray, pv_cost: FloatArray, is_asked: np.ndarray) -> np.ndarray:
    """Return which courses may be worth choosing.

    A course that costs no less than itself without one of its works uses at least as much of
    every limit, so it is never better; with several costs (columns of `pv_cost` [n, R]) it has
    to cost no less in each. Works that somebody asks for (`is_asked` of each placement: by a
    link, or agreed before) are not taken out of it.
    """
    keep = np.ones(len(steps), dtype=bool)
    base = len(is_asked) + 1
    may_go = np.append(~is_asked, False)
    codes = _codes(steps, base)
    order = np.argsort(codes)
    for gone in range(steps.shape[1]):
        rest = np.delete(steps, gone, axis=1)
        less = np.column_stack([rest, np.full(len(steps), -1)])
        place = np.searchsorted(codes, _codes(less, base), sorter=order)
        found = order[np.minimum(place, len(order) - 1)]
        is_there = (codes[found] == _codes(less, base)) & may_go[steps[:, gone]]
        keep &= ~(is_there & (pv_cost[found] <= pv_cost).all(axis=1))
    return keep


def risk_key(sight: Exposure, works: Works) -> tuple[bytes | str | LifeCurve | float, ...]:
    """Return a key that is equal for components whose courses carry the same risk."""
    return (
        sight.curve, sight.age_years, sight.on_failure, sight.loss_pv_cost.tobytes(),
        sight.standing_pv_cost.tobytes(), sight.grid_years.tobytes(), works.index.tobytes(),
        works.restoration_share.tobytes(), "".join(works.kinds), str(works.curves),
        b"" if sight.removal_pv_cost is None else sight.removal_pv_cost.tobytes(),
        works.frees.tobytes(),
    )  # fmt: skip
