"""Wall thickness: rates of loss, remaining life, interval of inspection, chance of being too thin.

Rates of loss are above 0 where the wall gets thinner [mm/year]; thicknesses in mm.
"""

from dataclasses import dataclass

import numpy as np
from scipy import special

from bundler.life.curves import FloatArray
from bundler.life.lines import LinearFit, with_known_rate
from bundler.life.noisy import NoisyMargin


@dataclass(frozen=True)
class Wall:
    """What is known of a wall at its last reading: thickness, least allowed, rate of loss, errors.

    correlation_ratio is that of the errors of thickness and rate; see `wall_from_readings`.
    """

    thickness_mm: float
    thickness_sd_mm: float
    required_mm: float
    rate_mm_per_year: float
    rate_sd_mm_per_year: float
    correlation_ratio: float = 0.0


def loss_rate_mm_per_year(
    before_mm: FloatArray, thickness_mm: FloatArray, span_years: FloatArray
) -> FloatArray:
    """Return (before - now) / span [mm/year].

    From the first reading it is the long-term rate, from the previous one the short-term rate
    (API 570 section 7.1). Raises ValueError for a span of 0 or below.
    """
    span = np.asarray(span_years, dtype=float)
    if not (span > 0).all():
        raise ValueError("The span between two readings has to be above 0 years.")
    rate: FloatArray = (np.asarray(before_mm, dtype=float) - thickness_mm) / span
    return rate


def loss_rate_sd_mm_per_year(
    before_sd_mm: FloatArray, thickness_sd_mm: FloatArray, span_years: FloatArray
) -> FloatArray:
    """Return the error of a rate from two readings: sqrt(s1^2 + s2^2) / span [mm/year]."""
    both: FloatArray = np.hypot(before_sd_mm, thickness_sd_mm)
    return loss_rate_mm_per_year(both, np.zeros_like(both), span_years)


def remaining_years(
    thickness_mm: FloatArray,
    required_mm: FloatArray,
    rate_mm_per_year: FloatArray,
    safety_ratio: float = 1.0,
) -> FloatArray:
    """Return (thickness - required) / (safety x rate) [years], API 570 section 7.1.

    0 at or below the required thickness, inf for a rate of 0 or below. Of several rates the
    governing one is the largest: it gives the shortest life.
    """
    margin = np.asarray(thickness_mm, dtype=float) - required_mm
    rate = safety_ratio * np.asarray(rate_mm_per_year, dtype=float)
    left = np.where(rate > 0, margin / np.where(rate > 0, rate, 1.0), np.inf)
    return np.where(margin <= 0, 0.0, left)


def inspection_interval_years(life_left_years: FloatArray, longest_years: FloatArray) -> FloatArray:
    """Return the smaller of half the remaining life and the longest interval of the class [years].

    The half-life rule of API 570; the class decides the longest interval.
    """
    half: FloatArray = np.asarray(life_left_years, dtype=float) / 2
    return np.minimum(half, longest_years)


def wall_from_readings(
    before: tuple[float, float], now: tuple[float, float], span_years: float, required_mm: float
) -> Wall:
    """Return the wall known from two readings, each its thickness and its error [mm].

    The last reading enters both thickness and rate: their errors are correlated by
    -s_now / sqrt(s_before^2 + s_now^2). Raises ValueError unless errors and span are above 0.
    """
    if not min(before[1], now[1]) > 0:
        raise ValueError("The error of a thickness reading has to be above 0 mm.")
    rate = loss_rate_mm_per_year(np.array(before[0]), np.array(now[0]), np.array(span_years))
    rate_sd = loss_rate_sd_mm_per_year(
        np.array(before[1]), np.array(now[1]), np.array(span_years)
    )  # fmt: skip
    shared = -now[1] / float(np.hypot(before[1], now[1]))
    return Wall(now[0], now[1], required_mm, float(rate), float(rate_sd), shared)


def combined_with_rate(
    wall: Wall, assumed_mm_per_year: float, assumed_sd_mm_per_year: float
) -> Wall:
    """Return the wall when an independent rate (of a wear programme, say) is known as well.

    Normal with normal: the rate becomes the mean of both with weights 1 / sd^2, and where the
    errors of thickness and rate are correlated the thickness moves with it.
    """
    if not assumed_sd_mm_per_year > 0:
        raise ValueError("The sd of an assumed rate has to be above 0 mm/year.")
    worn = LinearFit(
        -wall.thickness_mm, wall.thickness_sd_mm, wall.rate_mm_per_year,
        wall.rate_sd_mm_per_year, -wall.correlation_ratio, np.nan,
    )  # fmt: skip
    both = with_known_rate(worn, assumed_mm_per_year, assumed_sd_mm_per_year)
    return Wall(
        -both.level, both.level_sd, wall.required_mm, both.rate_per_year, both.rate_sd_per_year,
        -both.correlation_ratio,
    )  # fmt: skip


def wall_ahead(wall: Wall, span_years: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return mean and standard deviation of the thickness some years after the reading [mm]."""
    span = np.asarray(span_years, dtype=float)
    worn = span * wall.rate_sd_mm_per_year
    mean: FloatArray = wall.thickness_mm - wall.rate_mm_per_year * span
    shared = 2 * wall.correlation_ratio * wall.thickness_sd_mm * worn
    sd: FloatArray = np.sqrt(wall.thickness_sd_mm**2 - shared + worn**2)
    return mean, sd


def chance_below(wall: Wall, span_years: FloatArray) -> FloatArray:
    """Return the chance that the wall is below the required one some years after the reading [-].

    At that moment, whether or not it was below before or at the reading; `wall_curve` is the
    life of a wall that is thick enough now. Raises ValueError where nothing is uncertain.
    """
    mean, sd = wall_ahead(wall, span_years)
    if not (sd > 0).all():
        raise ValueError("A wall without any error has no chance; give the reading's error.")
    chance: FloatArray = special.ndtr((wall.required_mm - mean) / sd)
    return chance


def wall_curve(wall: Wall) -> NoisyMargin:
    """Return the life until the wall is at the required one; ages are years since the reading."""
    return NoisyMargin(
        wall.thickness_mm - wall.required_mm, wall.thickness_sd_mm, wall.rate_mm_per_year,
        wall.rate_sd_mm_per_year, wall.correlation_ratio,
    )  # fmt: skip
