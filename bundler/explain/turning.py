"""Where a decision turns: the nearest value at which another one becomes the cheapest."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import optimize

from bundler.choice import FloatArray, IntArray

#: cost of some courses (rows) at a value
Exact = Callable[[float, IntArray], FloatArray]
#: how exactly a turning value is found, as a share of the step it lies in
EXACT_SHARE = 1e-8


@dataclass(frozen=True)
class Turn:
    """The value at which a decision turns and the number of the one it turns to; NaN, -1: none."""

    at: float
    code: int


NEVER = Turn(float("nan"), -1)


def _lead(cost: FloatArray, is_now: np.ndarray) -> FloatArray:
    """Return by how much the decision is cheaper than every other one [n rows] -> value."""
    if is_now.all():
        return np.full(cost.shape[1:], np.inf)
    result: FloatArray = cost[~is_now].min(axis=0) - cost[is_now].min(axis=0)
    return result


def _rivals(coarse: FloatArray, is_now: np.ndarray, step: int) -> IntArray:
    """Return the courses that are the cheapest with or without the decision, up to a step."""
    own, other = np.flatnonzero(is_now), np.flatnonzero(~is_now)
    until = slice(0, step + 2)
    found = [own[coarse[own, until].argmin(axis=0)], other[coarse[other, until].argmin(axis=0)]]
    return np.unique(np.concatenate(found)).astype(np.int64)


def first_turn(
    exact: Exact, start: float, ladder: FloatArray, coarse: FloatArray, codes: IntArray, now: int
) -> Turn:
    """Return the first value along a ladder at which another decision is cheaper.

    Parameters
    ----------
    exact : exact cost of some courses at a value.
    start : the value assumed, at which decision `now` is the cheapest.
    ladder : L values away from it, in order.
    coarse : [n, L] costs at these values, good enough to tell where to look.
    codes : [n] number of the decision of each course.
    """
    is_now = codes == now
    if is_now.all() or not is_now.any():
        return NEVER
    for step in np.flatnonzero(_lead(coarse, is_now) < 0):
        rivals = _rivals(coarse, is_now, int(step))

        def lead(value: float, rivals: IntArray = rivals) -> float:
            return float(_lead(exact(value, rivals), is_now[rivals]))

        far, near = float(ladder[step]), start if step == 0 else float(ladder[step - 1])
        if lead(far) >= 0:
            continue
        if lead(near) < 0:
            near = start
            if lead(near) < 0:
                return Turn(start, int(codes[rivals[int(exact(start, rivals).argmin())]]))
        at = float(optimize.brentq(lead, near, far, xtol=EXACT_SHARE * abs(far - near)))
        beyond = at + 1e-6 * (far - near)
        return Turn(at, int(codes[rivals[int(exact(beyond, rivals).argmin())]]))
    return NEVER
