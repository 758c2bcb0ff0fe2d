"""The cheapest added days and overtime of one period, compiled; see `standing.relief`.

For given days of extension the hours of each overtime band follow from its fullest row; the cost is
convex and straight in between, so tangents from both sides meet at the least of it.
"""

import numpy as np
from numba import njit

from bundler.solve.compiled.problem import TOLERANCE, Problem, State

#: tangents at most; each but the last ends on another straight piece
MOST_TANGENTS = 60


@njit(cache=True, nogil=True, inline="always")
def _lacking(problem: Problem, state: State, row: int) -> float:
    """Return what a row lacks with the use in the scratch (below 0: has left)."""
    over = state.used[row] + state.add[row] - problem.amount[row]
    return 0.0 if 0.0 < over <= problem.small[row] else over


@njit(cache=True, nogil=True)
def _cost_at(problem: Problem, state: State, period: int, days: float) -> tuple[float, float]:
    """Return what days of extension and the overtime then needed cost, and how steeply it rises."""
    bands, rows = problem.period_bands, problem.period_rows
    for at in range(bands.start[period], bands.start[period + 1]):
        state.hours[bands.item[at]] = state.steep[bands.item[at]] = 0.0
    for at in range(rows.start[period], rows.start[period + 1]):
        row = rows.item[at]
        band = problem.band[row]
        if band >= 0:
            hours = (_lacking(problem, state, row) - days * problem.per_day[row]) / problem.part[
                row
            ]
            if hours > state.hours[band]:
                state.hours[band] = hours
                state.steep[band] = -problem.per_day[row] / problem.part[row]
    cost, steep = days * problem.day_cost[period], problem.day_cost[period]
    for at in range(bands.start[period], bands.start[period + 1]):
        band = bands.item[at]
        cost += min(state.hours[band], problem.most_hours[band]) * problem.hour_cost[band]
        steep += state.steep[band] * problem.hour_cost[band]
    return cost, steep


@njit(cache=True, nogil=True)
def _fewest_days(problem: Problem, state: State, period: int, missing_days: float) -> float:
    """Return the fewest days with which overtime could hold the rest; infinite if none do."""
    least, rows = missing_days, problem.period_rows
    for at in range(rows.start[period], rows.start[period + 1]):
        row = rows.item[at]
        beyond = _lacking(problem, state, row)
        if problem.band[row] >= 0:
            beyond -= problem.part[row] * problem.most_hours[problem.band[row]]
        if beyond > problem.small[row]:
            if problem.per_day[row] <= 0:
                return np.inf
            least = max(least, beyond / problem.per_day[row])
    return least


@njit(cache=True, nogil=True, inline="always")
def _lacks(problem: Problem, state: State, period: int) -> bool:
    """Say whether some row of a period lacks anything with the use in the scratch."""
    rows = problem.period_rows
    for at in range(rows.start[period], rows.start[period + 1]):
        if _lacking(problem, state, rows.item[at]) > 0:
            return True
    return False


@njit(cache=True, nogil=True)
def relief_cost(problem: Problem, state: State, period: int, missing_days: float) -> float:
    """Return the least cost of days and overtime with which a period holds use and scratch.

    Infinite where nothing would do.
    """
    if missing_days <= 0 and not _lacks(problem, state, period):
        return 0.0
    low, high = _fewest_days(problem, state, period, missing_days), problem.most_days[period]
    if low > high + TOLERANCE:
        return np.inf
    low = min(low, high)
    cost, steep = _cost_at(problem, state, period, low)
    if steep >= 0 or low >= high:
        return cost
    top_cost, top_steep = _cost_at(problem, state, period, high)
    if top_steep <= 0:
        return top_cost
    for _ in range(MOST_TANGENTS):
        days = (top_cost - cost + steep * low - top_steep * high) / (steep - top_steep)
        found, own = _cost_at(problem, state, period, days)
        line = cost + steep * (days - low)
        if found <= line + 1e-9 * abs(line) or own == 0:
            return found
        if own < 0:
            low, cost, steep = days, found, own
        else:
            high, top_cost, top_steep = days, found, own
    return found
