"""Does a repairable system get better or worse? To be asked before gaps are fitted as lives."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from bundler.life.lives import Lives, lives_from
from bundler.life.repaired import Repaired

#: failures, less those that ended the watching, below which no trend can be told (our choice:
#: the exact law of three even ages gives Laplace's test 4.7 % of false alarms instead of 5)
FEWEST_FOR_TREND = 3


class TrendFound(ValueError):
    """Gaps between failures are no independent lives, because they grow or shrink."""


@dataclass(frozen=True)
class Trend:
    """Two tests of one question; without trend each system has its own constant rate.

    Parameters
    ----------
    laplace_ratio : Laplace's statistic, standard normal without trend; above 0 gets worse.
    laplace_chance : its two-sided p-value.
    log_sum_ratio : 2 sum ln((b - a) / (t - a)), chi-square with 2 n degrees; small gets worse.
    log_sum_chance : its two-sided p-value.
    failures_count : failures n behind it, without those that ended the watching.
    level_chance : chance of a false alarm allowed to each test.
    """

    laplace_ratio: float
    laplace_chance: float
    log_sum_ratio: float
    log_sum_chance: float
    failures_count: int
    level_chance: float

    @property
    def word(self) -> str:
        """Return too few failures, no trend, deteriorating or improving.

        A trend is found where either test finds one, so at a level of 5 % a false alarm comes in 6
        to 8 % of fleets (simulated); where they disagree on its way, the lower p-value speaks.
        """
        if self.failures_count < FEWEST_FOR_TREND:
            return "too few failures"
        if min(self.laplace_chance, self.log_sum_chance) >= self.level_chance:
            return "no trend"
        is_worse = self.log_sum_ratio < 2 * self.failures_count
        if self.laplace_chance < self.log_sum_chance:
            is_worse = self.laplace_ratio > 0
        return "deteriorating" if is_worse else "improving"

    @property
    def verdict(self) -> str:
        """Return the finding as a sentence."""
        told = {
            "too few failures": "Too few failures to tell a trend",
            "no trend": "No trend is found",
            "deteriorating": "The systems deteriorate: failures come faster with age",
            "improving": "The systems improve: failures come slower with age",
        }[self.word]
        return (
            f"{told} ({self.failures_count} failures, p {self.laplace_chance:.2g} by Laplace, "
            f"{self.log_sum_chance:.2g} by MIL-HDBK-189, against {self.level_chance:g})."
        )


def trend(systems: Sequence[Repaired], *, level: float = 0.05) -> Trend:
    """Return whether failures of these systems come faster or slower with age.

    Given its number, the failures of a system with a constant rate lie evenly over the ages at
    which it was watched, so u = (t - a) / (b - a) of all systems are pooled whatever their rates;
    a failure that ended the watching is left out and its age is the end. Laplace: (sum of t less
    its expectation) over its standard deviation sqrt(sum (b - a)^2 / 12). MIL-HDBK-189 (1981):
    -2 sum ln u. Kvaloy and Lindqvist (1998), combined tests (from memory).

    Parameters
    ----------
    systems : the systems, whatever ages they were watched at.
    level : chance of a false alarm of each test [-].
    """
    inner = [system.inner_years - system.start_years for system in systems]
    spans = [system.end_years - system.start_years for system in systems]
    number = sum(len(ages) for ages in inner)
    if number == 0:
        return Trend(0.0, 1.0, 0.0, 1.0, 0, level)
    pairs = list(zip(inner, spans, strict=True))
    above = sum(float((ages - span / 2).sum()) for ages, span in pairs)
    variance = sum(len(ages) * span**2 / 12 for ages, span in pairs)
    laplace = above / float(np.sqrt(variance))
    logs = sum(2 * float(np.log(span / ages).sum()) for ages, span in pairs)
    tail = min(stats.chi2.cdf(logs, 2 * number), stats.chi2.sf(logs, 2 * number))
    normal = 2 * float(stats.norm.sf(abs(laplace)))
    return Trend(laplace, normal, logs, min(2 * float(tail), 1.0), number, level)


def lives_from_gaps(systems: Sequence[Repaired], *, level: float = 0.05) -> Lives:
    """Return the gaps between failures as lives from new, if no trend forbids it.

    Each repair must have made the system as new. Watching from new, the first gap is a life; from
    a later age its beginning is not known, and it is left out. The stretch after the last failure
    runs on, unless the failure ended the watching.

    Raises
    ------
    TrendFound : the gaps grow or shrink with age, so they are not lives of one kind.
    ValueError : two failures of one system lie at one age.
    """
    found = trend(systems, level=level)
    if found.word in ("deteriorating", "improving"):
        raise TrendFound(
            f"Gaps between failures are no independent lives here. {found.verdict} Fit the "
            "intensity over the system's age instead (`power_law`, `lives_of_minimal_repair`)."
        )
    failed: list[float] = []
    running: list[float] = []
    for system in systems:
        known = [0.0] if system.start_years == 0 else []
        gaps = np.diff([*known, *system.failed_years])
        if (gaps <= 0).any():
            raise ValueError("A system fails twice at one age; move one by what it really ran.")
        failed += gaps.tolist()
        last = [*known, *system.failed_years][-1:]
        running += [system.end_years - age for age in last if age < system.end_years]
    ages = np.array(failed + running)
    return lives_from(ages, np.where(np.arange(len(ages)) < len(failed), ages, np.inf))
