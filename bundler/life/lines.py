"""Lines through condition readings: level and rate now, and the life at which they meet a limit.

Readings stand in columns of equal length (item, time [years], value) in any order.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from bundler.life.noisy import NoisyMargin


@dataclass(frozen=True)
class LinearFit:
    """A line through readings: its level at the last of them, its rate, and their errors.

    scatter_ratio is the scatter about the line over the stated reading error: far above 1, the
    wear is no line or the error is stated too small; nan where the line has no reading to spare.
    """

    level: float
    level_sd: float
    rate_per_year: float
    rate_sd_per_year: float
    correlation_ratio: float
    scatter_ratio: float


def fit_linear(times_years: ArrayLike, values: ArrayLike, sd: ArrayLike | None = None) -> LinearFit:
    """Return the weighted least-squares line of one item's readings.

    Parameters
    ----------
    times_years, values : the readings [n].
    sd : the standard deviation of each reading, or one for all; without it one is estimated
        from the scatter, which takes at least three readings.

    Raises ValueError where the readings do not determine a line.
    """
    t, y = np.asarray(times_years, dtype=float), np.asarray(values, dtype=float)
    spare = len(t) - 2
    if len(np.unique(t)) < 2 or (sd is None and spare < 1):
        raise ValueError(
            f"{len(t)} readings at {len(np.unique(t))} times do not determine a line with its "
            "error; give two times and the reading's error, or three readings."
        )
    if sd is not None and not (np.asarray(sd) > 0).all():
        raise ValueError("The sd of a reading has to be above 0; leave it out to estimate it.")
    weight = np.broadcast_to(1.0 if sd is None else np.asarray(sd, dtype=float) ** -2, t.shape)
    total, middle = weight.sum(), np.average(t, weights=weight)
    spread, lever = (weight * (t - middle) ** 2).sum(), t.max() - middle
    mean = np.average(y, weights=weight)
    rate = (weight * (t - middle) * (y - mean)).sum() / spread
    rest = (weight * (y - mean - rate * (t - middle)) ** 2).sum()
    scatter = float(np.sqrt(rest / spare)) if spare else np.nan
    unit, share = (scatter if sd is None else 1.0), lever**2 / spread
    level_sd = np.sqrt(1 / total + share)
    return LinearFit(
        float(mean + rate * lever), float(unit * level_sd), float(rate),
        float(unit / np.sqrt(spread)), float(lever / np.sqrt(spread) / level_sd),
        1.0 if sd is None else scatter,
    )  # fmt: skip


def with_known_rate(line: LinearFit, rate_per_year: float, rate_sd_per_year: float) -> LinearFit:
    """Return the line when an independent rate is known as well: normal with normal.

    The rate becomes the mean of both with weights 1 / sd^2; the level moves with it where their
    errors are correlated.
    """
    both = line.rate_sd_per_year**2 + rate_sd_per_year**2
    gap, share = rate_per_year - line.rate_per_year, line.rate_sd_per_year**2 / both
    shared = line.correlation_ratio * line.level_sd * line.rate_sd_per_year
    level_sd = float(np.sqrt(max(line.level_sd**2 - shared**2 / both, 0.0)))
    rate_sd = line.rate_sd_per_year * rate_sd_per_year / float(np.sqrt(both))
    joint = shared * (1 - share)
    return LinearFit(
        line.level + shared / both * gap, level_sd, line.rate_per_year + share * gap, rate_sd,
        joint / (level_sd * rate_sd) if level_sd > 0 else 0.0, line.scatter_ratio,
    )  # fmt: skip


def falling_margin(fit: LinearFit, limit: float) -> NoisyMargin:
    """Return the life until a falling indicator is at its lower limit, from the last reading on."""
    return NoisyMargin(
        fit.level - limit, fit.level_sd, -fit.rate_per_year, fit.rate_sd_per_year,
        -fit.correlation_ratio,
    )  # fmt: skip


def rising_margin(fit: LinearFit, limit: float) -> NoisyMargin:
    """Return the life until a rising indicator is at its upper limit, from the last reading on."""
    return NoisyMargin(
        limit - fit.level, fit.level_sd, fit.rate_per_year, fit.rate_sd_per_year,
        -fit.correlation_ratio,
    )  # fmt: skip


def _lives(table: pd.DataFrame, limit: float) -> pd.DataFrame:
    """Return lines (item, start, rate_per_year) with the life at which each is at the limit."""
    rate = table["rate_per_year"].to_numpy()
    left = np.maximum(limit - table["start"].to_numpy(), 0.0)
    grows = rate > 0
    return table.assign(life_years=np.where(grows, left / np.where(grows, rate, 1.0), np.inf))


def pseudo_lives(
    items: ArrayLike, times_years: ArrayLike, values: ArrayLike, limit: float
) -> pd.DataFrame:
    """Return the life at which the least-squares line of each item is at the limit.

    Columns item, start (value at time 0), rate_per_year, life_years (inf for a line that does
    not rise). For a falling indicator give the values and the limit with the opposite sign.
    """
    table = pd.DataFrame({"item": items, "t": times_years, "v": values})
    rows = []
    for item, own in table.groupby("item", sort=True):
        t = own["t"] - own["t"].mean()
        if not t.any():
            raise ValueError(f"Item {item} has readings at one time only; a line needs two times.")
        rate = float((t * own["v"]).sum() / (t**2).sum())
        rows.append((item, float(own["v"].mean() - rate * own["t"].mean()), rate))
    return _lives(pd.DataFrame(rows, columns=["item", "start", "rate_per_year"]), limit)


def pseudo_lives_from_zero(
    items: ArrayLike, times_years: ArrayLike, values: ArrayLike, limit: float
) -> pd.DataFrame:
    """Return the same by lines through value 0 at time 0: rate = sum(t v) / sum(t^2)."""
    table = pd.DataFrame({"item": items, "t": times_years, "v": values}).astype({"t": float})
    sums = table.assign(tv=table["t"] * table["v"], tt=table["t"] ** 2).groupby("item").sum()
    if not (sums["tt"] > 0).all():
        raise ValueError("An item has readings at time 0 only; a line through 0 needs a later one.")
    found = (sums["tv"] / sums["tt"]).rename("rate_per_year").reset_index()
    return _lives(found.assign(start=0.0)[["item", "start", "rate_per_year"]], limit)
