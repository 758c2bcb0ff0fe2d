"""Units, outages, windows and components of an invented station, as arrays drawn from a seed."""

from dataclasses import dataclass

import numpy as np

from bundler.choice import FloatArray, IntArray

OUTAGES, HORIZON_YEARS, REAL_RATE, YEAR_DAYS = 10, 32.0, 0.06, 365.25
#: share of an outage that each window holds; a narrower one lies inside the wider ones
WINDOW_SHARES = np.array([1.0, 0.65, 0.42, 0.27])
#: works a component can have in an outage: their action, age left, cost and hours as ratios
ACTIONS = np.array(["replace", "overhaul", "replace_joined"], dtype=object)
AGE_LEFT, COST_RATIO, HOURS_RATIO = (
    np.array([0.0, 0.4, 0.0]), np.array([1.0, 0.45, 0.94]), np.array([1.0, 0.5, 0.92]),
)  # fmt: skip
#: what a day of outage costs above all [1,000 $], and an hour of overtime above a normal one
DAY_COST, OVERTIME_COST = 900.0, 0.06
TRADES_EACH, HOURS_A_DAY = 3, 9.0


@dataclass(frozen=True)
class Plant:
    """Outages [O] of all units, unit by unit in time: start and end [days], windows of each."""

    units_count: int
    trades_count: int
    areas_count: int
    start_days: FloatArray
    end_days: FloatArray
    windows_count: IntArray

    @property
    def outages_count(self) -> int:
        return len(self.start_days)

    def names(self) -> np.ndarray:
        """Return the name of each outage."""
        numbers = np.arange(self.outages_count)
        names = [f"u{n // OUTAGES + 1}_o{n % OUTAGES + 1:02d}" for n in numbers]
        return np.array(names, dtype=object)

    def worth(self) -> FloatArray:
        """Return the present worth of 1 paid at the start of each outage [-]."""
        result: FloatArray = np.exp(-REAL_RATE * self.start_days / YEAR_DAYS)
        return result


@dataclass(frozen=True)
class Fleet:
    """Components [N]: where they stand, how they age, what failing and working costs [1,000 $].

    window [N, 3] is the window of each of its works; trade and hours [N, 3] of a full work;
    third [N, 10] says in which outages it has a third placement; long_days [N, 3] by how much
    each work is too long for its window; must [N] has to be worked on.
    """

    unit: IntArray
    area: IntArray
    shape: FloatArray
    scale_years: FloatArray
    age_years: FloatArray
    loss_cost: FloatArray
    work_cost: FloatArray
    trade: IntArray
    hours: FloatArray
    window: IntArray
    third: np.ndarray
    long_days: FloatArray
    must: np.ndarray

    @property
    def count(self) -> int:
        return len(self.unit)

    def names(self) -> np.ndarray:
        """Return the name of each component; their order is that of their numbers."""
        return np.array([f"c{number:05d}" for number in range(self.count)], dtype=object)


def plant(components_count: int, rng: np.random.Generator) -> Plant:
    """Return the plant: 4 units up to 1,000 components, 6 up to 5,000, 8 above; 6 to 12 trades.

    A unit has an outage about every three years, units in turn; one of its outages is long.
    """
    units = 4 if components_count <= 1000 else 6 if components_count <= 5000 else 8
    trades = {4: 6 if components_count < 1000 else 8, 6: 10, 8: 12}[units]
    apart = HORIZON_YEARS * YEAR_DAYS / (OUTAGES + 1)
    number, unit = np.arange(OUTAGES), np.arange(units)[:, None]
    start = 200.0 + apart * (number + unit / units) + rng.uniform(-25, 25, (units, OUTAGES))
    days = rng.uniform(28, 62, (units, OUTAGES))
    days[np.arange(units), rng.integers(3, 7, units)] = rng.uniform(280, 480, units)
    windows = rng.integers(3, 5, units * OUTAGES)
    start, days = np.round(start).ravel(), np.round(days).ravel()
    return Plant(units, trades, 5, start, start + days, windows)


def _hours(n: int, trades: int, cost: FloatArray, rng: np.random.Generator):
    """Return one to three different trades of each component and their hours, 0 for none."""
    trade = np.argsort(rng.random((n, trades)), axis=1)[:, :TRADES_EACH]
    split = rng.uniform(0.4, 1.0, (n, TRADES_EACH))
    split[:, 1:] *= np.arange(1, TRADES_EACH) <= rng.integers(1, TRADES_EACH, n)[:, None]
    total = 350.0 * (cost / 100.0) ** 0.5 * rng.lognormal(0.0, 0.25, n)
    return trade, np.round(total[:, None] * split / split.sum(axis=1, keepdims=True), 1)


def fleet(n: int, site: Plant, rng: np.random.Generator) -> Fleet:
    """Return n components: Weibull lives, ages, losses and costs lognormal, hours with the cost."""
    cost = np.round(100.0 * rng.lognormal(0.0, 0.8, n), 1)
    trade, hours = _hours(n, site.trades_count, cost, rng)
    scale = rng.uniform(12, 45, n)
    second = rng.integers(1, 3, n)
    window = np.stack([np.zeros(n, dtype=np.int64), second, second + 1], axis=1)
    rank = np.argsort(np.argsort(rng.random((n, OUTAGES)), axis=1), axis=1)
    days = np.round(rng.uniform(0.5, 3.0, (n, 3)) * 2) / 2
    return Fleet(
        rng.integers(0, site.units_count, n), rng.integers(0, site.areas_count, n),
        rng.uniform(1.5, 4.0, n), scale, scale * rng.uniform(0.05, 0.95, n),
        np.round(350.0 * rng.lognormal(0.0, 1.0, n), 1), cost, trade, hours, window,
        rank < rng.integers(0, 5, n)[:, None],
        days * (rng.random((n, 3)) < np.array([0.0, 0.06, 0.06])), rng.random(n) < 0.02,
    )  # fmt: skip
