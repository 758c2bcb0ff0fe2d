"""Repairable systems: their failures over age while watched, and the mean cumulative count."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy import stats

from bundler.life.curves import FloatArray
from bundler.life.lives import Lives, lives_from


@dataclass(frozen=True)
class Repaired:
    """One system that is repaired at each failure and goes on.

    Parameters
    ----------
    failed_years : ages of the system at its failures, in any order [years].
    end_years : age at which watching ended [years].
    start_years : age at which it began [years].
    ends_at_failure : watching ended because of the last failure, which lies at `end_years`.
    """

    failed_years: tuple[float, ...]
    end_years: float
    start_years: float = 0.0
    ends_at_failure: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "failed_years", tuple(sorted(map(float, self.failed_years))))
        start, end = self.start_years, self.end_years
        if not (0 <= start < end < np.inf):
            raise ValueError(
                f"Watched from {start:g} to {end:g} years; start is 0 or more, below end."
            )
        outside = [age for age in self.failed_years if not start < age <= end]
        if outside:
            raise ValueError(
                f"A failure at {outside[0]:g} years lies outside the ages watched, {start:g} to "
                f"{end:g}; correct it, or the ages watched."
            )
        if self.ends_at_failure and (not self.failed_years or self.failed_years[-1] != end):
            raise ValueError(
                f"ends_at_failure is set, yet no failure lies at the end, {end:g} years."
            )

    @property
    def inner_years(self) -> FloatArray:
        """Return the ages at failure, less the last where it ended the watching [years]."""
        return np.array(self.failed_years[: -1 if self.ends_at_failure else None], dtype=float)


def lives_of_minimal_repair(systems: Sequence[Repaired]) -> Lives:
    """Return the stretches between failures as lives that each enter at the failure before.

    A repair that leaves the age as it was (minimal repair): a fit to these lives is the fit of the
    failure intensity. Raises ValueError for two failures of one system at one age.
    """
    entries, lows, highs = [], [], []
    for system in systems:
        ages = [system.start_years, *system.failed_years]
        if len(set(ages)) < len(ages):
            raise ValueError("A system fails twice at one age; move one by what it really ran.")
        runs_on = system.failed_years[-1:] != (system.end_years,)
        entries += ages if runs_on else ages[:-1]
        lows += [*ages[1:], *([system.end_years] if runs_on else [])]
        highs += [*ages[1:], *([np.inf] if runs_on else [])]
    return lives_from(lows, highs, entry_years=entries)


def mean_count(systems: Sequence[Repaired], *, level: float = 0.90) -> pd.DataFrame:
    """Return the mean cumulative number of failures of a system, a row an age at failure.

    Columns age_years, watched_count (systems watched then), failures_count, mean_count, low_count,
    high_count. The mean rises at each age by failures / systems watched, whatever the repairs do.
    Its variance is the robust one, sum over systems of (sum over ages of (own failures - mean of
    the watched) / watched)^2; pointwise normal bounds of its logarithm. Nelson (2003); Lawless and
    Nadeau (1995); Meeker and Escobar (1998) 16.2 (from memory).
    Raises ValueError for a level not between 0 and 1, or no system.
    """
    if not 0 < level < 1 or not systems:
        raise ValueError("A mean count needs a system or more and a level between 0 and 1.")
    ages = np.unique(np.concatenate([system.failed_years for system in systems]))
    starts = np.array([system.start_years for system in systems])[:, None]
    ends = np.array([system.end_years for system in systems])[:, None]
    is_watched = (starts < ages) & (ages <= ends)
    own = np.stack([_counts(system, ages) for system in systems])
    watched, failed = is_watched.sum(axis=0), own.sum(axis=0)
    rise = failed / watched
    mean = rise.cumsum()
    apart = np.where(is_watched, (own - rise) / watched, 0.0).cumsum(axis=1)
    deviation = np.sqrt((apart**2).sum(axis=0))
    factor = np.exp(stats.norm.ppf((1 + level) / 2) * deviation / mean)
    return pd.DataFrame(
        {
            "age_years": ages,
            "watched_count": watched,
            "failures_count": failed,
            "mean_count": mean,
            "low_count": mean / factor,
            "high_count": mean * factor,
        }
    )


def _counts(system: Repaired, ages: FloatArray) -> FloatArray:
    """Return the number of failures of a system at each of these ages."""
    place = np.searchsorted(ages, np.array(system.failed_years, dtype=float))
    return np.bincount(place, minlength=len(ages)).astype(float)
