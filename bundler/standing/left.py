"""What each course of a component would add to a plan in which all other works stand."""

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from bundler.choice import FloatArray, IntArray
from bundler.standing.relief import TOLERANCE, Relief, relief
from bundler.standing.site import Site


@dataclass
class Standing:
    """A plan as it stands: use of every row, members of every access set, works of every period.

    used [R], members_count [S], placed: 1 for each placement of a chosen course [P]; course the
    chosen course by component.
    """

    site: Site
    used: FloatArray
    members_count: FloatArray
    placed: FloatArray
    course: dict[str, int]


@dataclass(frozen=True)
class Left:
    """What a plan leaves to one component.

    shared_pv_cost [n]: for each of its courses the access, extension and overtime that the
    periods of its works would cost in all, infinite where a limit or a link would be broken.
    """

    courses: IntArray
    shared_pv_cost: FloatArray


def standing(site: Site, courses: dict[str, int]) -> Standing:
    """Return the state of a plan that holds these courses, by component."""
    chosen = np.array(sorted(courses.values()), dtype=np.int64)
    placed = np.asarray(site.held[chosen].sum(axis=0)).ravel()
    members = placed @ site.needs
    used = placed @ site.use + (members > 0.5).astype(float) @ site.access_use
    return Standing(site, used, members, placed, dict(courses))


def _add(state: Standing, placements: IntArray, sign: float) -> None:
    """Take placements into a plan (sign 1) or out of it (-1), with the access they alone need."""
    site = state.site
    if len(placements) == 0:
        return
    state.placed[placements] += sign
    before = state.members_count > 0.5
    state.members_count += sign * np.asarray(site.needs[placements].sum(axis=0)).ravel()
    changed = (state.members_count > 0.5).astype(float) - before
    state.used += sign * np.asarray(site.use[placements].sum(axis=0)).ravel()
    if changed.any():
        state.used += changed @ site.access_use


def works_of(site: Site, course: int) -> IntArray:
    """Return the placements of a course."""
    held = site.held
    return held.indices[held.indptr[course] : held.indptr[course + 1]].astype(np.int64)


def move(state: Standing, component: str, course: int) -> None:
    """Let a component follow another course."""
    _add(state, works_of(state.site, state.course[component]), -1.0)
    _add(state, works_of(state.site, course), 1.0)
    state.course[component] = course


def missing_days(state: Standing, period: int) -> float:
    """Return the days that the works now in a period are too long for it."""
    site = state.site
    own = (site.period == period) & (state.placed > 0.5)
    return float(site.missing_days[own].max(initial=0.0))


def period_relief(state: Standing, period: int, added: FloatArray, missing_days: float) -> Relief:
    """Return the relief that a period needs with `added` use of its rows and longer works."""
    rows = state.site.rows[period]
    return relief(state.site.outages[period], state.used[rows] + added[rows], missing_days)


def _placement_costs(
    state: Standing, own: IntArray, adds: FloatArray, opens: FloatArray
) -> tuple[FloatArray, float]:
    """Return what each placement adds to its period, and what the periods cost without any.

    `adds` [n, R] is the use with newly opened access, `opens` [n, S] the sets newly opened.
    """
    site = state.site
    none = np.zeros(adds.shape[1])
    cost, idle = opens @ site.access_cost, 0.0
    for period in np.unique(site.period[own]):
        missing = missing_days(state, int(period))
        without = period_relief(state, int(period), none, missing).pv_cost
        idle += without
        here = np.flatnonzero(site.period[own] == period)
        longer = np.maximum(missing, site.missing_days[own[here]])
        asks = (longer > 0) | _asks_relief(state, int(period), adds[here])
        for number, days in zip(here[asks], longer[asks], strict=True):
            cost[number] += period_relief(state, int(period), adds[number], float(days)).pv_cost
        cost[here] -= without
    return cost, idle


def _asks_relief(state: Standing, period: int, adds: FloatArray) -> np.ndarray:
    """Return which added uses [n, R] a period cannot hold as it is; the others cost nothing."""
    rows, amount = state.site.rows[period], state.site.outages[period].amount
    small = TOLERANCE * np.maximum(np.abs(amount), 1.0)
    result: np.ndarray = (state.used[rows] + adds[:, rows] - amount > small).any(axis=1)
    return result


def left(state: Standing, component: str, courses: IntArray) -> Left:
    """Return what the plan leaves to a component; `courses` are all its courses.

    The plan without the component has to hold, as it does where the plan holds.
    """
    site = state.site
    now = works_of(site, state.course[component])
    _add(state, now, -1.0)
    held = site.held[courses]
    own = np.unique(held.indices).astype(np.int64)
    opens = site.needs[own].toarray() * (state.members_count < 0.5)
    adds = site.use[own].toarray() + opens @ site.access_use
    with np.errstate(invalid="ignore"):  # a period that does not hold without it either
        cost, idle = _placement_costs(state, own, adds, opens)
    by_work = held[:, own]
    firm = np.flatnonzero(site.firm & (adds != 0).any(axis=0))
    small = TOLERANCE * np.maximum(np.abs(site.most[firm]), 1.0)
    free = site.most[firm] - state.used[firm] + small
    broken = (by_work @ sparse.csr_array(adds[:, firm]).toarray() > free).any(axis=1)
    _add(state, now, 1.0)
    shared = np.where(np.isfinite(cost), cost, 0.0)
    never = (by_work @ (~np.isfinite(cost)).astype(float)) > 0
    return Left(courses, np.where(broken | never, np.inf, by_work @ shared + idle))
