"""Curves around another curve: one that counts from a reading, one whose life is stretched."""

from dataclasses import dataclass

import numpy as np

from bundler.life.curves import FloatArray, LifeCurve, above_zero
from bundler.life.derived import hazard


@dataclass(frozen=True)
class Since:
    """A curve that counts from a reading ("known good then"): H is 0 up to that age.

    H(age) = H_inner(age - from_age), ages in years.
    """

    curve: LifeCurve
    from_age_years: float

    def __post_init__(self) -> None:
        if not 0 <= self.from_age_years < np.inf:
            raise ValueError(
                f"from_age_years is {self.from_age_years:g}; it is an age of 0 or more."
            )

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]."""
        past = np.asarray(age_years, dtype=float) - self.from_age_years
        return self.curve.cumulative_hazard(np.maximum(past, 0.0))

    def hazard_per_year(self, age_years: FloatArray) -> FloatArray:
        """Return h(age) [1/year]: 0 before the reading, then that of the inner curve."""
        past = np.asarray(age_years, dtype=float) - self.from_age_years
        return np.where(past < 0, 0.0, hazard(self.curve, np.maximum(past, 0.0)))


@dataclass(frozen=True)
class Stretched:
    """A curve whose every age is stretched: H(age) = H_inner(age / life_ratio)."""

    curve: LifeCurve
    life_ratio: float

    def __post_init__(self) -> None:
        above_zero(life_ratio=self.life_ratio)

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]."""
        age: FloatArray = np.asarray(age_years, dtype=float) / self.life_ratio
        return self.curve.cumulative_hazard(age)

    def hazard_per_year(self, age_years: FloatArray) -> FloatArray:
        """Return h(age) = h_inner(age / ratio) / ratio [1/year]."""
        age: FloatArray = np.asarray(age_years, dtype=float) / self.life_ratio
        return hazard(self.curve, age) / self.life_ratio


def scaled(curve: LifeCurve, life_ratio: float) -> LifeCurve:
    """Return the curve with its life times `life_ratio` [-].

    What counts from a reading keeps its start: the life left from there is stretched. A ratio
    of 1 gives the curve itself, and ratios on top of each other become one.
    """
    above_zero(life_ratio=life_ratio)
    if isinstance(curve, Since):
        return Since(scaled(curve.curve, life_ratio), curve.from_age_years)
    if isinstance(curve, Stretched):
        return scaled(curve.curve, curve.life_ratio * life_ratio)
    return curve if life_ratio == 1 else Stretched(curve, life_ratio)
