"""First passage when both the margin and the rate are known with an error."""

from dataclasses import dataclass

import numpy as np
from scipy import special

from bundler.life.curves import FloatArray
from bundler.life.passage import NormalRate

#: a rate whose sd is a smaller part of it than this is taken as known; angles lose digits beyond
SURE = 1e-9
#: a part of an integral below exp(-CUT / 2) of its largest is left out
CUT = 80.0
NODES, WEIGHTS = np.polynomial.legendre.leggauss(40)


def _log_ray(x: FloatArray, size: float) -> FloatArray:
    """Return ln of the plane normal density gathered along the ray at angle x to its mean.

    exp(-size^2 / 2) (1 + c Phi(c) / phi(c)) with c = size cos x, size the mean's distance, up to
    the factor 1 / (2 pi).
    """
    c = size * np.cos(x)
    ahead = np.maximum(c, 1e-300)
    peak = np.log(np.sqrt(2 * np.pi) * ahead) + special.log_ndtr(ahead)
    toward = np.logaddexp(-(size**2) / 2, peak - (size * np.sin(x)) ** 2 / 2)
    back = np.maximum(-c, 0.0)
    rest = 1 - back * np.sqrt(np.pi / 2) * special.erfcx(back / np.sqrt(2))
    away = np.log(np.maximum(rest, 1 / (back**2 + 3))) - size**2 / 2  # Mills' ratio has this bound
    result: FloatArray = np.where(c > 0, toward, away)
    return result


def _log_wedge(low: FloatArray, high: FloatArray, size: float) -> FloatArray:
    """Return ln of the integral of exp(_log_ray) between two angles to the mean.

    Gauss-Legendre on both sides of the largest value, as far as it counts.
    """
    best = np.clip(0.0, low, high)
    steep = np.sin(best) ** 2 + CUT / max(size, 1e-9) ** 2
    is_cut = (np.abs(best) < np.pi / 2) & (steep < 1)
    reach = np.where(is_cut, np.arcsin(np.sqrt(np.minimum(steep, 1.0))), 2 * np.pi)
    parts = []
    for start, end in ((np.maximum(low, -reach), best), (best, np.minimum(high, reach))):
        half = np.maximum(end - start, 0.0)[..., None] / 2
        values = _log_ray(start[..., None] + half * (1 + NODES), size)
        with np.errstate(divide="ignore"):  # an empty side counts nothing
            parts.append(special.logsumexp(values + np.log(half * WEIGHTS), axis=-1))
    result: FloatArray = np.logaddexp(*parts)
    return result


@dataclass(frozen=True)
class NoisyMargin:
    """A line with a normal margin D and a normal rate r, given that the margin is not used up now.

    S(t) = P(D > 0, D - r t > 0) / P(D > 0): the exact first passage of a straight line. It never
    rises even where the rate may be below 0, which the one-dimensional P(D - r t > 0) does: a
    line that heals never fails, and one that would be below the limit now is not counted.

    `correlation_ratio` is that of the errors of margin and rate. It is below 0 when the rate was
    found from the same reading as the margin: a reading too high makes the rate too small.
    Ages are years since the reading.
    """

    margin: float
    margin_sd: float
    rate_mean_per_year: float
    rate_sd_per_year: float
    correlation_ratio: float = 0.0

    def __post_init__(self) -> None:
        if not (self.margin_sd >= 0 and self.rate_sd_per_year >= 0):
            raise ValueError(
                "The sd of a margin and of a rate is 0 or more; give them without sign."
            )
        if self.margin_sd == 0 and not (self.margin > 0 and self.rate_sd_per_year > 0):
            raise ValueError(
                "A margin without an error has to be above 0 and its rate needs a sd above 0; "
                "give the reading's error."
            )
        if not -1 < self.correlation_ratio < 1:
            raise ValueError(
                f"correlation_ratio is {self.correlation_ratio:g}; it lies between -1 and 1."
            )

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]; exact in both tails."""
        age = np.asarray(age_years, dtype=float)
        rate, rate_sd = self.rate_mean_per_year, self.rate_sd_per_year
        if self.margin_sd == 0:
            return NormalRate(self.margin, rate, rate_sd).cumulative_hazard(age)
        if rate_sd <= SURE * abs(rate):
            z = (self.margin - max(rate, 0.0) * age) / self.margin_sd
            known: FloatArray = special.log_ndtr(self.margin / self.margin_sd) - special.log_ndtr(z)
            return known
        return self._by_wedges(age)

    def _by_wedges(self, age: FloatArray) -> FloatArray:
        """Return H from two wedges of the plane (D, r), seen from D = r = 0 in units of the errors.

        D > 0 is a half plane; the ray r = D / t parts what has failed by t from what has not.
        """
        across = np.sqrt(1 - self.correlation_ratio**2)
        out = self.margin / self.margin_sd
        up = (
            self.rate_mean_per_year / self.rate_sd_per_year - self.correlation_ratio * out
        ) / across
        size, mean = float(np.hypot(out, up)), float(np.arctan2(up, out))
        worn = age * self.rate_sd_per_year
        ray = np.arctan2(self.margin_sd - self.correlation_ratio * worn, across * worn)
        gone = _log_wedge(ray - mean, np.full_like(ray, np.pi / 2 - mean), size)
        alive = _log_wedge(np.full_like(ray, -np.pi / 2 - mean), ray - mean, size)
        result: FloatArray = np.logaddexp(0.0, gone - alive)
        return result
