"""What a plan on the flat arrays takes beside its courses: access, days, overtime."""

import numpy as np

from bundler.solve.arrays import Arrays
from bundler.solve.compiled.problem import Problem, State
from bundler.standing.relief import Outage, Relief, relief

#: days and hours below this are none
TINY = 1e-6


def _relief(problem: Problem, state: State, period: int) -> tuple[Relief, list[int]]:
    """Return the relief of one period, and its bands by number."""
    own = problem.period_rows
    rows = own.item[own.start[period] : own.start[period + 1]]
    bands = problem.period_bands
    names = list(bands.item[bands.start[period] : bands.start[period + 1]])
    place = {int(band): number for number, band in enumerate(names)}
    outage = Outage(
        problem.amount[rows], problem.per_day[rows], problem.part[rows],
        np.array([place.get(int(band), -1) for band in problem.band[rows]], dtype=np.int64),
        problem.most_hours[names], problem.hour_cost[names],
        float(problem.most_days[period]), float(problem.day_cost[period]),
    )  # fmt: skip
    return relief(outage, state.used[rows], float(state.days[period])), names


def taken(
    arrays: Arrays, problem: Problem, state: State
) -> tuple[tuple[str, ...], dict[str, float], dict[str, float]]:
    """Return the access made, days of extension by period, and hours by overtime band."""
    sets = [name for kind, name in arrays.shared_name if kind == "y"]
    bands = [name for kind, name in arrays.shared_name if kind == "t"]
    access = tuple(name for name, count in zip(sets, state.members, strict=True) if count > 0)
    days: dict[str, float] = {}
    hours: dict[str, float] = {}
    for period in np.flatnonzero(state.relief > 0):
        found, numbers = _relief(problem, state, int(period))
        if found.days > TINY:
            days[arrays.periods[period]] = round(found.days, 6)
        for number, amount in zip(numbers, found.hours, strict=True):
            if amount > TINY:
                hours[bands[number]] = round(float(amount), 6)
    return access, days, hours
