"""Tube bundles: plugged tubes over age, and the life until more are plugged than allowed.

Every tube has the same life curve and fails by itself; a tube is plugged when it fails.
"""

from dataclasses import dataclass

import numpy as np
from scipy import special

from bundler.life.curves import FloatArray, LifeCurve, Weibull, above_zero
from bundler.life.derived import failure_chance, span_to_rise
from bundler.life.passage import hazard_from_both, log_series


def plugged_count(
    tube_curve: LifeCurve, tubes_count: int, age_years: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return mean N F and standard deviation sqrt(N F (1 - F)) of the plugged tubes at an age."""
    share = failure_chance(tube_curve, np.array(0.0), np.asarray(age_years, dtype=float))
    mean: FloatArray = tubes_count * share
    spread: FloatArray = np.sqrt(mean * (1 - share))
    return mean, spread


def limit_age_years(tube_curve: LifeCurve, limit_share: float) -> float:
    """Return the age at which the expected plugged share F is at the limit [years]."""
    if not 0 < limit_share < 1:
        raise ValueError(f"limit_share is {limit_share:g}; it lies between 0 and 1.")
    return span_to_rise(tube_curve, 0.0, -float(np.log1p(-limit_share)))


def weibull_through(plugged_share: float, age_years: float, shape_ratio: float) -> Weibull:
    """Return the Weibull of known shape whose F at this age is the plugged share seen there."""
    above_zero(age_years=age_years, shape_ratio=shape_ratio)
    if not 0 < plugged_share < 1:
        raise ValueError(
            f"plugged_share is {plugged_share:g}; it lies between 0 and 1. With no tube plugged "
            "yet, start from a prior (known_shape.KnownShape)."
        )
    return Weibull(shape_ratio, age_years / float(-np.log1p(-plugged_share)) ** (1 / shape_ratio))


@dataclass(frozen=True)
class BundleLimit:
    """Life of a bundle: until more of its tubes are plugged than the limit allows.

    Counts from the age at which `already_count` tubes were plugged; wrap it in `shifted.Since`
    with that age. Of the n others each fails within x with p = 1 - exp(H(age) - H(age + x)):
    S(x) = P(Binomial(n, p) <= allowed - already) = I_{1 - p}(n - m, m + 1). A tube curve that
    stands for an uncertain scale makes the chances too sure: the tubes share that scale.
    """

    tube_curve: LifeCurve
    tubes_count: int
    limit_share: float
    already_count: int = 0
    age_years: float = 0.0

    def __post_init__(self) -> None:
        if not (0 <= self.limit_share < 1 and self.age_years >= 0):
            raise ValueError("A limit share is 0 or more and below 1, and an age is 0 or more.")
        if not 0 <= self.already_count <= self.allowed_count < self.tubes_count:
            raise ValueError(
                f"{self.already_count} of {self.tubes_count} tubes are plugged and "
                f"{self.allowed_count} are allowed; a bundle beyond its limit has no life left."
            )

    @property
    def allowed_count(self) -> int:
        """The number of plugged tubes that the limit still allows."""
        return int(np.floor(self.limit_share * self.tubes_count * (1 + 1e-12)))

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(years since the count) [-]; exact in both tails."""
        start = self.tube_curve.cumulative_hazard(np.array(self.age_years))
        ahead = self.age_years + np.asarray(age_years, dtype=float)
        rise = self.tube_curve.cumulative_hazard(ahead) - start
        fewer = self.allowed_count - self.already_count
        more = self.tubes_count - self.already_count - fewer
        gone = special.betainc(fewer + 1, more, -np.expm1(-rise))
        alive = special.betainc(more, fewer + 1, np.exp(-rise))
        near, far = hazard_from_both(gone, alive)
        return np.where(far, -_log_few(more, fewer, rise), near) if far.any() else near


def _log_few(more: int, fewer: int, rise: FloatArray) -> FloatArray:
    """Return ln I_q(more, fewer + 1) for a small q = exp(-rise) (DLMF 8.17.8 in logs)."""
    top = np.maximum(rise, np.log((more + fewer + 1) / (more + 1)) + 1e-9)  # where it converges
    lead = (fewer + 1) * np.log(-np.expm1(-top)) - more * top
    lead = lead - np.log(more) - special.betaln(more, fewer + 1)
    q = np.exp(-top)
    return np.asarray(lead + log_series(lambda n: q * (more + fewer + n) / (more + n)))
