"""Moves of one component, compiled: each takes the cheapest course that the others leave."""

from numba import njit

from bundler.solve.compiled.problem import IntArray, Problem, State
from bundler.solve.compiled.state import BROKEN, put_in, shared_cost, take_out


@njit(cache=True, nogil=True)
def fill(problem: Problem, state: State, chosen: IntArray) -> None:
    """Put the chosen course of each component [N] into an empty state; -1 leaves one out."""
    for component in range(len(chosen)):
        if chosen[component] >= 0:
            put_in(problem, state, component, chosen[component])
    state.counts[BROKEN] = 0


@njit(cache=True, nogil=True)
def cheapest(problem: Problem, state: State, component: int, most: float) -> tuple[int, float]:
    """Return the cheapest course of a component that is out, and its cost with what it adds.

    -1 if none fits or costs less than `most`.
    """
    found, best = -1, most
    for at in range(problem.start[component], problem.start[component + 1]):
        course = problem.order[at]
        own = problem.cost[course]
        if own >= best:
            break
        total = own + shared_cost(problem, state, course, best - own)
        if total < best:
            found, best = course, total
    return found, best


@njit(cache=True, nogil=True)
def settle(problem: Problem, state: State, components: IntArray, passes: int, least: float) -> int:
    """Let each component in turn take its cheapest course; return how many moved.

    Ends after a pass that saves less than `least` in every move, or after so many passes.
    """
    moves = 0
    for _ in range(passes):
        moved = 0
        for component in components:
            now = state.chosen[component]
            state.counts[BROKEN] = 0
            before = state.cost[0]
            take_out(problem, state, component)
            own = before - state.cost[0]
            course, _ = cheapest(problem, state, component, own - least)
            if course >= 0 and course != now:
                moved += 1
            else:
                course = now
            put_in(problem, state, component, course)
        moves += moved
        if moved == 0:
            break
    state.counts[BROKEN] = 0
    return moves
