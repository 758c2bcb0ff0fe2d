"""The yearly chain of condition grades, fitted by expectation and maximisation."""

from dataclasses import dataclass

import numpy as np
from scipy import special

from bundler.life.curves import FloatArray
from bundler.life.grade_chain import Rows, YearlyChain
from bundler.life.grade_reading import checked_reading
from bundler.life.grades import ChainFit, GradePairs, checked_departures, departures_of, told

#: how far from whole years a pair may be apart (house rule)
WHOLE_YEARS = 0.1
#: weighings at most, and the gain in log-likelihood at which they end
ROUNDS, LEAST_GAIN = 20000, 1e-12


@dataclass(frozen=True, eq=False)
class _Weighing:
    """Shares of the true grades at first and the yearly matrix, with their log-likelihood."""

    first: FloatArray
    matrix: FloatArray
    log_likelihood: float


def _weighed(
    now: _Weighing, reading: FloatArray, groups: list[tuple[int, FloatArray]]
) -> _Weighing:
    """Return the next shares and matrix: expected moves given the readings, over their rows.

    Expectation and maximisation (Dempster, Laird & Rubin 1977, from memory): a step that never
    lowers the likelihood, whose value it returns for the shares and matrix it was given.
    """
    moves, firsts, value = np.zeros_like(now.matrix), np.zeros_like(now.first), 0.0
    for years, counts in groups:
        powers = [np.linalg.matrix_power(now.matrix, n) for n in range(years + 1)]
        read = reading.T @ (now.first[:, np.newaxis] * powers[-1]) @ reading
        seen = counts > 0
        if not (read[seen] > 0).all():
            raise ValueError(
                "A pair falls further, or is read further off, than the chain allows in its "
                "years; allow more steps a year, or larger errors of reading."
            )
        value += float(np.sum(counts[seen] * np.log(read[seen])))
        ratio = np.divide(counts, read, out=np.zeros_like(read), where=seen)
        ends = now.first[:, np.newaxis] * (reading @ ratio @ reading.T)
        firsts += (ends * powers[-1]).sum(axis=1)
        for n in range(years):
            moves += now.matrix * (powers[n].T @ ends @ powers[years - 1 - n].T)
    rows = moves.sum(axis=1, keepdims=True)
    matrix = np.divide(moves, rows, out=np.eye(len(moves)), where=rows > 0)
    return _Weighing(firsts / firsts.sum(), matrix, value)


def _whole_groups(pairs: GradePairs) -> list[tuple[int, FloatArray]]:
    """Return the counts of pairs for each whole number of years between them."""
    whole = np.rint(pairs.years).astype(np.int64)
    off = (np.abs(pairs.years - whole) > WHOLE_YEARS) | (whole < 1)
    if off.any():
        raise ValueError(
            f"The yearly chain takes whole years between inspections; {pairs.years[off][0]:g} was "
            "found. Use the continuous chain."
        )
    groups = []
    for years in np.unique(whole):
        counts = np.zeros((pairs.grades_count, pairs.grades_count))
        at = whole == years
        np.add.at(counts, (pairs.grade_then[at] - 1, pairs.grade_later[at] - 1), 1)
        groups.append((int(years), counts))
    return groups


def _leaving_bounds(pairs: GradePairs, chance: float) -> tuple[FloatArray, FloatArray]:
    """Return the exact binomial bounds of the chance of leaving each grade in a year."""
    total = pairs.counts.sum(axis=1)[:-1]
    left, tail = departures_of(pairs, False), (1 - chance) / 2
    low = special.betaincinv(np.maximum(left, 1), total - left + 1, tail)
    high = special.betaincinv(left + 1, np.maximum(total - left, 1), 1 - tail)
    return np.where(left == 0, 0.0, low), np.where(left == total, 1.0, high)


def _first_matrix(grades_count: int, steps_count: int | None) -> FloatArray:
    """Return equal chances of staying and of each fall that is allowed."""
    steps = steps_count or grades_count
    allowed = np.triu(np.ones((grades_count, grades_count)))
    allowed -= np.triu(allowed, steps + 1)
    result: FloatArray = allowed / allowed.sum(axis=1, keepdims=True)
    return result


def fit_yearly(
    pairs: GradePairs,
    reading_rows: Rows | None = None,
    steps_count: int | None = None,
    confidence_chance: float = 0.9,
) -> ChainFit:
    """Return the yearly chain of largest likelihood; whole years between inspections.

    Raises ValueError where years are not whole, a grade got better though read without errors, or
    a grade was hardly ever left.

    Parameters
    ----------
    reading_rows : chances of reading each grade (column) from each true one (row).
    steps_count : most grades it falls in a year; none for no limit.
    """
    reading = checked_reading(reading_rows, pairs.grades_count)
    has_errors = not np.array_equal(reading, np.eye(len(reading)))
    departures = checked_departures(pairs, has_errors, steps_count == 1)
    groups, count = _whole_groups(pairs), pairs.grades_count
    now = _Weighing(np.full(count, 1 / count), _first_matrix(count, steps_count), -np.inf)
    for _ in range(ROUNDS):
        new = _weighed(now, reading, groups)
        gain, now = new.log_likelihood - now.log_likelihood, new
        if gain < LEAST_GAIN * abs(new.log_likelihood):
            break
    bounds = np.full(count - 1, np.nan), np.full(count - 1, np.nan)
    if not has_errors and [years for years, _ in groups] == [1]:
        bounds = _leaving_bounds(pairs, confidence_chance)
    chain = YearlyChain(tuple(tuple(float(c) for c in row) for row in now.matrix))
    return told(chain, bounds, now.log_likelihood, pairs, departures)
