"""First passage: the life left until wear has used up a margin. Ages are years since the reading.

The margin is what is left to the limit at the reading, in the unit of the indicator; rates are
in that unit a year. Wrap a curve in `shifted.Since` to count from a component's start.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from bundler.life.curves import FloatArray, Lognormal, above_zero

BoolArray = NDArray[np.bool_]
#: a chance below this is found by its series in logs; the smallest float is 2e-308
TINY = 1e-290


def log_series(ratio: Callable[[int], FloatArray], terms_count: int = 400) -> FloatArray:
    """Return ln(1 + r(1) + r(1) r(2) + ...) for ratios r(n) that are below 1 and never rise.

    What is cut off is replaced by the geometric rest of the last ratio.
    """
    last = ratio(1)
    term = np.ones_like(last)
    total = term
    for n in range(1, terms_count + 1):
        last = ratio(n)
        term = term * last
        total = total + term
    return np.log(total + term * last / (1 - last))


def hazard_from_both(gone: FloatArray, alive: FloatArray) -> tuple[FloatArray, BoolArray]:
    """Return H = -ln(alive) from F and S that are exact each in its tail, and where S is too small.

    There H is 0 and has to be found otherwise.
    """
    far = alive < TINY
    return np.where(gone < 0.5, -np.log1p(-np.minimum(gone, 0.5)), -np.log(alive + far)), far


def _erfcx_drop(u: FloatArray, width: FloatArray) -> FloatArray:
    """Return erfcx(u) - erfcx(u + width); by its slope in the middle where the step is small."""
    middle = u + width / 2
    far = np.maximum(middle, 1e3)
    near = 2 / np.sqrt(np.pi) - 2 * middle * special.erfcx(np.maximum(middle, -2.0))
    slope = np.where(middle >= far, 1 / (np.sqrt(np.pi) * far**2), near)
    is_small = width < 1e-5 * np.maximum(u, 1.0)
    result: FloatArray = np.where(
        is_small, width * slope, special.erfcx(u) - special.erfcx(u + width)
    )
    return result


@dataclass(frozen=True)
class NormalRate:
    """A line whose rate is normal over the items: F(t) = Phi((mean - margin / t) / sd).

    Items whose rate is 0 or below never fail, a share Phi(-mean / sd): H levels off there.
    """

    margin: float
    rate_mean_per_year: float
    rate_sd_per_year: float

    def __post_init__(self) -> None:
        above_zero(margin=self.margin, rate_sd_per_year=self.rate_sd_per_year)

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) = -ln Phi((margin / age - mean) / sd) [-]; exact in both tails."""
        with np.errstate(divide="ignore"):  # no wear yet: the rate that fails is without bound
            needed = self.margin / np.asarray(age_years, dtype=float)
        z = (needed - self.rate_mean_per_year) / self.rate_sd_per_year
        result: FloatArray = -special.log_ndtr(z)
        return result


@dataclass(frozen=True)
class LognormalRate:
    """A line whose rate is lognormal over the items; the life is lognormal with the same sigma."""

    margin: float
    rate_median_per_year: float
    sigma_ratio: float

    def __post_init__(self) -> None:
        above_zero(margin=self.margin, rate_median_per_year=self.rate_median_per_year)
        above_zero(sigma_ratio=self.sigma_ratio)

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) of a lognormal life with median margin / median rate [-]."""
        life = Lognormal(self.margin / self.rate_median_per_year, self.sigma_ratio)
        return life.cumulative_hazard(age_years)


@dataclass(frozen=True)
class WienerPassage:
    """Wear that drifts and wanders; its first passage is an inverse Gaussian life.

    With a drift below 0 the limit is reached by a share exp(-2 |drift| margin / sigma^2) only.
    """

    margin: float
    drift_per_year: float
    sigma_per_root_year: float

    def __post_init__(self) -> None:
        above_zero(margin=self.margin, sigma_per_root_year=self.sigma_per_root_year)

    def _upward(self, age: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return F and ln S for the drift without its sign.

        With x, y = (margin -+ drift t) / (sigma sqrt t), both are exp(-x^2 / 2) / 2 times
        erfcx(x / sqrt 2) + erfcx(y / sqrt 2) and erfcx(-x / sqrt 2) - erfcx(y / sqrt 2): the
        usual formula with its factor exp(2 drift margin / sigma^2) taken in, so nothing overflows.
        """
        moved = abs(self.drift_per_year) * age
        spread = self.sigma_per_root_year * np.sqrt(2 * age)
        with np.errstate(divide="ignore"):
            x, y = (self.margin - moved) / spread, (self.margin + moved) / spread
        gone = np.exp(-(x**2)) / 2 * (special.erfcx(np.maximum(x, 0.0)) + special.erfcx(y))
        u = -np.minimum(x, 1.0)  # ln S serves from the median on, where x is below 1
        with np.errstate(divide="ignore", invalid="ignore"):
            log_alive = np.log(_erfcx_drop(u, 2 * self.margin / spread) / 2) - x**2
        return np.where(x > 0, gone, 1.0), log_alive

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]; exact in both tails."""
        gone, log_alive = self._upward(np.asarray(age_years, dtype=float))
        fall = 2 * max(-self.drift_per_year, 0.0) * self.margin / self.sigma_per_root_year**2
        with np.errstate(divide="ignore"):
            never = np.log(-np.expm1(-fall))
            early = -np.log1p(-np.exp(-fall) * np.minimum(gone, 0.5))
        late: FloatArray = -np.logaddexp(never, log_alive - fall)
        return np.where(gone < 0.5, early, late)


@dataclass(frozen=True)
class GammaPassage:
    """Wear by a gamma process, X(t) ~ Gamma(a t, scale): F(t) = Q(a t, margin / scale).

    a is `shape_per_year`; the mean wear is a x scale a year. The formula is that of
    van Noortwijk (2009), Reliability Engineering and System Safety 94, 2-21 (from memory).
    """

    margin: float
    shape_per_year: float
    scale: float

    def __post_init__(self) -> None:
        above_zero(margin=self.margin, shape_per_year=self.shape_per_year, scale=self.scale)

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) = -ln P(a t, margin / scale) [-]; exact in both tails."""
        shape = self.shape_per_year * np.asarray(age_years, dtype=float)
        x = self.margin / self.scale
        gone, alive = special.gammaincc(shape, x), special.gammainc(shape, x)
        near, far = hazard_from_both(gone, alive)
        if not far.any():
            return near
        large = np.where(far, shape, 2 * x + 1)
        lead = large * np.log(x) - x - special.gammaln(large + 1)
        return np.where(far, -lead - log_series(lambda n: x / (large + n)), near)
