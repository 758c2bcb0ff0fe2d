"""What a grade that somebody read says about the grade that is there."""

from collections.abc import Sequence

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike
from scipy import optimize, stats

from bundler.life.curves import FloatArray
from bundler.life.grade_chain import Chain, Rows

#: fewest readings of an inspector whose scale is looked at (house rule)
LEAST_READINGS = 6
#: chance of so falling a scale by luck alone, below which it is doubted (house rule)
DOUBT_CHANCE = 0.05


def checked_reading(reading_rows: Rows | None, grades_count: int) -> FloatArray:
    """Return the reading errors as a matrix, row true, column read; none read without errors."""
    if reading_rows is None:
        return np.eye(grades_count)
    matrix = np.array(reading_rows, dtype=float)
    if matrix.shape != (grades_count, grades_count):
        raise ValueError(
            f"Reading errors of shape {matrix.shape} do not fit {grades_count} grades; give one "
            "row for each true grade and one column for each grade read."
        )
    if not (np.abs(matrix.sum(axis=1) - 1) < 1e-9).all() or not (matrix >= 0).all():
        raise ValueError("Each row of the reading errors holds chances that sum to 1.")
    return matrix


def reading_rows(slip_ratio: float, grades_count: int) -> Rows:
    """Return reading errors that fall by one ratio for each grade off: E = ratio^|off| / sum.

    0 reads without errors.
    """
    if not 0 <= slip_ratio < 1:
        raise ValueError(f"slip_ratio {slip_ratio:g} is not allowed; it is 0 or more and below 1.")
    off = np.abs(np.subtract.outer(np.arange(grades_count), np.arange(grades_count)))
    errors = np.where(off == 0, 1.0, float(slip_ratio) ** off)
    errors /= errors.sum(axis=1, keepdims=True)
    return tuple(tuple(float(chance) for chance in row) for row in errors)


def _best_shares(likelihoods: FloatArray, counts: FloatArray) -> tuple[FloatArray, float]:
    """Return shares of the true grades and log-likelihood at its best, by repeated weighing."""
    shares, last = np.full(likelihoods.shape[1], 1 / likelihoods.shape[1]), -np.inf
    for _ in range(5000):
        total = likelihoods @ shares
        value = float(counts @ np.log(total))
        if value - last < 1e-11 * abs(value):
            break
        shares, last = shares * ((counts / total) @ likelihoods) / counts.sum(), value
    return shares, value


def slip_from_doubles(first_grade: ArrayLike, second_grade: ArrayLike, grades_count: int) -> float:
    """Return the slip ratio of `reading_rows` from items that two inspectors read on one date [-].

    Maximum likelihood of sum over true grades s of share_s E[s, first] E[s, second]; the shares
    of the true grades are found with it.
    """
    first, second = (np.asarray(g, dtype=np.int64) - 1 for g in (first_grade, second_grade))
    if first.shape != second.shape or first.ndim != 1 or not len(first):
        raise ValueError("Double readings come in pairs; give two grades for each item.")
    if min(first.min(), second.min()) < 0 or max(first.max(), second.max()) >= grades_count:
        raise ValueError(f"A double reading lies outside the grades 1 to {grades_count}.")
    counts = np.ones(len(first))

    def wrong(slip_ratio: float) -> float:
        rows = np.array(reading_rows(float(slip_ratio), grades_count))
        return -_best_shares(rows[:, first].T * rows[:, second].T, counts)[1]

    if (first == second).all():
        return 0.0
    found = optimize.minimize_scalar(
        wrong, bounds=(1e-6, 0.95), method="bounded", options={"xatol": 1e-7}
    )
    return float(found.x)


def shares_now(
    chain: Chain,
    grade_read: int,
    years_since: float,
    reading: Rows | None = None,
    before_share: Sequence[float] | None = None,
) -> tuple[float, ...]:
    """Return the chances of the grades now, from a grade read some years ago [-].

    Bayes at the reading, then the chain: share_s x E[s, read], times P(years).

    Parameters
    ----------
    reading : chances of reading each grade from each true one; none for no errors.
    before_share : chances of the grades before the reading, such as the stock's; none for equal.
    """
    count = chain.grades_count
    if not 1 <= grade_read <= count or not 0 <= years_since < np.inf:
        raise ValueError(
            f"Grade {grade_read} read {years_since:g} years ago is not possible; grades are 1 to "
            f"{count}, years are 0 or more."
        )
    before = np.ones(count) if before_share is None else np.array(before_share, dtype=float)
    then = before * checked_reading(reading, count)[:, grade_read - 1]
    if not then.sum() > 0:
        raise ValueError(
            f"Grade {grade_read} cannot be read from any grade that was thought possible; look at "
            "the reading errors and the shares before."
        )
    now = (then / then.sum()) @ chain.after(np.array([years_since]))[0]
    return tuple(float(share) for share in now / now.sum())


def scale_direction(
    inspector: Sequence[str], grade: ArrayLike, age_years: ArrayLike
) -> pd.DataFrame:
    """Return, for each inspector, whether grades (1 best) rise with age as they should.

    Spearman's rank correlation and the chance of one so low by luck (one-sided t). One row an
    inspector; columns inspector, readings_count, rank_correlation_ratio, luck_chance,
    is_doubted. Inspectors with too few readings, or only one grade or age, are never doubted.
    """
    columns = {"inspector": list(inspector), "grade": grade, "age_years": age_years}
    rows = []
    for name, read in pd.DataFrame(columns).groupby("inspector", sort=True):
        told = min(read["grade"].nunique(), read["age_years"].nunique()) > 1
        ratio, chance = np.nan, np.nan
        if told and len(read) >= LEAST_READINGS:
            found = stats.spearmanr(read["age_years"], read["grade"], alternative="less")
            ratio, chance = float(found.statistic), float(found.pvalue)
        rows.append((name, len(read), ratio, chance, chance < DOUBT_CHANCE))
    names = ["inspector", "readings_count", "rank_correlation_ratio", "luck_chance", "is_doubted"]
    return pd.DataFrame(rows, columns=names)
