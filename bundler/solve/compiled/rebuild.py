"""Take a few components out that stand in each other's way and put them in otherwise, often.

One that is far from its cheapest priced course is led to a course near that; some that fill a row
it needs make room and find another place. Dearer plans are kept by a margin that shrinks to
nothing (simulated annealing in its threshold form, Dueck and Scheuer 1990, from memory).
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from bundler.choice import FloatArray
from bundler.solve.compiled.chance import draw
from bundler.solve.compiled.moves import cheapest
from bundler.solve.compiled.problem import IntArray, Problem, State
from bundler.solve.compiled.state import BROKEN, put_in, shared_cost, take_out

#: draws at most for one that is far from its cheapest priced course
DRAWS = 30
#: part of the rebuilds in which all others follow priced cost, and in which the first is led
BY_PRICE, LED = 0.4, 0.7
#: part of the priced courses that is passed over by chance
PASSED = 0.05


class Guide(NamedTuple):
    """What leads a search.

    order [Q], the courses of each component from the cheapest at the prices on; regret [Q], what
    each costs more than that; near [N], how many count as near; far, a regret of that size is
    always taken up.
    """

    order: IntArray
    regret: FloatArray
    near: IntArray
    far: float


class Table(NamedTuple):
    """Scratch of a search, and the best plan that it has seen.

    own [n]: who may move; all others stand and count as out already. out and was [most out]: who is
    out and what they did; is_out [N]; pool [P] of who is in the way; aim [1], the course that the
    first is led to; seed [1]; best [N].
    """

    own: IntArray
    out: IntArray
    was: IntArray
    is_out: IntArray
    pool: IntArray
    aim: IntArray
    seed: IntArray
    best: IntArray


@njit(cache=True, nogil=True)
def first_fit(
    problem: Problem, state: State, guide: Guide, component: int, table: Table, passed: float
) -> int:
    """Return the first course that fits in the order of priced cost, -1 if none does."""
    for at in range(problem.start[component], problem.start[component + 1]):
        if passed > 0 and draw(table.seed) < passed:
            continue
        if np.isfinite(shared_cost(problem, state, guide.order[at], np.inf)):
            return int(guide.order[at])
    if passed > 0:
        return first_fit(problem, state, guide, component, table, 0.0)
    return -1


@njit(cache=True, nogil=True)
def _far_off(problem: Problem, state: State, guide: Guide, table: Table) -> int:
    """Return a component, the sooner the further it is from its cheapest priced course."""
    count = len(table.own)
    component = table.own[int(draw(table.seed) * count)]
    for _ in range(DRAWS):
        if draw(table.seed) * guide.far < guide.regret[state.chosen[component]]:
            break
        component = table.own[int(draw(table.seed) * count)]
    return int(component)


@njit(cache=True, nogil=True)
def _full_row(problem: Problem, state: State, place: int, table: Table) -> int:
    """Return a row that a placement would overfill, or any row that it uses; -1 if it uses none."""
    first, last = problem.use.start[place], problem.use.start[place + 1]
    if first == last:
        return -1
    found = -1
    for at in range(first, last):
        row = problem.use.item[at]
        over = state.used[row] + problem.use.value[at] - problem.amount[row]
        if over > problem.small[row] and (found < 0 or draw(table.seed) < 0.5):
            found = row
    if found < 0:
        found = problem.use.item[first + int(draw(table.seed) * (last - first))]
    return found


@njit(cache=True, nogil=True)
def _in_the_way(problem: Problem, state: State, course: int, table: Table) -> int:
    """List the components that fill rows which a course needs; return how many are listed."""
    size = 0
    for place in problem.works[course]:
        if problem.period[place] < 0:
            continue
        row = _full_row(problem, state, place, table)
        if row < 0:
            continue
        for at in range(problem.users.start[row], problem.users.start[row + 1]):
            other = problem.users.item[at]
            if state.placed[other] > 0 and size < len(table.pool):
                table.pool[size] = problem.owner[other]
                size += 1
    return size


@njit(cache=True, nogil=True)
def _take(problem: Problem, state: State, component: int, table: Table, count: int) -> int:
    """Take one out, if it is not yet; return how many are out then."""
    if table.is_out[component] == 1:
        return count
    table.is_out[component] = 1
    table.out[count], table.was[count] = component, state.chosen[component]
    take_out(problem, state, component)
    return count + 1


@njit(cache=True, nogil=True)
def _put_all(
    problem: Problem, state: State, guide: Guide, table: Table, count: int, most: float
) -> bool:
    """Put in those that are out, the first on its aim if it is led there; say if all fit."""
    chance, target = draw(table.seed), table.aim[0]
    for number in range(count):
        component, course = table.out[number], -1
        if number == 0 and chance < LED:
            if np.isfinite(shared_cost(problem, state, target, np.inf)):
                course = target
            else:
                course = first_fit(problem, state, guide, component, table, 0.0)
        elif chance < BY_PRICE:
            course = first_fit(problem, state, guide, component, table, PASSED)
        else:
            course, _ = cheapest(problem, state, component, np.inf)
        if course < 0:
            return False
        put_in(problem, state, component, course)
        if chance >= BY_PRICE and number > 0 and state.cost[0] > most:
            return False
    if chance < BY_PRICE:
        _settle_out(problem, state, table, count)
    return True


@njit(cache=True, nogil=True)
def _settle_out(problem: Problem, state: State, table: Table, count: int) -> None:
    """Let those that were out take their cheapest course once more."""
    for number in range(count):
        component = table.out[number]
        now, before = state.chosen[component], state.cost[0]
        state.counts[BROKEN] = 0
        take_out(problem, state, component)
        course, _ = cheapest(problem, state, component, before - state.cost[0])
        put_in(problem, state, component, now if course < 0 else course)
    state.counts[BROKEN] = 0


@njit(cache=True, nogil=True)
def _undo(problem: Problem, state: State, table: Table, count: int) -> None:
    """Put all back as they were."""
    for number in range(count):
        if state.chosen[table.out[number]] >= 0:
            take_out(problem, state, table.out[number])
    for number in range(count):
        put_in(problem, state, table.out[number], table.was[number])


@njit(cache=True, nogil=True)
def _mended(problem: Problem, state: State, rows: IntArray) -> bool:
    """Say whether rows that were broken on the way hold again."""
    for row in rows:  # noqa: SIM110 - compiled code knows no generators
        if state.used[row] - problem.amount[row] > problem.small[row]:
            return False
    return True


@njit(cache=True, nogil=True)
def _rebuild(problem: Problem, state: State, guide: Guide, table: Table, margin: float) -> None:
    """Rebuild once; the plan stays as it was if it would be dearer by more than the margin."""
    before = state.cost[0]
    first = _far_off(problem, state, guide, table)
    most = 2 + int(draw(table.seed) * (len(table.out) - 1))
    place = draw(table.seed) * draw(table.seed) * guide.near[first]
    target = table.aim[0] = guide.order[problem.start[first] + int(place)]
    state.counts[BROKEN] = 0
    count = _take(problem, state, first, table, 0)
    size = _in_the_way(problem, state, target, table)
    while count < most and size > 0:
        at = int(draw(table.seed) * size)
        other = table.pool[at]
        size -= 1
        table.pool[at] = table.pool[size]
        count = _take(problem, state, other, table, count)
    broken = state.broken[: state.counts[BROKEN]].copy()
    state.counts[BROKEN] = 0
    fits = _put_all(problem, state, guide, table, count, before + margin)
    if not fits or state.cost[0] > before + margin or not _mended(problem, state, broken):
        _undo(problem, state, table, count)
        state.cost[0] = before
    state.counts[BROKEN] = 0
    for number in range(count):
        table.is_out[table.out[number]] = 0


@njit(cache=True, nogil=True)
def rebuild(
    problem: Problem, state: State, guide: Guide, table: Table, margins: FloatArray,
    best_cost: float,
) -> float:  # fmt: skip
    """Rebuild once for each margin; return the least cost seen, with that plan in the table."""
    small = 1e-9 * abs(best_cost)
    for margin in margins:
        _rebuild(problem, state, guide, table, margin)
        if state.cost[0] < best_cost - small:
            best_cost = state.cost[0]
            table.best[:] = state.chosen
    return best_cost
