"""Life by use: bearings, creep, summed damage, crack growth, carbonation of concrete."""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike
from scipy import integrate

from bundler.life.curves import FloatArray, Weibull, above_zero

BALL_EXPONENT = 3.0  # ISO 281
ROLLER_EXPONENT = 10 / 3  # ISO 281
BEARING_SHAPE = 1.5  # Weibull slope of ISO 281:2007 (from memory)
BEARING_START = 0.05  # share of L10 before which none fails; ISO 281:2007 (from memory)
CREEP_CONSTANT = 20.0  # Larson and Miller (1952), time in hours


def bearing_l10(rating_ratio: ArrayLike, exponent: float) -> FloatArray:
    """Return L10, the life that 90 % reach: (C / P) ^ exponent [million revolutions]; ISO 281.

    `rating_ratio` is C / P, the dynamic load rating over the equivalent load.
    """
    result: FloatArray = np.asarray(rating_ratio, dtype=float) ** exponent
    return result


def bearing_l10_hours(l10: ArrayLike, speed_rpm: ArrayLike) -> FloatArray:
    """Return L10 in running hours: a million revolutions over 60 x speed; ISO 281."""
    result: FloatArray = 1e6 * np.asarray(l10, dtype=float) / (60 * np.asarray(speed_rpm))
    return result


def bearing_reliability_ratio(reliability_chance: ArrayLike) -> FloatArray:
    """Return a1: the life reached with this chance over L10 [-], for chances of 0.9 and above.

    0.95 (ln R / ln 0.9) ^ (1 / 1.5) + 0.05, the curve behind the table of ISO 281:2007.
    """
    chance = np.asarray(reliability_chance, dtype=float)
    if not ((chance >= 0.9) & (chance < 1)).all():
        raise ValueError("a1 is stated for a reliability from 0.9 to below 1; use bearing_curve.")
    power = (np.log(chance) / np.log(0.9)) ** (1 / BEARING_SHAPE)
    result: FloatArray = (1 - BEARING_START) * power + BEARING_START
    return result


def bearing_curve(l10_years: float) -> Weibull:
    """Return the life curve behind L10 and a1: a Weibull with a guarantee time."""
    above_zero(l10_years=l10_years)
    scale = (1 - BEARING_START) * l10_years / float(-np.log(0.9)) ** (1 / BEARING_SHAPE)
    return Weibull(BEARING_SHAPE, scale, BEARING_START * l10_years)


def larson_miller(absolute_temperature: ArrayLike, life_hours: ArrayLike) -> FloatArray:
    """Return the creep parameter T (20 + lg hours); T absolute, kelvin or degrees Rankine."""
    lg_hours = np.log10(np.asarray(life_hours, dtype=float))
    result: FloatArray = np.asarray(absolute_temperature, dtype=float) * (CREEP_CONSTANT + lg_hours)
    return result


def creep_life_hours(parameter: ArrayLike, absolute_temperature: ArrayLike) -> FloatArray:
    """Return the life at another temperature under the same stress: 10 ^ (P / T - 20) [h]."""
    power = np.asarray(parameter, dtype=float) / np.asarray(absolute_temperature) - CREEP_CONSTANT
    result: FloatArray = np.asarray(10.0**power)
    return result


def miner_damage_share(used: ArrayLike, life: ArrayLike) -> FloatArray:
    """Return the damage at each level, used / life [-]; their sum is 1 at the end of life.

    Palmgren (1924) and Miner (1945); cycles or hours, the same for both.
    """
    lives = np.asarray(life, dtype=float)
    if not (lives > 0).all():
        raise ValueError("The life at a level has to be above 0.")
    result: FloatArray = np.asarray(used, dtype=float) / lives
    return result


def _lengths(cracks_m: tuple[float, float]) -> tuple[float, float]:
    if not 0 < cracks_m[0] <= cracks_m[1]:
        raise ValueError("A crack grows from a length above 0 m to one that is not shorter.")
    return cracks_m


def paris_cycles(
    constant: float,
    exponent: float,
    stress_mpa: float,
    geometry_ratio: float,
    cracks_m: tuple[float, float],
) -> float:
    """Return the cycles in which a crack grows from the first to the second length.

    da/dN = C (Y stress sqrt(pi a)) ^ m in m a cycle and MPa sqrt(m), Y constant:
    N = (a1 ^ (1 - m/2) - a0 ^ (1 - m/2)) / ((1 - m/2) C (Y stress sqrt pi) ^ m), a logarithm at
    m = 2. Paris and Erdogan (1963).
    """
    start, end = _lengths(cracks_m)
    power = 1 - exponent / 2
    length = np.log(end / start) if power == 0 else (end**power - start**power) / power
    return float(length / (constant * (geometry_ratio * stress_mpa * np.sqrt(np.pi)) ** exponent))


def growth_cycles(growth_m: Callable[[float], float], cracks_m: tuple[float, float]) -> float:
    """Return the cycles between two crack lengths for any growth a cycle [m], by quadrature.

    For a geometry that changes with the crack. The integral runs over ln a.
    """
    start, end = _lengths(cracks_m)

    def cycles(log_a: float) -> float:
        return float(np.exp(log_a)) / growth_m(float(np.exp(log_a)))

    found = integrate.quad(cycles, np.log(start), np.log(end), epsabs=0, epsrel=1e-10, limit=200)
    return float(found[0])


def carbonation_years(depth_mm: ArrayLike, age_years: ArrayLike, cover_mm: ArrayLike) -> FloatArray:
    """Return the years left until carbonation has gone through the cover.

    depth = k sqrt(age) with k from the depth at this age: age ((cover / depth)^2 - 1), 0 where it
    is through. No depth yet gives inf.
    """
    depth, cover = np.asarray(depth_mm, dtype=float), np.asarray(cover_mm, dtype=float)
    deep = np.where(depth > 0, depth, 1.0)
    left = np.asarray(age_years, dtype=float) * ((cover / deep) ** 2 - 1)
    return np.where(depth > 0, np.maximum(left, 0.0), np.inf)
