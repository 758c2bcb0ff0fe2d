"""A plan on the flat arrays: load it, read it, tell its cost."""

from dataclasses import dataclass

import numpy as np

from bundler.choice import FloatArray
from bundler.solve.arrays import Arrays
from bundler.solve.compiled.moves import fill
from bundler.solve.compiled.problem import IntArray, Problem, State, empty_state


@dataclass(frozen=True)
class Plan:
    """The course of each component [N] by its place in the arrays, and the whole cost."""

    chosen: IntArray
    pv_cost: float


def state_of(problem: Problem, chosen: IntArray) -> State:
    """Return the state of a plan; components with -1 are left out."""
    state = empty_state(problem)
    fill(problem, state, chosen)
    return state


def is_sound(problem: Problem, state: State) -> bool:
    """Say whether every component has a course and every row holds, with what relieves it."""
    over = (state.used - problem.amount > problem.small) & (problem.row_period < 0)
    return not over.any() and bool(np.isfinite(state.relief).all() and (state.chosen >= 0).all())


def chosen_of(arrays: Arrays, courses: tuple[int, ...]) -> IntArray:
    """Return the place of the chosen course of each component [N]; -1 where there is none."""
    at = np.flatnonzero(np.isin(arrays.courses, np.array(courses, dtype=np.int64)))
    found = np.full(arrays.components_count, -1, dtype=np.int64)
    found[np.searchsorted(arrays.start, at, side="right") - 1] = at
    return found


def numbers_of(arrays: Arrays, chosen: IntArray) -> tuple[int, ...]:
    """Return the numbers of the chosen courses in their table."""
    return tuple(int(course) for course in np.sort(arrays.courses[chosen]))


def near_count(start: IntArray, regret: FloatArray, order: IntArray, most: float) -> IntArray:
    """Return how many courses of each component cost at most so much more at the prices [N]."""
    is_near = (regret[order] <= most).astype(np.int64)
    return np.maximum(np.add.reduceat(is_near, start[:-1]), np.minimum(np.diff(start), 3))
