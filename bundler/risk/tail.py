"""Mean of the worst part of a set of outcomes."""

import numpy as np

from bundler.life.curves import FloatArray


def tail_weights(costs: FloatArray, chances: FloatArray, alpha_share: float) -> FloatArray:
    """Return the weight [S] of each outcome in the tail; they add up to 1.

    The dearest outcomes by chance over 1 - alpha, the one at the edge by the part of its chance
    that is left: of all weights that add up to 1 and exceed no chance over 1 - alpha, these give
    the largest weighted cost.

    Raises ValueError if alpha is not in [0, 1) or the chances do not add up to 1.
    """
    chance = np.asarray(chances, dtype=float)
    if not 0 <= alpha_share < 1:
        raise ValueError(f"alpha is {alpha_share:g}; it has to be 0 or more and below 1.")
    if not (abs(chance.sum() - 1) < 1e-9 and (chance >= 0).all()):
        raise ValueError(f"The chances add up to {chance.sum():g}; they have to add up to 1.")
    order = np.argsort(-np.asarray(costs, dtype=float), kind="stable")
    share = chance[order] / (1 - alpha_share)
    before = np.append(0.0, np.cumsum(share)[:-1])
    weights = np.zeros_like(chance)
    weights[order] = np.clip(1 - before, 0.0, share)
    result: FloatArray = weights / weights.sum()
    return result


def cvar(costs: FloatArray, chances: FloatArray, alpha_share: float) -> float:
    """Return the conditional value at risk: the mean cost of the worst 1 - alpha of all cases.

    Exact for discrete outcomes, also where the edge of the tail falls inside one; alpha 0 gives
    the mean (Rockafellar and Uryasev 2002, proposition 8, from memory).

    Parameters
    ----------
    costs : cost of each outcome [S], any unit.
    chances : chance of each outcome [S]; they add up to 1.
    alpha_share : share of cases that are not in the tail, 0 or more and below 1.
    """
    return float(tail_weights(costs, chances, alpha_share) @ np.asarray(costs, dtype=float))
