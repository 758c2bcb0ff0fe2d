"""The cheapest course of every component at given prices, compiled."""

import numpy as np
from numba import njit

from bundler.choice import FloatArray
from bundler.solve.compiled.problem import IntArray


@njit(cache=True, nogil=True)
def pick(
    start: IntArray, cost: FloatArray, works: IntArray, price: FloatArray,
    chosen: IntArray, placed: FloatArray,
) -> float:  # fmt: skip
    """Let each component take its cheapest course at the prices of placements.

    Parameters
    ----------
    start [N + 1], cost [Q], works [Q, K] : courses, component by component.
    price [P + 1] : of placements, the last 0.
    chosen [N], placed [P + 1] : are overwritten: the course taken, and how often each placement is
        in one.

    Returns the sum of what these courses cost.
    """
    total = 0.0
    placed[:] = 0.0
    for component in range(len(start) - 1):
        best, found = np.inf, -1
        for course in range(start[component], start[component + 1]):
            own = cost[course]
            for place in works[course]:
                own += price[place]
            if own < best:
                best, found = own, course
        total += best
        chosen[component] = found
        for place in works[found]:
            placed[place] += 1.0
    return total


@njit(cache=True, nogil=True)
def priced(cost: FloatArray, works: IntArray, price: FloatArray) -> FloatArray:
    """Return what every course costs at the prices of placements [Q]."""
    found = cost.copy()
    for course in range(len(cost)):
        for place in works[course]:
            found[course] += price[place]
    return found
