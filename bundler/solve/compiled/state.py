"""A plan as it stands: take a component's course out, see what another would cost, put it in."""

import numpy as np
from numba import njit

from bundler.solve.compiled.problem import Problem, State
from bundler.solve.compiled.relief import relief_cost

#: places of the counts in State.count
ROWS, SETS, PERIODS, BROKEN, UNHELD = 0, 1, 2, 3, 4
#: mark of a period in which a row lacks something
LACKS = 2


@njit(cache=True, nogil=True, inline="always")
def _note_row(state: State, row: int, value: float) -> None:
    """Add to a row in the scratch."""
    if state.row_mark[row] == 0:
        state.row_mark[row] = 1
        state.row_list[state.counts[ROWS]] = row
        state.counts[ROWS] += 1
    state.add[row] += value


@njit(cache=True, nogil=True, inline="always")
def _note_work(problem: Problem, state: State, place: int) -> float:
    """Note what a placement uses, with the access that it is the first to need; return its cost."""
    cost = 0.0
    for at in range(problem.use.start[place], problem.use.start[place + 1]):
        _note_row(state, problem.use.item[at], problem.use.value[at])
    for at in range(problem.need.start[place], problem.need.start[place + 1]):
        own = problem.need.item[at]
        if state.members[own] > 0 or state.set_mark[own] > 0:
            continue
        state.set_mark[own] = 1
        state.set_list[state.counts[SETS]] = own
        state.counts[SETS] += 1
        cost += problem.set_cost[own]
        for use in range(problem.set_use.start[own], problem.set_use.start[own + 1]):
            _note_row(state, problem.set_use.item[use], problem.set_use.value[use])
    _note_period(state, problem.period[place], problem.missing[place])
    return cost


@njit(cache=True, nogil=True, inline="always")
def _note_period(state: State, period: int, missing_days: float) -> None:
    """Note that a period is touched, by a work so much too long."""
    if period < 0:
        return
    if state.period_mark[period] == 0:
        state.period_mark[period] = 1
        state.period_list[state.counts[PERIODS]] = period
        state.counts[PERIODS] += 1
        state.longest[period] = 0.0
    state.longest[period] = max(state.longest[period], missing_days)


@njit(cache=True, nogil=True, inline="always")
def _note_row_periods(problem: Problem, state: State) -> None:
    """Note the periods of all rows in the scratch, and which of them lack something with it."""
    for at in range(state.counts[ROWS]):
        row = state.row_list[at]
        period = problem.row_period[row]
        if period >= 0:
            _note_period(state, period, 0.0)
            if state.used[row] + state.add[row] - problem.amount[row] > problem.small[row]:
                state.period_mark[period] = LACKS


@njit(cache=True, nogil=True, inline="always")
def _clear(state: State) -> None:
    """Empty the scratch."""
    for at in range(state.counts[ROWS]):
        row = state.row_list[at]
        state.row_mark[row] = 0
        state.add[row] = 0.0
    for at in range(state.counts[SETS]):
        state.set_mark[state.set_list[at]] = 0
    for at in range(state.counts[PERIODS]):
        state.period_mark[state.period_list[at]] = 0
    state.counts[ROWS] = state.counts[SETS] = state.counts[PERIODS] = 0


@njit(cache=True, nogil=True)
def _longest_left(problem: Problem, state: State, period: int) -> float:
    """Return the days by which the works now in a period are too long for it."""
    found = 0.0
    for at in range(problem.period_long.start[period], problem.period_long.start[period + 1]):
        place = problem.period_long.item[at]
        if state.placed[place] > 0:
            found = max(found, problem.missing[place])
    return found


@njit(cache=True, nogil=True)
def take_out(problem: Problem, state: State, component: int) -> None:
    """Take the course of a component out of the plan, with the access it alone needs.

    Relief of its periods is told afresh; rows that now are overfull (by what the course gave) are
    added to the broken ones.
    """
    course = state.chosen[component]
    cost = problem.cost[course]
    for at in range(problem.works.shape[1]):
        place = problem.works[course, at]
        if problem.period[place] >= 0:
            state.placed[place] -= 1
            cost += _note_work_out(problem, state, place)
    _note_row_periods(problem, state)
    _keep_rows(problem, state)
    state.cost[0] -= cost
    _relieve(problem, state)
    _clear(state)
    state.chosen[component] = -1


@njit(cache=True, nogil=True)
def _note_broken(state: State, row: int) -> None:
    """Add a row to the broken ones, if it is not among them; they are few."""
    for at in range(state.counts[BROKEN]):
        if state.broken[at] == row:
            return
    state.broken[state.counts[BROKEN]] = row
    state.counts[BROKEN] += 1


@njit(cache=True, nogil=True, inline="always")
def _keep_rows(problem: Problem, state: State) -> None:
    """Let the use in the scratch stand; rows broken by it are added to the broken ones."""
    for at in range(state.counts[ROWS]):
        row = state.row_list[at]
        rises = state.add[row] > 0
        state.used[row] += state.add[row]
        state.add[row] = 0.0
        over = state.used[row] - problem.amount[row]
        if rises and problem.row_period[row] < 0 and over > problem.small[row]:
            _note_broken(state, row)


@njit(cache=True, nogil=True, inline="always")
def _note_work_out(problem: Problem, state: State, place: int) -> float:
    """Note what a placement no longer uses, with the access that nobody needs any more."""
    cost = 0.0
    for at in range(problem.use.start[place], problem.use.start[place + 1]):
        _note_row(state, problem.use.item[at], -problem.use.value[at])
    for at in range(problem.need.start[place], problem.need.start[place + 1]):
        own = problem.need.item[at]
        state.members[own] -= 1
        if state.members[own] == 0:
            cost += problem.set_cost[own]
            for use in range(problem.set_use.start[own], problem.set_use.start[own + 1]):
                _note_row(state, problem.set_use.item[use], -problem.set_use.value[use])
    _note_period(state, problem.period[place], 0.0)
    return cost


@njit(cache=True, nogil=True)
def _relieve(problem: Problem, state: State) -> None:
    """Tell the relief of all noted periods afresh, at the use there is.

    The whole cost holds that of the periods that can be relieved; the others are counted.
    """
    for at in range(state.counts[PERIODS]):
        period = state.period_list[at]
        state.days[period] = _longest_left(problem, state, period)
        before = state.relief[period]
        after = relief_cost(problem, state, period, state.days[period])
        if np.isfinite(after):
            state.cost[0] += after
        else:
            state.counts[UNHELD] += 1
        if np.isfinite(before):
            state.cost[0] -= before
        else:
            state.counts[UNHELD] -= 1
        state.relief[period] = after


@njit(cache=True, nogil=True, inline="always")
def _rows_hold(problem: Problem, state: State) -> bool:
    """Say whether the scratch breaks no row that nothing relieves, and mends the broken ones."""
    for at in range(state.counts[ROWS]):
        row = state.row_list[at]
        over = state.used[row] + state.add[row] - problem.amount[row]
        if problem.row_period[row] < 0 and state.add[row] > 0 and over > problem.small[row]:
            return False
    for at in range(state.counts[BROKEN]):
        row = state.broken[at]
        if state.used[row] + state.add[row] - problem.amount[row] > problem.small[row]:
            return False
    return True


@njit(cache=True, nogil=True, inline="always")
def _asks_relief(state: State, period: int) -> bool:
    """Say whether a noted period has to be relieved otherwise than it is."""
    lacks: bool = state.period_mark[period] == LACKS or state.relief[period] > 0
    longer: bool = state.longest[period] > state.days[period]
    return lacks or longer


@njit(cache=True, nogil=True, inline="always")
def _noted_cost(problem: Problem, state: State, cost: float, most: float) -> float:
    """Return `cost` of the access noted with the relief that the noted use asks for."""
    if cost >= most or not _rows_hold(problem, state):
        _clear(state)
        return np.inf
    _note_row_periods(problem, state)
    mended = 0
    for at in range(state.counts[PERIODS]):
        period = state.period_list[at]
        if _asks_relief(state, period):
            longest = max(state.longest[period], state.days[period])
            cost += relief_cost(problem, state, period, longest)
            if np.isfinite(state.relief[period]):
                cost -= state.relief[period]
            else:
                mended += 1
            if not cost < most:
                break
    _clear(state)
    return cost if cost < most and mended == state.counts[UNHELD] else np.inf


@njit(cache=True, nogil=True)
def shared_cost(problem: Problem, state: State, course: int, most: float) -> float:
    """Return what a course of a component that is out adds in access, days and overtime.

    Infinite where it breaks a row, leaves a broken one, or costs `most` or more.
    """
    cost = 0.0
    for at in range(problem.works.shape[1]):
        place = problem.works[course, at]
        if problem.period[place] >= 0:
            cost += _note_work(problem, state, place)
    return _noted_cost(problem, state, cost, most)


@njit(cache=True, nogil=True)
def put_in(problem: Problem, state: State, component: int, course: int) -> None:
    """Put a course of a component that is out into the plan."""
    cost = problem.cost[course]
    for at in range(problem.works.shape[1]):
        place = problem.works[course, at]
        if problem.period[place] >= 0:
            cost += _note_work(problem, state, place)
    for at in range(problem.works.shape[1]):
        place = problem.works[course, at]
        if problem.period[place] >= 0:
            state.placed[place] += 1
            for need in range(problem.need.start[place], problem.need.start[place + 1]):
                state.members[problem.need.item[need]] += 1
    _note_row_periods(problem, state)
    _keep_rows(problem, state)
    state.cost[0] += cost
    _relieve(problem, state)
    _clear(state)
    state.chosen[component] = course
