"""Pairs of inspections, and what a chain of condition grades fitted to them is told with."""

from dataclasses import dataclass

import numpy as np

from bundler.life.curves import FloatArray, IntArray
from bundler.life.grade_chain import ContinuousChain, YearlyChain

#: fewest departures from a grade after which its rate is fitted (house rule)
LEAST_DEPARTURES = 3


@dataclass(frozen=True, eq=False)
class GradePairs:
    """Pairs of inspections of one item, without work between them; grades from 1, the best."""

    grade_then: IntArray
    grade_later: IntArray
    years: FloatArray
    grades_count: int

    def __post_init__(self) -> None:
        then, later, years = map(np.asarray, (self.grade_then, self.grade_later, self.years))
        if not then.shape == later.shape == years.shape == (len(years),) or not len(years):
            raise ValueError("Pairs of inspections need two grades and the years between for each.")
        for grades in (then, later):
            if not ((grades >= 1) & (grades <= self.grades_count) & (grades % 1 == 0)).all():
                raise ValueError(
                    f"Grades of inspections are whole and lie between 1 and {self.grades_count}."
                )
        if not ((years > 0) & np.isfinite(years)).all():
            raise ValueError("The years between two inspections have to be above 0.")
        for name, kept in (("grade_then", then - 1), ("grade_later", later - 1)):
            object.__setattr__(self, name, kept.astype(np.int64) + 1)
        object.__setattr__(self, "years", years.astype(float))

    @property
    def counts(self) -> IntArray:
        """Return the pairs by grade then (row) and later (column)."""
        table = np.zeros((self.grades_count, self.grades_count), dtype=np.int64)
        np.add.at(table, (self.grade_then - 1, self.grade_later - 1), 1)
        return table


@dataclass(frozen=True)
class ChainFit:
    """A fitted chain; `low` and `high` bound what leaves each grade but the last.

    For the yearly chain the chance of leaving in a year (exact bounds of Clopper & Pearson 1934
    where all pairs are a year apart and read without errors, else nan); for the continuous chain
    its rate (profile likelihood) [1/year]. The log-likelihood is that of both readings, with
    the shares of the grades then, so that chains can be compared.
    """

    chain: YearlyChain | ContinuousChain
    low: tuple[float, ...]
    high: tuple[float, ...]
    log_likelihood: float
    pairs_count: tuple[int, ...]
    departures_count: tuple[int, ...]


def departures_of(pairs: GradePairs, one_step: bool) -> IntArray:
    """Return how often each grade but the last was left; on its way, where steps are single."""
    counts = np.triu(pairs.counts, 1)
    if not one_step:
        return np.asarray(counts.sum(axis=1)[:-1])
    passed = [counts[: grade + 1, grade + 1 :].sum() for grade in range(pairs.grades_count - 1)]
    return np.array(passed, dtype=np.int64)


def checked_departures(pairs: GradePairs, has_errors: bool, one_step: bool) -> IntArray:
    """Return the departures, or refuse upward pairs and grades that were hardly ever left."""
    up = pairs.grade_later < pairs.grade_then
    if up.any() and not has_errors:
        at = int(np.argmax(up))
        raise ValueError(
            f"Pair {at} goes from grade {pairs.grade_then[at]} to {pairs.grade_later[at]} "
            f"({int(up.sum())} such pairs): a grade does not get better by itself. Take out pairs "
            "with work between them, or give the errors of reading."
        )
    departures = departures_of(pairs, one_step)
    if (departures < LEAST_DEPARTURES).any():
        grade = int(np.argmax(departures < LEAST_DEPARTURES)) + 1
        raise ValueError(
            f"Grade {grade} was left {departures[grade - 1]} times in the pairs; at least "
            f"{LEAST_DEPARTURES} are needed. Merge it with the grade next to it, or take the "
            "chain of a neighbouring family."
        )
    return departures


def told(
    chain: YearlyChain | ContinuousChain,
    bounds: tuple[FloatArray, FloatArray],
    log_likelihood: float,
    pairs: GradePairs,
    departures: IntArray,
) -> ChainFit:
    """Return the fit as a record of plain numbers."""
    low, high = (tuple(float(value) for value in side) for side in bounds)
    starts = tuple(int(count) for count in pairs.counts.sum(axis=1))
    left = tuple(int(count) for count in departures)
    return ChainFit(chain, low, high, log_likelihood, starts, left)
