"""Condition grades as a chain that only gets worse, and the life until its last grade.

Grades count from 1, the best; the last one ends the life.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

import numpy as np
from scipy import special

from bundler.life.curves import FloatArray

Rows = tuple[tuple[float, ...], ...]
#: stretches that are followed before the hazard of the last one is kept for ever
STRETCHES = 1024
#: a slope below this is that of a grade that is never left
NEVER_PER_YEAR = 1e-200
#: expected moves in a stretch of a chain in continuous time
MOVES = 20.0


class Chain(Protocol):
    """A chain of grades, which can be asked for any time ahead."""

    @property
    def grades_count(self) -> int:
        """Return the number of grades, with the last."""

    @property
    def stretch_years(self) -> float:
        """Return the length of the stretches in which a life is followed [years]."""

    def after(self, years: FloatArray) -> FloatArray:
        """Return the chances of every grade from every grade after so many years, (n, G, G)."""

    def last_per_year(self, years: FloatArray) -> FloatArray:
        """Return the chance per year of reaching the last grade just then, (n, G)."""

    def __hash__(self) -> int:
        """Return the hash; a chain is a value."""


@dataclass(frozen=True)
class YearlyChain:
    """A chain with one matrix of chances a year; between whole years moves are spread evenly."""

    chance_rows: Rows

    def __post_init__(self) -> None:
        matrix = np.array(self.chance_rows, dtype=float)
        if matrix.ndim != 2 or matrix.shape[0] != matrix.shape[1] or len(matrix) < 2:
            raise ValueError("A chain of grades needs as many columns as rows, at least two.")
        if not (np.abs(matrix.sum(axis=1) - 1) < 1e-9).all() or not (matrix >= 0).all():
            raise ValueError("Each row of a chain of grades holds chances that sum to 1.")
        if np.tril(matrix, -1).any():
            raise ValueError(
                "A grade does not get better by itself; chances below the diagonal are 0."
            )

    @property
    def grades_count(self) -> int:
        """Return the number of grades, with the last."""
        return len(self.chance_rows)

    @property
    def stretch_years(self) -> float:
        """Return 1 year."""
        return 1.0

    @property
    def mean_years_to_last(self) -> FloatArray:
        """Return the mean count of years until the last grade, from each before it [years].

        m = 1 + T m, from the worst grade up; inf where a grade on the way is never left. The life
        of the chain is half a year shorter, for it fails within years.
        """
        matrix, count = np.array(self.chance_rows), self.grades_count - 1
        mean = np.zeros(count)
        for grade in range(count - 1, -1, -1):
            row, stay = matrix[grade, grade + 1 : count], matrix[grade, grade]
            ahead = row @ np.where(row > 0, mean[grade + 1 :], 0.0)
            mean[grade] = (1 + ahead) / (1 - stay) if stay < 1 else np.inf
        return mean

    def after(self, years: FloatArray) -> FloatArray:
        """Return the chances of every grade from every grade after so many years, (n, G, G)."""
        matrix = np.array(self.chance_rows)
        years = np.atleast_1d(np.asarray(years, dtype=float))
        whole = np.floor(years).astype(np.int64)
        power = {int(n): np.linalg.matrix_power(matrix, int(n)) for n in np.unique(whole)}
        start = np.stack([power[int(n)] for n in whole])
        part = (years - whole)[:, np.newaxis, np.newaxis]
        result: FloatArray = (1 - part) * start + part * (start @ matrix)
        return result

    def last_per_year(self, years: FloatArray) -> FloatArray:
        """Return the chance per year of reaching the last grade just then, (n, G)."""
        matrix = np.array(self.chance_rows)
        leaving = np.append(matrix[:-1, -1], 0.0)
        result: FloatArray = self.after(np.floor(np.atleast_1d(years))) @ leaving
        return result


@dataclass(frozen=True)
class ContinuousChain:
    """A chain that moves one grade down at a constant rate, a rate for each grade but the last."""

    rate_per_year: tuple[float, ...]

    def __post_init__(self) -> None:
        rates = np.array(self.rate_per_year, dtype=float)
        if not len(rates) or not ((rates >= 0) & np.isfinite(rates)).all() or not rates.max() > 0:
            raise ValueError("Each grade but the last needs a rate of 0 or more, one above 0.")

    @property
    def grades_count(self) -> int:
        """Return the number of grades, with the last."""
        return len(self.rate_per_year) + 1

    @property
    def stretch_years(self) -> float:
        """Return the time in which the fastest grade would be left so many times [years]."""
        return MOVES / max(self.rate_per_year)

    @property
    def mean_years_to_last(self) -> FloatArray:
        """Return the mean years until the last grade, from each before it: sum of 1 / rate."""
        with np.errstate(divide="ignore"):  # a grade that is never left
            stays = 1 / np.array(self.rate_per_year)
        result: FloatArray = np.cumsum(stays[::-1])[::-1]
        return result

    def after(self, years: FloatArray) -> FloatArray:
        """Return the chances of every grade from every grade after so many years, (n, G, G).

        Sum over n of Poisson(n; q t) (I + Q / q)^n, q the largest rate: no term is negative, so
        small chances are exact too (uniformisation; Jensen 1953, from memory).
        """
        rates = np.append(self.rate_per_year, 0.0) / max(self.rate_per_year)
        moves = np.atleast_1d(np.asarray(years, dtype=float)) * max(self.rate_per_year)
        most = float(moves.max(initial=0.0))
        counts = np.arange(int(most + 12 * np.sqrt(most) + 40))
        step = np.diag(1 - rates) + np.diag(rates[:-1], 1)
        powers = np.empty((len(counts), *step.shape))
        powers[0] = np.eye(len(step))
        for n in counts[1:]:
            powers[n] = powers[n - 1] @ step
        logs = special.xlogy(counts, moves[:, np.newaxis]) - special.gammaln(counts + 1)
        result: FloatArray = np.tensordot(np.exp(logs - moves[:, np.newaxis]), powers, axes=1)
        return result

    def last_per_year(self, years: FloatArray) -> FloatArray:
        """Return the chance per year of reaching the last grade just then, (n, G)."""
        leaving = np.zeros(self.grades_count)
        leaving[-2] = self.rate_per_year[-1]
        result: FloatArray = self.after(years) @ leaving
        return result


def _rise(gone: FloatArray, alive: FloatArray) -> FloatArray:
    """Return -ln(alive) from both chances, exact where either is small."""
    with np.errstate(divide="ignore"):  # nobody is left
        return np.where(gone < 0.5, -np.log1p(-np.minimum(gone, 0.5)), -np.log(alive))


@lru_cache(maxsize=512)
def _followed(life: "GradeLife") -> tuple[FloatArray, FloatArray]:
    """Return H at the start of each stretch, and the shares of the grades of those alive then."""
    step = life.chain.after(np.array([life.chain.stretch_years]))[0]
    held, shares = np.full(STRETCHES + 1, np.inf), np.zeros((STRETCHES + 1, len(step)))
    start = np.array([*life.start_share[:-1], 0.0])
    held[0], shares[0] = 0.0, start / start.sum()
    for n in range(STRETCHES):
        ahead = shares[n] @ step
        alive = ahead[:-1].sum()
        if not alive > 0:
            break
        held[n + 1] = held[n] + _rise(ahead[-1], alive)
        shares[n + 1, :-1] = ahead[:-1] / alive
    return held, shares


@dataclass(frozen=True)
class GradeLife:
    """The years from now until a chain reaches its last grade, from shares of the grades now.

    H(0) = 0 says that it has not reached the last grade now: a share given to that is left out.

    Parameters
    ----------
    chain : of G grades.
    start_share : chance of each of the G grades now [-].
    """

    chain: Chain
    start_share: tuple[float, ...]

    def __post_init__(self) -> None:
        share = np.array(self.start_share, dtype=float)
        if len(share) != self.chain.grades_count or not (share >= 0).all():
            raise ValueError(
                f"{len(share)} shares for a chain of {self.chain.grades_count} grades: give one "
                "of 0 or more for each grade."
            )
        if not 0 < share[:-1].sum() < np.inf:
            raise ValueError(
                "All of the start stands in the last grade, where the life has ended already; "
                "give it as failed, or add a grade behind."
            )

    def _stretch(self, age_years: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return H and shares at the start of the stretch that holds an age, and years in it."""
        held, shares = _followed(self)
        length = self.chain.stretch_years
        last = np.minimum(np.floor(age_years / length), STRETCHES).astype(np.int64)
        return held[last], shares[last], age_years - last * length

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]; beyond 1,024 stretches its slope is kept."""
        age = np.asarray(age_years, dtype=float)
        flat = age.ravel()
        held, shares, rest = self._stretch(flat)
        length = self.chain.stretch_years
        far = rest >= length * (1 + 1e-9)
        ahead = np.einsum("ng,ngh->nh", shares, self.chain.after(np.where(far, 0.0, rest)))
        slope = np.einsum("ng,ng->n", shares, self.chain.last_per_year(np.zeros(len(flat))))
        leaves = far & (slope > NEVER_PER_YEAR)
        beyond = np.where(leaves, slope, 0.0) * np.where(leaves, rest, 0.0)
        alive = np.where(held < np.inf, ahead[:, :-1].sum(axis=1), 1.0)
        result: FloatArray = held + np.where(far, beyond, _rise(ahead[:, -1], alive))
        return result.reshape(age.shape)

    def hazard_per_year(self, age_years: FloatArray) -> FloatArray:
        """Return h(age): the chance per year of reaching the last grade, over the chance alive."""
        age = np.asarray(age_years, dtype=float)
        _, shares, rest = self._stretch(age.ravel())
        rest = np.where(rest >= self.chain.stretch_years * (1 + 1e-9), 0.0, rest)
        flow = np.einsum("ng,ng->n", shares, self.chain.last_per_year(rest))
        alive = np.einsum("ng,ngh->nh", shares, self.chain.after(rest))[:, :-1].sum(axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            result: FloatArray = np.where(alive > 0, flow / alive, np.inf)
        return result.reshape(age.shape)
