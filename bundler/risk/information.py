"""What it is worth to know more before a decision: perfect and sample information.

Costs are of decisions (rows) in states of the world (columns); the least counts. Source: Raiffa
and Schlaifer (1961), Applied Statistical Decision Theory; Howard (1966), Information Value Theory.
"""

import numpy as np

from bundler.life.curves import FloatArray


def _checked(cost: FloatArray, chance: FloatArray) -> tuple[FloatArray, FloatArray]:
    cost, chance = np.asarray(cost, dtype=float), np.asarray(chance, dtype=float)
    if cost.ndim != 2 or chance.shape != (cost.shape[1],):
        raise ValueError(
            f"Costs of shape {cost.shape} do not go with {chance.shape} chances; give one row a "
            "decision, one column a state, and one chance a state."
        )
    if chance.min() < 0 or abs(float(chance.sum()) - 1) > 1e-9:
        raise ValueError(f"Chances have to be 0 or more and sum to 1; they sum to {chance.sum()}.")
    return cost, chance


def least_expected(cost: FloatArray, chance: FloatArray) -> float:
    """Return the least expected cost of any one decision: min over d of sum p(s) cost(d, s)."""
    cost, chance = _checked(cost, chance)
    return float((cost @ chance).min())


def perfect_information(cost: FloatArray, chance: FloatArray) -> float:
    """Return the expected value of perfect information, in the money of `cost`.

    min over d of E cost(d, s) - E min over d of cost(d, s); 0 or more.

    Parameters
    ----------
    cost : [D, S] cost of each decision in each state.
    chance : [S] chance of each state, sums to 1.
    """
    cost, chance = _checked(cost, chance)
    return max(least_expected(cost, chance) - float(cost.min(axis=0) @ chance), 0.0)


def sample_information(cost: FloatArray, chance: FloatArray, likelihood: FloatArray) -> float:
    """Return the expected value of sample information before its price, in the money of `cost`.

    min over d of E cost(d, s) - sum over signals y of min over d of sum p(s) l(y, s) cost(d, s);
    between 0 and the value of perfect information.

    Parameters
    ----------
    cost, chance : as for perfect information.
    likelihood : [Y, S] chance of each signal in each state; columns sum to 1.
    """
    cost, chance = _checked(cost, chance)
    likelihood = np.asarray(likelihood, dtype=float)
    if likelihood.shape[1] != len(chance) or np.abs(likelihood.sum(axis=0) - 1).max() > 1e-9:
        raise ValueError("In every state the chances of the signals have to sum to 1.")
    after = cost @ (likelihood * chance).T
    return max(least_expected(cost, chance) - float(after.min(axis=0).sum()), 0.0)


def normal_states(count: int = 81, reach: float = 4.0) -> tuple[FloatArray, FloatArray]:
    """Return standard normal states and their chances: even steps to `reach` deviations."""
    z = np.linspace(-reach, reach, count)
    density = np.exp(-(z**2) / 2)
    return z, density / density.sum()


def reading_likelihood(
    states: FloatArray, error: float, detection_chance: float, count: int = 81
) -> FloatArray:
    """Return the chance of each reading in each state [count + 1, S].

    A reading shows the state with a normal error; with 1 - `detection_chance` it shows nothing,
    whatever the state (last row). Readings are even steps over states and error.

    Parameters
    ----------
    states : the states on a line, in any unit.
    error : standard deviation of a reading, in the same unit, above 0.
    """
    if not error > 0 or not 0 <= detection_chance <= 1:
        raise ValueError(
            f"A reading error of {error:g} with a detection chance of {detection_chance:g} is not "
            "allowed: the error is above 0, the chance between 0 and 1."
        )
    low, high = float(states.min()) - 4 * error, float(states.max()) + 4 * error
    seen = np.linspace(low, high, max(count, int(np.ceil((high - low) / error)) * 4))
    density = np.exp(-(((seen[:, None] - states[None, :]) / error) ** 2) / 2)
    shown = detection_chance * density / density.sum(axis=0)
    return np.vstack([shown, np.full(len(states), 1 - detection_chance)])
