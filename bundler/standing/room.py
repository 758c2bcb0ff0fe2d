"""Room for a course that does not fit: the one other component that is cheapest to move."""

from dataclasses import dataclass

import numpy as np

from bundler.choice import FloatArray, IntArray
from bundler.standing.left import Standing, left, missing_days, move, period_relief, works_of
from bundler.standing.relief import TOLERANCE

#: components that are tried, those whose works free enough with least to spare; our choice
TRIED_COUNT = 8


@dataclass(frozen=True)
class Room:
    """What it takes: which component moves to which course, and what the plan then costs more.

    extra_pv_cost holds the other's cost, access, days and overtime, not the cost of the course.
    """

    moved: str
    course: int
    extra_pv_cost: float


def _overfull(state: Standing) -> IntArray:
    """Return the rows that neither days nor overtime add to and that are overfull."""
    site = state.site
    small = TOLERANCE * np.maximum(np.abs(site.most), 1.0)
    return np.flatnonzero(site.firm & (state.used > site.most + small)).astype(np.int64)


def _crowded(state: Standing, periods: IntArray) -> IntArray:
    """Return the rows of periods that nothing can relieve, which are filled beyond their amount."""
    site, none, found = state.site, np.zeros(len(state.used)), []
    for period in periods:
        rows = site.rows[period]
        if np.isinf(period_relief(state, int(period), none, 0.0).pv_cost):
            found.append(rows[state.used[rows] > site.most[rows]])
    return np.concatenate(found).astype(np.int64) if found else np.zeros(0, dtype=np.int64)


def common_cost(state: Standing, periods: IntArray) -> float:
    """Return what access, days and overtime cost in some periods; infinite where none would do."""
    site, none, total = state.site, np.zeros(len(state.used)), 0.0
    made = (state.members_count > 0.5) & np.isin(site.access_period, periods)
    for period in periods:
        longest = missing_days(state, int(period))
        total += period_relief(state, int(period), none, longest).pv_cost
    return total + float(site.access_cost[made].sum())


def _able(state: Standing, rows: IntArray, apart: frozenset[str]) -> list[str]:
    """Return the components whose works free enough of every row, with least to spare first."""
    site = state.site
    placed = np.flatnonzero(state.placed > 0.5)
    use = site.use[placed][:, rows].toarray()
    mine, number = np.unique(site.owner[placed], return_inverse=True)
    sums = np.zeros((len(mine), len(rows)))
    np.add.at(sums, number, use)
    lack = np.maximum(state.used[rows] - site.most[rows], 1e-9)
    spare = (sums / lack).min(axis=1)
    order = [place for place in np.argsort(spare, kind="stable") if spare[place] >= 1.0]
    return [str(mine[place]) for place in order if mine[place] not in apart][:TRIED_COUNT]


def _periods(state: Standing, *courses: int) -> IntArray:
    """Return the periods of the works of some courses."""
    works = np.concatenate([works_of(state.site, course) for course in courses])
    return np.unique(state.site.period[works])


def make_room(
    state: Standing,
    name: str,
    course: int,
    own: dict[str, IntArray],
    cost: FloatArray,
    apart: frozenset[str] = frozenset(),
) -> Room | None:
    """Return the cheapest room for a course of those that moving one other component makes.

    Tried are the few whose works free what lacks with least to spare.

    Parameters
    ----------
    own : the courses of each component.
    cost : risk and work of every course.
    apart : components that do not make room.

    None where none of those tried makes room. The state is as before when it returns.
    """
    was = state.course[name]
    best: Room | None = None
    move(state, name, course)
    rows = np.unique(np.concatenate([_overfull(state), _crowded(state, _periods(state, course))]))
    for other in _able(state, rows, apart | {name}) if len(rows) else ():
        here = state.course[other]
        found = left(state, other, own[other]).shared_pv_cost + cost[own[other]]
        there = int(own[other][int(np.argmin(found))])
        if not np.isfinite(found.min()) or there == here:
            continue
        periods = _periods(state, course, was, here, there)
        move(state, other, there)
        after = common_cost(state, periods) if not len(_overfull(state)) else np.inf
        move(state, other, here)
        move(state, name, was)
        extra = after - common_cost(state, periods) + float(cost[there] - cost[here])
        move(state, name, course)
        if np.isfinite(extra) and (best is None or extra < best.extra_pv_cost):
            best = Room(other, there, extra)
    move(state, name, was)
    return best
