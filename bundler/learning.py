"""Learning from unit to unit: hours of the n-th unit over the first, by two named theories."""

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


def unit_hours_ratio(learning_ratio: float, order: FloatArray) -> FloatArray:
    """Return hours of the n-th unit over the first, in unit theory [-].

    n ** log2(ratio): each doubling of n multiplies the hours of *that unit* by the ratio
    (Crawford's form; Wright 1936 for the curve).
    """
    result: FloatArray = np.asarray(order, dtype=float) ** np.log2(learning_ratio)
    return result


def kept_hours_ratio(
    learning_ratio: float, order: FloatArray, pause_years: FloatArray, half_years: float
) -> FloatArray:
    """Return hours of the n-th unit over the first after a pause, in unit theory [-].

    1 - (1 - n ** log2(ratio)) 2 ** -(pause / half): what was learned fades, half of it in each
    `half_years` since the work before (common practice of the trade: a pause of two years or a
    new crew loses half).
    """
    learned = 1 - unit_hours_ratio(learning_ratio, order)
    result: FloatArray = 1 - learned * 2.0 ** (-np.asarray(pause_years) / half_years)
    return result


def cumulative_average_ratio(learning_ratio: float, order: FloatArray) -> FloatArray:
    """Return the average hours of the first n units over the first, in cumulative-average theory.

    n ** log2(ratio): each doubling of n multiplies the *average so far* by the ratio (Wright
    1936). The same formula as unit theory with another meaning; a caller has to choose.
    """
    return unit_hours_ratio(learning_ratio, order)
