"""Life curves made of other curves: competing modes, a share that can fail, a mixed population."""

from dataclasses import dataclass

import numpy as np

from bundler.life.curves import FloatArray, LifeCurve
from bundler.life.derived import hazard


def _hazard_of_mixture(shares: FloatArray, hazards: FloatArray) -> FloatArray:
    """Return H = -ln sum p exp(-H_i) over the first axis; exact for young and for old ages."""
    weight = shares.reshape(-1, *(1,) * (hazards.ndim - 1))
    least = hazards.min(axis=0)
    young = -np.log1p(np.maximum((weight * np.expm1(-hazards)).sum(axis=0), -0.999))
    with np.errstate(invalid="ignore"):  # inf - inf, where every H is beyond the largest float
        above = np.where(np.isinf(hazards) & np.isinf(least), 0.0, hazards - least)
    old: FloatArray = least - np.log((weight * np.exp(-above)).sum(axis=0))
    return np.where(young < 0.5, young, old)


@dataclass(frozen=True)
class CompetingModes:
    """The first of several independent modes ends the life: H = sum of H_i."""

    curves: tuple[LifeCurve, ...]

    def __post_init__(self) -> None:
        if not self.curves:
            raise ValueError("Competing modes need at least one curve; none is given.")

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]."""
        result: FloatArray = np.sum([c.cumulative_hazard(age_years) for c in self.curves], axis=0)
        return result

    def hazard_per_year(self, age_years: FloatArray) -> FloatArray:
        """Return h(age) = sum of h_i [1/year]."""
        result: FloatArray = np.sum([hazard(c, age_years) for c in self.curves], axis=0)
        return result


@dataclass(frozen=True)
class LimitedFailures:
    """Only a share p of the items can ever fail: S = 1 - p F."""

    curve: LifeCurve
    failing_share: float

    def __post_init__(self) -> None:
        if not 0 < self.failing_share <= 1:
            raise ValueError(
                f"failing_share is {self.failing_share:g}; it has to be above 0 and at most 1."
            )

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) = -ln(1 - p + p exp(-H0)) [-]; it never passes -ln(1 - p)."""
        own = np.asarray(self.curve.cumulative_hazard(age_years), dtype=float)
        shares = np.array([1 - self.failing_share, self.failing_share])
        if shares[0] == 0:
            return own
        return _hazard_of_mixture(shares, np.stack([np.zeros_like(own), own]))

    def hazard_per_year(self, age_years: FloatArray) -> FloatArray:
        """Return h(age) = p h0 exp(H - H0) [1/year]."""
        lag = self.cumulative_hazard(age_years) - self.curve.cumulative_hazard(age_years)
        result: FloatArray = self.failing_share * hazard(self.curve, age_years) * np.exp(lag)
        return result


@dataclass(frozen=True)
class Mixture:
    """Items of several kinds, one curve and one share of the items each: S = sum of p_i S_i."""

    curves: tuple[LifeCurve, ...]
    shares: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.curves) != len(self.shares) or not self.curves:
            raise ValueError("A mixture needs a share for each curve, and at least one curve.")
        if not (min(self.shares) > 0 and abs(sum(self.shares) - 1) < 1e-9):
            raise ValueError(
                f"The shares of a mixture are {self.shares}; they are above 0 and sum to 1."
            )

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) = -ln sum p_i exp(-H_i) [-]."""
        hazards = np.stack([np.asarray(c.cumulative_hazard(age_years)) for c in self.curves])
        return _hazard_of_mixture(np.array(self.shares) / sum(self.shares), hazards)

    def hazard_per_year(self, age_years: FloatArray) -> FloatArray:
        """Return h(age) = sum of p_i h_i exp(H - H_i) [1/year]."""
        total = self.cumulative_hazard(age_years)
        parts = [
            share * hazard(curve, age_years) * np.exp(total - curve.cumulative_hazard(age_years))
            for curve, share in zip(self.curves, self.shares, strict=True)
        ]
        result: FloatArray = np.sum(parts, axis=0)
        return result
