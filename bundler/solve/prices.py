"""Prices first: what every row is worth, with a bound that no plan can beat.

At prices of zero or more on all rows every component picks its cheapest course by itself; access,
days and overtime are taken where the rows pay for them. The sum, less what the rows hold, is a
proven bound (weak duality), whatever the prices. They ascend by the subgradient, scaled row by row
by its own running magnitude, with momentum and a shrinking step (the update of Kingma and Ba 2015,
from memory); rows count in money, as step by what their use is typically worth.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import sparse

from bundler.choice import FloatArray
from bundler.solve.arrays import Arrays
from bundler.solve.compiled.cheapest import pick, priced

#: passes that are made unless the gap or the time ends them first
PASSES = 400
#: first and last step, in shares of what a row is typically worth; by trial on stations of 300 to
#: 5,000 components: within 0.1 % of the relaxed optimum after 400 passes
FIRST_STEP, LAST_STEP = 0.3, 0.001
#: decay of the running mean and of the running square of the subgradient
MEAN_DECAY, SQUARE_DECAY = 0.9, 0.999
#: passes between two words of progress
TOLD_EVERY = 50

Say = Callable[[int, float], None]


@dataclass(frozen=True)
class Priced:
    """Prices [R] of all rows, their bound, and the bound after every pass with its seconds.

    weights [S] of the scenarios of lives that make the tail, where it counts.
    """

    prices: FloatArray
    weights: FloatArray
    bound_pv_cost: float
    bounds: tuple[tuple[float, float], ...]


def bound_at(arrays: Arrays, prices: FloatArray) -> float:
    """Return the proven bound of any prices (those below 0 count as 0)."""
    weights = projected(arrays.most_weight, arrays.most_weight, arrays.weight)
    return _Ascent(arrays).looked(np.maximum(prices, 0.0), weights)[0]


def projected(weights: FloatArray, most: FloatArray, total: float) -> FloatArray:
    """Return the weights nearest to some that lie between 0 and `most` and sum to `total` [S]."""
    low, high = float((weights - most).min(initial=0.0)), float(weights.max(initial=0.0))
    for _ in range(60):
        middle = 0.5 * (low + high)
        if np.clip(weights - middle, 0.0, most).sum() > total:
            low = middle
        else:
            high = middle
    result: FloatArray = np.clip(weights - high, 0.0, most)
    gap = total - result.sum()
    room = most - result
    return result + room * (gap / room.sum()) if gap > 0 and room.sum() > 0 else result


def reduced_costs(arrays: Arrays, found_at: Priced) -> FloatArray:
    """Return what each course costs more at the prices than the cheapest of its component [Q]."""
    cost = arrays.cost + arrays.risk @ found_at.weights
    found = priced(cost, arrays.works, np.append(arrays.use @ found_at.prices, 0.0))
    least = np.minimum.reduceat(found, arrays.start[:-1])
    result: FloatArray = found - np.repeat(least, np.diff(arrays.start))
    return result


def first_prices(arrays: Arrays) -> FloatArray:
    """Return where prices start: set-up cost and price of a day shared over who may need them."""
    pairs = _pairs(arrays)
    count = np.bincount(pairs.row, minlength=len(arrays.shared_cost))
    prices = np.zeros(len(arrays.amount))
    prices[pairs.col] = arrays.shared_cost[pairs.row] / np.maximum(count[pairs.row], 1)
    return prices


def _pairs(arrays: Arrays) -> sparse.coo_array:
    """Return which shared column gives to which row of one component (access, outage days)."""
    is_pair = np.array([rule in ("access", "outage_days") for rule, _ in arrays.keys], dtype=bool)
    give = arrays.give.tocoo()
    own = is_pair[give.col]
    return sparse.coo_array((give.data[own], (give.row[own], give.col[own])), shape=give.shape)


def typical_worth(arrays: Arrays, first: FloatArray) -> FloatArray:
    """Return what a unit of each row is typically worth [money a unit].

    The spread of the costs of those who use it over their use; a row of one component and a shared
    column at most what it starts with.
    """
    spread = np.maximum.reduceat(arrays.cost, arrays.start[:-1])
    spread = spread - np.minimum.reduceat(arrays.cost, arrays.start[:-1])
    by_course = np.repeat(spread, np.diff(arrays.start))
    owner = np.zeros(len(arrays.placements) + 1)
    for column in arrays.works.T:
        owner[column] = by_course
    use = arrays.use.tocoo()
    rows = len(arrays.amount)
    spreads = np.bincount(use.col, owner[use.row], minlength=rows)
    uses = np.bincount(use.col, np.abs(use.data), minlength=rows)
    worth = spreads / np.maximum(uses, 1e-12)
    result: FloatArray = np.where(first > 0, np.minimum(worth, first), worth)
    return result


class _Ascent:
    """The arrays turned both ways, ready for passes."""

    def __init__(self, arrays: Arrays) -> None:
        self.arrays = arrays
        self.use_of_row = sparse.csr_array(arrays.use.T)
        self.give_of_row = sparse.csr_array(arrays.give.T)
        self.price = np.zeros(len(arrays.placements) + 1)
        self.placed = np.zeros(len(arrays.placements) + 1)
        self.chosen = np.zeros(arrays.components_count, dtype=np.int64)

    def looked(self, prices: FloatArray, weights: FloatArray) -> tuple[float, FloatArray]:
        """Return the bound at prices and weights, and by how much each row is overfull there."""
        arrays = self.arrays
        self.price[:-1] = arrays.use @ prices
        cost = arrays.cost + arrays.risk @ weights if len(weights) else arrays.cost
        total = pick(arrays.start, cost, arrays.works, self.price, self.chosen, self.placed)
        left = arrays.shared_cost - arrays.give @ prices
        taken = np.where(left < 0, arrays.most, 0.0)
        bound = arrays.constant + total + float(left @ taken) - float(prices @ arrays.amount)
        over = self.use_of_row @ self.placed[:-1] - self.give_of_row @ taken - arrays.amount
        return bound, over


class _Step:
    """Where the next step leads: running mean and magnitude of the subgradient [n]."""

    def __init__(self, worth: FloatArray) -> None:
        self.worth = worth
        self.mean, self.square = np.zeros(len(worth)), np.zeros(len(worth))

    def next(self, over: FloatArray, number: int, size: float) -> FloatArray:
        """Return the step of pass `number` (1, 2, ...) along what is overfull [n]."""
        over = over * self.worth
        self.mean = MEAN_DECAY * self.mean + (1 - MEAN_DECAY) * over
        self.square = SQUARE_DECAY * self.square + (1 - SQUARE_DECAY) * over * over
        mean = self.mean / (1 - MEAN_DECAY**number)
        magnitude = np.sqrt(self.square / (1 - SQUARE_DECAY**number)) + 1e-12
        step: FloatArray = size * self.worth * mean / magnitude
        return step


def ascend(
    arrays: Arrays,
    seconds: float,
    start: FloatArray | None = None,
    passes: int = PASSES,
    say: Say | None = None,
    enough_pv_cost: float = np.inf,
) -> Priced:
    """Return prices and their bound after so many passes, or when time or `enough` ends them.

    Parameters
    ----------
    start : prices [R] to start from; those of a like problem save passes.
    enough_pv_cost : a bound that is enough.
    """
    ascent, began = _Ascent(arrays), time.perf_counter()
    first = first_prices(arrays)
    rows, scenarios = _Step(typical_worth(arrays, first)), _Step(arrays.most_weight)
    prices = first if start is None else np.maximum(start, 0.0)
    weights = projected(arrays.most_weight, arrays.most_weight, arrays.weight)
    best, kept, told = -np.inf, (prices, weights), []
    for number in range(1, passes + 1):
        bound, over = ascent.looked(prices, weights)
        if bound > best:
            best, kept = bound, (prices, weights)
        told.append((time.perf_counter() - began, best))
        if say is not None and number % TOLD_EVERY == 0:
            say(number, best)
        if best >= enough_pv_cost or told[-1][0] > seconds:
            break
        size = FIRST_STEP * (LAST_STEP / FIRST_STEP) ** (number / passes)
        prices = np.maximum(prices + rows.next(over, number, size), 0.0)
        if len(weights):
            risks = arrays.risk[ascent.chosen].sum(axis=0)
            weights = weights + scenarios.next(risks - risks.mean(), number, size)
            weights = projected(weights, arrays.most_weight, arrays.weight)
    return Priced(*kept, best, tuple(told))
