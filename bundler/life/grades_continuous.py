"""The chain of condition grades in continuous time, one grade down at a time, fitted to pairs."""

from dataclasses import dataclass

import numpy as np
from scipy import optimize, special

from bundler.life.curves import FloatArray, IntArray
from bundler.life.grade_chain import ContinuousChain, Rows
from bundler.life.grade_reading import checked_reading
from bundler.life.grades import ChainFit, GradePairs, checked_departures, told

#: ln of how far rates are tried from one departure in the mean spacing
REACH = 7.0
#: what a likelihood of nought counts for
WORST = 1e12


@dataclass(frozen=True, eq=False)
class _Record:
    """Different pairs with their counts, the different spacings and which of them each pair has."""

    then: IntArray
    later: IntArray
    counts: FloatArray
    years: FloatArray
    spacing: IntArray
    reading: FloatArray
    has_errors: bool


def _record(pairs: GradePairs, reading_rows: Rows | None) -> _Record:
    """Return the pairs gathered."""
    reading = checked_reading(reading_rows, pairs.grades_count)
    columns = np.stack([pairs.grade_then - 1, pairs.grade_later - 1, pairs.years])
    different, counts = np.unique(columns, axis=1, return_counts=True)
    years, spacing = np.unique(different[2], return_inverse=True)
    then, later = different[:2].astype(np.int64)
    has_errors = not np.array_equal(reading, np.eye(len(reading)))
    return _Record(then, later, counts.astype(float), years, spacing, reading, has_errors)


def _after_and_slopes(rates: FloatArray, years: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return P(years), (n, G, G), and its slopes in each rate, (n, G - 1, G, G).

    Uniformisation as in `ContinuousChain.after`, each power with its slopes: the next power's
    slope is slope @ step + power @ (the step's own slope).
    """
    fastest, count = float(rates.max()), len(rates) + 1
    moves = fastest * years
    most = float(moves.max())
    counts = np.arange(int(most + 12 * np.sqrt(most) + 40))
    share = np.append(rates, 0.0) / fastest
    step = np.diag(1 - share) + np.diag(share[:-1], 1)
    own = np.zeros((count - 1, count, count))
    place = np.arange(count - 1)
    own[place, place, place], own[place, place, place + 1] = -1 / fastest, 1 / fastest
    powers = np.zeros((len(counts), count, count, count))  # the power, then its slopes
    powers[0, 0] = np.eye(count)
    for n in counts[1:]:
        powers[n] = powers[n - 1] @ step
        powers[n, 1:] += powers[n - 1, 0] @ own
    logs = special.xlogy(counts, moves[:, np.newaxis]) - special.gammaln(counts + 1)
    sums: FloatArray = np.tensordot(np.exp(logs - moves[:, np.newaxis]), powers, axes=1)
    return sums[:, 0], sums[:, 1:]


def _against(record: _Record, parameters: FloatArray) -> tuple[float, FloatArray]:
    """Return minus the log-likelihood and its slopes: ln rates, then ln weights at first.

    sum over s, t of first_s E[s, then] P[s, t] E[t, later]; without errors of reading the chance
    P[then, later] alone, for the grades at first are then known.
    """
    moves = len(record.reading) - 1
    rates = np.exp(parameters[:moves])
    after, slopes = _after_and_slopes(rates, record.years)
    first = special.softmax(np.append(parameters[moves:], 0.0))
    start = record.reading[:, record.then].T  # (pair, s)
    end = record.reading[:, record.later].T
    by_first = start * np.einsum("nst,nt->ns", after[record.spacing], end)
    start = start * first if record.has_errors else start
    chances = by_first @ first if record.has_errors else by_first.sum(axis=1)
    if not (chances > 0).all():
        return WORST, np.zeros(len(parameters))
    weight = record.counts / chances
    moved = np.zeros((len(record.years), *after.shape[1:]))
    np.add.at(moved, record.spacing, np.einsum("n,ns,nt->nst", weight, start, end))
    slope = np.einsum("kst,krst->r", moved, slopes) * rates
    if record.has_errors:
        pull = first * (weight @ by_first - record.counts.sum())
        slope = np.append(slope, pull[:-1])
    return -float(record.counts @ np.log(chances)), -slope


def _best(
    record: _Record, start: FloatArray, held: dict[int, float], ends: list[tuple[float, float]]
) -> tuple[FloatArray, float]:
    """Return all parameters of largest likelihood, and minus it, with some of them held."""
    free = [place for place in range(len(start)) if place not in held]
    whole = start.copy()
    whole[list(held)] = list(held.values())

    def against(values: FloatArray) -> tuple[float, FloatArray]:
        whole[free] = values
        value, slope = _against(record, whole)
        return value, slope[free]

    if not free:
        return whole, _against(record, whole)[0]
    found = optimize.minimize(
        against,
        start[free],
        jac=True,
        method="L-BFGS-B",
        bounds=[ends[place] for place in free],
        options={"ftol": 1e-14, "gtol": 1e-6, "maxiter": 1000},
    )
    whole[free] = found.x
    return whole, float(found.fun)


def _bound(record: _Record, best: FloatArray, place: int, side: int, drop: float) -> float:
    """Return the rate at which the profile has fallen by `drop`; 0 or inf where it never does."""
    ends, rest = _ends(record, best), best
    least = _against(record, best)[0]

    def over(log_rate: float) -> float:
        nonlocal rest
        rest, value = _best(record, rest, {place: float(log_rate)}, ends)
        return value - least - drop

    inner, step = float(best[place]), 0.25
    while over(inner + side * step) < 0:
        step *= 2
        if step > REACH:
            return 0.0 if side < 0 else np.inf
    return float(np.exp(optimize.brentq(over, inner, inner + side * step, xtol=1e-6)))


def _ends(record: _Record, parameters: FloatArray) -> list[tuple[float, float]]:
    """Return between which values each parameter is tried."""
    middle = -float(np.log(record.counts @ record.years[record.spacing] / record.counts.sum()))
    moves = len(record.reading) - 1
    rates = [(middle - REACH, middle + REACH)] * moves
    return rates + [(-20.0, 20.0)] * (len(parameters) - moves)


def _first_reading(record: _Record) -> float:
    """Return the log-likelihood of the grades then, by their own shares."""
    counts = np.bincount(record.then, record.counts)
    counts = counts[counts > 0]
    return float(counts @ np.log(counts / counts.sum()))


def fit_continuous(
    pairs: GradePairs, reading_rows: Rows | None = None, confidence_chance: float = 0.9
) -> ChainFit:
    """Return the one-step-down chain in continuous time of largest likelihood, rates with bounds.

    Any spacing of inspections; P = expm(Q t). Bounds by profile likelihood, half a chi-square
    percentile below the best. Kalbfleisch & Lawless (1985), from memory. Raises ValueError where
    a grade got better though read without errors, or a grade was hardly ever left.

    Parameters
    ----------
    reading_rows : chances of reading each grade (column) from each true one (row).
    """
    record = _record(pairs, reading_rows)
    departures = checked_departures(pairs, record.has_errors, True)
    moves = pairs.grades_count - 1
    start = np.zeros(moves * 2 if record.has_errors else moves)
    ends = _ends(record, start)
    start[:moves] = np.mean(ends[0]) - 1.0
    best, least = _best(record, start, {}, ends)
    drop = float(special.chdtri(1, 1 - confidence_chance)) / 2
    low, high = (
        np.array([_bound(record, best, place, side, drop) for place in range(moves)])
        for side in (-1, 1)
    )
    value = -least + (0.0 if record.has_errors else _first_reading(record))
    chain = ContinuousChain(tuple(float(rate) for rate in np.exp(best[:moves])))
    return told(chain, (low, high), value, pairs, departures)
