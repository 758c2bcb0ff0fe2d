"""A Weibull life with a known shape, before and after a record: conjugate, in closed form."""

from dataclasses import dataclass

import numpy as np
from scipy import special

from bundler.life.curves import FloatArray
from bundler.life.lives import Lives


@dataclass(frozen=True)
class KnownShape:
    """A Weibull life of known shape whose scale is uncertain; itself a life curve.

    lambda = scale^-shape ~ gamma(a, b), so that S(t) = (b / (b + t^shape))^a. Meeker & Escobar
    (1998), chapter 14 (from memory).

    Parameters
    ----------
    events_count : a, as if so many failures had been seen [-].
    power_years : b, as if the sum of age^shape had been this [years^shape].
    """

    shape_ratio: float
    events_count: float
    power_years: float

    def __post_init__(self) -> None:
        above = (self.shape_ratio, self.events_count, self.power_years)
        if not all(0 < value < np.inf for value in above):
            raise ValueError("Shape, events and power of a known-shape life have to be above 0.")

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) = a ln(1 + t^shape / b) [-]."""
        power = np.asarray(age_years, dtype=float) ** self.shape_ratio / self.power_years
        result: FloatArray = self.events_count * np.log1p(power)
        return result

    def hazard_per_year(self, age_years: FloatArray) -> FloatArray:
        """Return h(age) = a shape t^(shape - 1) / (b + t^shape) [1/year]."""
        age, shape = np.asarray(age_years, dtype=float), self.shape_ratio
        with np.errstate(divide="ignore"):  # a shape below 1 starts with an unbounded hazard
            slope = shape * age ** (shape - 1)
        result: FloatArray = self.events_count * slope / (self.power_years + age**shape)
        return result

    @property
    def scale_years(self) -> float:
        """Return the scale at the mean of lambda: (b / a)^(1 / shape) [years]."""
        return float((self.power_years / self.events_count) ** (1 / self.shape_ratio))

    def scale_percentile_years(self, chance: float) -> float:
        """Return the scale that is not passed with this chance [years]."""
        if not 0 < chance < 1:
            raise ValueError(f"chance {chance:g} is not allowed; give one between 0 and 1.")
        point = float(special.gammainccinv(self.events_count, chance))
        return float((self.power_years / point) ** (1 / self.shape_ratio))

    def updated(self, lives: Lives) -> "KnownShape":
        """Return the life after a record: a + r, b + sum of w (low^shape - entry^shape).

        Raises ValueError where a failure was only found at an inspection: that has no closed form.
        """
        if not (lives.is_exact | lives.is_running).all():
            raise ValueError(
                "A failure that was found at an inspection has no closed form; use the grid with "
                "a shape spread of 0."
            )
        shape = self.shape_ratio
        lived = float(lives.weight_count @ (lives.low_years**shape - lives.entry_years**shape))
        return KnownShape(shape, self.events_count + lives.failures_count, self.power_years + lived)
