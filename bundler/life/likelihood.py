"""The log-likelihood of a record of lives, as a function of the parameters of a kind of life."""

from dataclasses import dataclass

import numpy as np

from bundler.life.curves import FloatArray, LifeCurve
from bundler.life.kinds import Kind
from bundler.life.lives import Lives

#: what a likelihood of nought, or one that cannot be computed, counts for
WORST = -1e100


def _gathered(ages: FloatArray, weights: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the different ages and the sum of the weights of each, without those of weight 0."""
    different, place = np.unique(ages, return_inverse=True)
    sums = np.bincount(place, weights=weights, minlength=len(different))
    kept = sums != 0
    return different[kept], sums[kept]


@dataclass(frozen=True, eq=False)
class Likelihood:
    """Log-likelihood of a record under a kind of life.

    sum of w (ln f(t) | ln S(low) | ln(S(low) - S(high))) - w ln S(entry), for failures seen, items
    running and failures found. With S = exp(-H) it is sum of w ln h(t) over failures seen, less
    sum of w (H(low) - H(entry)) over all, plus sum of w ln(1 - exp(H(low) - H(high))) over those
    found: equal ages are gathered, so ten thousand items of forty ages cost forty. Meeker and
    Escobar (1998), chapters 2 and 11 (from memory).
    """

    kind: Kind
    failed_years: FloatArray
    failed_count: FloatArray
    lived_years: FloatArray
    lived_count: FloatArray
    found_years: FloatArray
    found_count: FloatArray

    def of_curve(self, curve: LifeCurve) -> float:
        """Return the log-likelihood of a curve that the kind made [-]."""
        with np.errstate(all="ignore"):
            total = -(self.lived_count @ curve.cumulative_hazard(self.lived_years))
            if len(self.failed_years):
                seen = self.kind.log_hazard_of(curve, self.failed_years)
                total = total + self.failed_count @ seen
            if len(self.found_count):
                low, high = curve.cumulative_hazard(self.found_years)
                total = total + self.found_count @ np.log(-np.expm1(low - high))
        return float(total) if np.isfinite(total) else WORST

    def over_scales(self, log_scales: FloatArray, log_shape: float) -> FloatArray:
        """Return it for many scales [n] at one shape, of a kind in which all items can fail.

        A curve stretches with its scale: H(t) is that of scale 1 at t / scale.
        """
        with np.errstate(all="ignore"):
            scales = np.exp(log_scales)
            one = self.kind.whole(1.0, max(float(np.exp(log_shape)), 1e-300))
            total = -(self.lived_count @ one.cumulative_hazard(self.lived_years[:, None] / scales))
            if len(self.failed_years):
                seen = self.kind.log_hazard(one, self.failed_years[:, None] / scales) - log_scales
                total = total + self.failed_count @ seen
            if len(self.found_count):
                low, high = one.cumulative_hazard(self.found_years[..., None] / scales)
                total = total + self.found_count @ np.log(-np.expm1(low - high))
        return np.where(np.isfinite(total), total, WORST)

    def __call__(self, log_scale: float, log_shape: float = 0.0, log_odds: float = 50.0) -> float:
        """Return it from ln scale, ln shape and the log-odds of the share that can fail."""
        scale, shape, share = plain(log_scale, log_shape, log_odds)
        if not (0 < scale < np.inf and 0 < shape < np.inf and share > 0):
            return WORST
        return self.of_curve(self.kind.make(scale, shape, share))


def plain(log_scale: float, log_shape: float, log_odds: float) -> tuple[float, float, float]:
    """Return scale, shape and share from their logarithms and log-odds."""
    with np.errstate(over="ignore", under="ignore"):
        scale, shape = float(np.exp(log_scale)), float(np.exp(log_shape))
        return scale, shape, float(1 / (1 + np.exp(-log_odds)))


def likelihood_of(lives: Lives, kind: Kind) -> Likelihood:
    """Return the log-likelihood of these lives under this kind."""
    exact, found = lives.is_exact, ~lives.is_exact & ~lives.is_running
    weight = lives.weight_count
    lived = np.concatenate([lives.low_years, lives.entry_years])
    lived_years, lived_count = _gathered(lived, np.concatenate([weight, -weight]))
    above = lived_years > 0
    spans = np.stack([lives.low_years[found], lives.high_years[found]])
    different, place = np.unique(spans, axis=1, return_inverse=True)
    return Likelihood(
        kind,
        *_gathered(lives.low_years[exact], weight[exact]),
        lived_years[above],
        lived_count[above],
        different,
        np.bincount(place.ravel(), weights=weight[found], minlength=different.shape[1]),
    )
