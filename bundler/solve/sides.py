"""Two sides of a station, each rebuilt by itself at once: who is on which, and their rows."""

from typing import NamedTuple

import numpy as np

from bundler.choice import FloatArray
from bundler.solve.arrays import Arrays
from bundler.solve.compiled.problem import IntArray, Problem, State


class Sides(NamedTuple):
    """Components [n] of each side, and the problem as each side sees it."""

    own: tuple[IntArray, IntArray]
    problems: tuple[Problem, Problem]


def homes(arrays: Arrays) -> IntArray:
    """Return the unit of each component [N]: that of most of its placements, the first if even."""
    units = int(arrays.period_unit.max(initial=0)) + 1
    unit = arrays.period_unit[arrays.placement_period]
    owner = np.zeros(len(unit) + 1, dtype=np.int64)
    for column in arrays.works.T:
        owner[column] = arrays.component
    counts = np.zeros((arrays.components_count, units), dtype=np.int64)
    np.add.at(counts, (owner[:-1], unit), 1)
    home: IntArray = counts.argmax(axis=1)
    return home


def drawn(home: IntArray, rng: np.random.Generator) -> np.ndarray:
    """Return which components [N] are on the second side: about half, by whole units."""
    order = rng.permutation(int(home.max()) + 1)
    size = np.bincount(home, minlength=len(order))[order]
    first = int(np.abs(np.cumsum(size) - len(home) / 2).argmin()) + 1
    is_second: np.ndarray = np.isin(home, order[first:])
    return is_second


def _users(problem: Problem, is_side: np.ndarray) -> np.ndarray:
    """Return which rows [R] some placement of a side may use."""
    lists = problem.users
    before = np.concatenate([[0], np.cumsum(is_side[problem.owner[lists.item]])])[lists.start]
    has: np.ndarray = np.diff(before) > 0
    return has


def _amounts(problem: Problem, state: State, is_second: np.ndarray) -> tuple[FloatArray, ...]:
    """Return what each side may count on in every row [R], so that both together keep it.

    What is left of a row that both use is halved; that of one that days or overtime relieve goes
    to the first whole, as its relief is told for the row.
    """
    is_shared = _users(problem, ~is_second) & _users(problem, is_second)
    left = np.where(is_shared, np.maximum(problem.amount - state.used, 0.0), 0.0)
    first = np.where(problem.row_period < 0, left / 2, 0.0)
    return problem.amount - first, problem.amount - (left - first)


def sides_of(problem: Problem, state: State, is_second: np.ndarray) -> Sides:
    """Return the two sides of a plan as it stands."""
    first, second = _amounts(problem, state, is_second)
    return Sides(
        (np.flatnonzero(~is_second), np.flatnonzero(is_second)),
        (problem._replace(amount=first), problem._replace(amount=second)),
    )
