"""Thermal ageing of insulation: how much faster than the calendar it grows old.

Temperatures are in degrees Celsius; for a winding they are those of its hottest spot.
"""

import numpy as np
from numpy.typing import ArrayLike

from bundler.life.curves import FloatArray

KELVIN = 273.15  # 0 degrees Celsius; ISO 80000-5
STANDARD_KELVIN = 273.0  # as IEEE C57.91 and IEC 60076-7 round it
AGEING_KELVIN = 15000.0  # constant B of IEEE C57.91
RATED_UPGRADED = 110.0  # hot spot with ageing 1, thermally upgraded paper; IEEE C57.91
PER_UNIT_LIFE = 9.8e-18  # constant A of IEEE C57.91; gives 1.000342, not 1, at 110 degrees
RATED_PLAIN = 98.0  # hot spot with ageing 1, paper that is not upgraded; IEC 60076-7
PLAIN_DOUBLING = 6.0  # degrees that double the ageing of such paper; IEC 60076-7
NORMAL_LIFE_HOURS = 180_000.0  # normal insulation life; IEEE C57.91
BOLTZMANN = 8.617333262e-5  # eV/K; CODATA 2018


def _absolute(celsius: ArrayLike, zero: float) -> FloatArray:
    kelvin: FloatArray = np.asarray(celsius, dtype=float) + zero
    if not (kelvin > 0).all():
        raise ValueError("A temperature is at or below absolute zero; give degrees Celsius.")
    return kelvin


def upgraded_paper_ratio(hot_spot_celsius: ArrayLike) -> FloatArray:
    """Return the ageing of thermally upgraded paper over that at 110 degrees [-].

    exp(15000 / 383 - 15000 / (hot spot + 273)); IEEE C57.91, IEC 60076-7.
    """
    kelvin = _absolute(hot_spot_celsius, STANDARD_KELVIN)
    rated = RATED_UPGRADED + STANDARD_KELVIN
    result: FloatArray = np.exp(AGEING_KELVIN / rated - AGEING_KELVIN / kelvin)
    return result


def plain_paper_ratio(hot_spot_celsius: ArrayLike) -> FloatArray:
    """Return the ageing of paper that is not upgraded over that at 98 degrees [-].

    2 ^ ((hot spot - 98) / 6); IEC 60076-7.
    """
    over = np.asarray(hot_spot_celsius, dtype=float) - RATED_PLAIN
    result: FloatArray = np.exp2(over / PLAIN_DOUBLING)
    return result


def per_unit_life_ratio(hot_spot_celsius: ArrayLike) -> FloatArray:
    """Return the life at a constant hot spot in units of the normal life [-]; IEEE C57.91."""
    kelvin = _absolute(hot_spot_celsius, STANDARD_KELVIN)
    result: FloatArray = PER_UNIT_LIFE * np.exp(AGEING_KELVIN / kelvin)
    return result


def arrhenius_ratio(
    use_celsius: ArrayLike, hot_celsius: ArrayLike, activation_ev: float
) -> FloatArray:
    """Return the speed of a reaction when hot over that in use [-].

    exp(Ea / k (1 / T_use - 1 / T_hot)), activation energy in eV, temperatures absolute.
    """
    use, hot = _absolute(use_celsius, KELVIN), _absolute(hot_celsius, KELVIN)
    result: FloatArray = np.exp(activation_ev / BOLTZMANN * (1 / use - 1 / hot))
    return result


def unused_margin_ratio(margin_celsius: ArrayLike, doubling_celsius: float = 10.0) -> FloatArray:
    """Return the life over the rated one when so many degrees of the class are not used [-].

    2 ^ (margin / 10): the ten-degree rule.
    """
    result: FloatArray = np.exp2(np.asarray(margin_celsius, dtype=float) / doubling_celsius)
    return result


def mean_ageing_ratio(spans_hours: ArrayLike, ageing_ratio: ArrayLike) -> float:
    """Return the equivalent ageing of a load profile: the mean of the ageing over time [-].

    sum(ageing x span) / sum(span); IEEE C57.91 calls it the equivalent ageing factor.
    """
    spans, ageing = np.broadcast_arrays(
        np.asarray(spans_hours, dtype=float), np.asarray(ageing_ratio, dtype=float)
    )
    if not (spans >= 0).all() or not spans.sum() > 0:
        raise ValueError("The spans of a load profile are 0 or more hours and not all 0.")
    return float((spans * ageing).sum() / spans.sum())


def loss_of_life_share(
    spans_hours: ArrayLike, ageing_ratio: ArrayLike, normal_life_hours: float = NORMAL_LIFE_HOURS
) -> float:
    """Return the share of the normal life that a load profile takes [-]."""
    mean = mean_ageing_ratio(spans_hours, ageing_ratio)
    spans, _ = np.broadcast_arrays(np.asarray(spans_hours, dtype=float), ageing_ratio)
    return mean * float(spans.sum()) / normal_life_hours


def equivalent_age_years(calendar_years: ArrayLike, ageing_ratio: ArrayLike) -> FloatArray:
    """Return the age of the insulation: calendar years times the mean ageing of its load [years].

    It takes the place of the calendar age as the virtual age.
    """
    result: FloatArray = np.asarray(calendar_years, dtype=float) * np.asarray(ageing_ratio)
    return result
