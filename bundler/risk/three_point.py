"""Durations from three points: least a, most likely m, greatest b; any unit, the same for all.

The classic formulas of PERT (Malcolm et al. 1959; from memory) and the triangular distribution.
"""

import math

import numpy as np
from numpy.typing import ArrayLike

from bundler.life.curves import FloatArray


def _points(*points: ArrayLike) -> tuple[FloatArray, ...]:
    """Return the points as arrays; raises ValueError where they do not rise."""
    found = tuple(np.asarray(point, dtype=float) for point in points)
    for low, high in zip(found[:-1], found[1:], strict=True):
        if not np.all(low <= high):
            raise ValueError("Three points have to rise: least <= most likely <= greatest.")
    return found


def pert_mean(least: ArrayLike, likely: ArrayLike, greatest: ArrayLike) -> FloatArray:
    """Return (a + 4 m + b) / 6, which is also the mean of the beta-PERT distribution."""
    a, m, b = _points(least, likely, greatest)
    result: FloatArray = (a + 4 * m + b) / 6
    return result


def pert_variance(least: ArrayLike, greatest: ArrayLike) -> FloatArray:
    """Return ((b - a) / 6)^2, the classic approximation; not the beta-PERT's own variance."""
    a, b = _points(least, greatest)
    result: FloatArray = ((b - a) / 6) ** 2
    return result


def beta_pert_variance(least: ArrayLike, likely: ArrayLike, greatest: ArrayLike) -> FloatArray:
    """Return (mu - a)(b - mu) / 7, the exact variance of the beta-PERT with weight 4."""
    a, _, b = _points(least, likely, greatest)
    mean = pert_mean(least, likely, greatest)
    result: FloatArray = (mean - a) * (b - mean) / 7
    return result


def triangular_mean(least: ArrayLike, likely: ArrayLike, greatest: ArrayLike) -> FloatArray:
    """Return (a + m + b) / 3."""
    a, m, b = _points(least, likely, greatest)
    result: FloatArray = (a + m + b) / 3
    return result


def triangular_variance(least: ArrayLike, likely: ArrayLike, greatest: ArrayLike) -> FloatArray:
    """Return ((a - m)^2 + (m - b)^2 + (b - a)^2) / 36."""
    a, m, b = _points(least, likely, greatest)
    result: FloatArray = ((a - m) ** 2 + (m - b) ** 2 + (b - a) ** 2) / 36
    return result


def triangular_quantile(chance: float, least: float, likely: float, greatest: float) -> float:
    """Return the duration that is not passed with a chance, of the triangular distribution."""
    a, m, b = (float(point) for point in _points(least, likely, greatest))
    if chance * (b - a) <= m - a:
        return a + math.sqrt(chance * (b - a) * (m - a))
    return b - math.sqrt((1 - chance) * (b - a) * (b - m))


def chance_by(finish: float, mean: float, variance: float) -> float:
    """Return the normal chance that a path of activities ends by then [-]; variance above 0.

    Mean and variance are sums over one path of activities that do not depend on each other. Other
    paths may end later (merge bias), which is not in it: the chance is too high where they nearly
    do.
    """
    return 0.5 * math.erfc((mean - finish) / math.sqrt(2 * variance))
