"""A life before and after a record: the family's curve weighed against the station's lives."""

from dataclasses import dataclass

import numpy as np

from bundler.life.curves import FloatArray, LifeCurve
from bundler.life.kinds import KINDS
from bundler.life.likelihood import likelihood_of
from bundler.life.lives import Lives, together
from bundler.life.mixed import Mixture
from bundler.life.posterior_grid import Box, Grid, laid_grid

#: a record that leaves more than this of the prior's spread says little (house rule)
LITTLE_RATIO = 0.9
#: a life that lands this many of the prior's spreads from its centre contradicts it (house rule)
FAR_RATIO = 2.0
#: change of mass and means that a thinner curve may make
THIN = 1e-5


@dataclass(frozen=True)
class CurvePrior:
    """What is known of a life before the record.

    ln(scale) is normal around ln(life_years); the shape is lognormal or, truncated above 0, normal
    around shape_ratio. A quarter on the scale and a half on the shape are common in the trade.

    Parameters
    ----------
    kind : weibull, lognormal, gamma or exponential; the scale is the curve's scale, median or mean.
    life_spread_ratio : standard deviation of ln(scale) [-].
    shape_spread_ratio : standard deviation of the shape, or of its logarithm; 0 where it is known.
    shape_law : "normal" (spread in the shape itself) or "lognormal" (in its logarithm).
    """

    kind: str
    life_years: float
    life_spread_ratio: float
    shape_ratio: float = 1.0
    shape_spread_ratio: float = 0.0
    shape_law: str = "normal"

    def __post_init__(self) -> None:
        kinds = [word for word, kind in KINDS.items() if not kind.has_share]
        if self.kind not in kinds or self.shape_law not in ("normal", "lognormal"):
            raise ValueError(
                f"A prior of kind {self.kind!r} with a {self.shape_law!r} shape is not known; "
                f"kinds are {', '.join(kinds)}, shapes are normal or lognormal."
            )
        above = (self.life_years, self.life_spread_ratio, self.shape_ratio)
        if not all(0 < value < np.inf for value in above):
            raise ValueError("Life, shape and the life's spread of a prior have to be above 0.")
        if not 0 <= self.shape_spread_ratio < np.inf:
            raise ValueError("The spread of a prior's shape has to be 0 or more.")

    @property
    def has_known_shape(self) -> bool:
        """Return whether the shape is held."""
        return self.shape_spread_ratio == 0 or len(KINDS[self.kind].names) == 1

    @property
    def box(self) -> Box:
        """Return where ln(scale) and ln(shape) are looked for at first."""
        life, shape = float(np.log(self.life_years)), float(np.log(self.shape_ratio))
        wide, spread = 10 * self.life_spread_ratio, self.shape_spread_ratio
        low, high = shape - 8 * spread, shape + 8 * spread
        if self.shape_law == "normal":
            low, high = shape - 12.0, float(np.log(self.shape_ratio + 8 * spread))
        ends = (shape, shape) if self.has_known_shape else (low, high)
        return Box(np.array([shape]), np.array([life]), (-wide, wide), ends)

    def log_density(self, log_life: FloatArray, log_shape: float) -> FloatArray:
        """Return the log-density over ln(scale) [n] and one ln(shape), but for a constant [-]."""
        off_life = (np.asarray(log_life) - np.log(self.life_years)) / self.life_spread_ratio
        life: FloatArray = -(off_life**2) / 2
        if self.has_known_shape:
            return life
        if self.shape_law == "lognormal":
            off = (log_shape - np.log(self.shape_ratio)) / self.shape_spread_ratio
            life -= off**2 / 2
            return life
        off = (np.exp(log_shape) - self.shape_ratio) / self.shape_spread_ratio
        life += log_shape - off**2 / 2
        return life


@dataclass(frozen=True, eq=False)
class Posterior:
    """What is known of a life after the record: weights on a grid of ln(scale) and ln(shape)."""

    prior: CurvePrior
    failures_count: float
    grid: Grid

    @property
    def life_mean_years(self) -> float:
        """Return the mean of the scale [years]."""
        return self.grid.mean(np.exp(self.grid.x))

    @property
    def shape_mean_ratio(self) -> float:
        """Return the mean of the shape [-]."""
        return self.grid.mean(self._shapes)

    @property
    def life_spread_ratio(self) -> float:
        """Return the standard deviation of ln(scale) [-]."""
        middle = self.grid.mean(self.grid.x)
        return float(np.sqrt(self.grid.mean((self.grid.x - middle) ** 2)))

    @property
    def correlation_ratio(self) -> float:
        """Return the correlation of ln(scale) and shape [-]; 0 where the shape is held."""
        life = self.grid.x - self.grid.mean(self.grid.x)
        shape = self._shapes - self.shape_mean_ratio
        both = self.grid.mean(life**2) * self.grid.mean(shape**2)
        return float(self.grid.mean(life * shape) / np.sqrt(both)) if len(self.grid.y) > 1 else 0.0

    def life_percentile_years(self, chance: float) -> float:
        """Return the scale that is not passed with this chance [years]; 0.5 is the median."""
        return float(np.exp(self.grid.x_percentile(_inside(chance))))

    def shape_percentile_ratio(self, chance: float) -> float:
        """Return the shape that is not passed with this chance [-]; 0.5 is the median."""
        return float(np.exp(self.grid.y_percentile(_inside(chance))))

    @property
    def curve(self) -> LifeCurve:
        """Return the life that an item may expect: S = sum of w S(scale, shape), a mixture.

        A thinner set of the grid's points that keeps its mass and means to 1e-5; chances of
        failing are kept about as well, a survival below 1e-6 is not.
        """
        logs, log_shapes, shares = self.grid.thinned(THIN)
        make = KINDS[self.prior.kind].whole
        curves = tuple(
            make(float(np.exp(life)), float(np.exp(shape)))
            for life, shape in zip(logs, log_shapes, strict=True)
        )
        return Mixture(curves, tuple(float(share) for share in shares))

    @property
    def has_moved(self) -> bool:
        """Return whether the record narrowed the life to less than 0.9 of the prior's spread."""
        return self.life_spread_ratio <= LITTLE_RATIO * self.prior.life_spread_ratio

    @property
    def contradicts(self) -> bool:
        """Return whether life or shape land more than two spreads from the prior's centre."""
        prior, shape = self.prior, self.shape_percentile_ratio(0.5)
        life = np.log(self.life_percentile_years(0.5) / prior.life_years)
        off = shape - prior.shape_ratio
        if prior.shape_law == "lognormal":
            off = float(np.log(shape / prior.shape_ratio))
        far = not prior.has_known_shape and abs(off) > FAR_RATIO * prior.shape_spread_ratio
        return bool(far or abs(life) > FAR_RATIO * prior.life_spread_ratio)

    @property
    def words(self) -> str:
        """Return in a sentence what the record did to the prior."""
        prior, middle = self.prior, self.life_percentile_years(0.5)
        failures = (
            "1 failure moves"
            if self.failures_count == 1
            else (f"{self.failures_count:g} failures move")
        )
        told = (
            f"{failures} the life from {prior.life_years:.4g} to "
            f"{middle:.4g} years and its spread from {prior.life_spread_ratio:.2g} to "
            f"{self.life_spread_ratio:.2g}, the shape from {prior.shape_ratio:.3g} to "
            f"{self.shape_percentile_ratio(0.5):.3g}"
        )
        if self.contradicts:
            return f"The record contradicts the prior: {told}. Check both before either is used."
        if not self.has_moved:
            return f"The record says little: {told}. The life is still the prior's."
        return f"The record speaks: {told}."

    @property
    def _shapes(self) -> FloatArray:
        shapes: FloatArray = np.exp(np.broadcast_to(self.grid.y[:, np.newaxis], self.grid.x.shape))
        return shapes


def _inside(chance: float) -> float:
    """Return a chance of a percentile, or refuse it."""
    if not 1e-6 <= chance <= 1 - 1e-6:
        raise ValueError(f"chance {chance:g} is not allowed; give one between 1e-6 and 1 - 1e-6.")
    return chance


def updated_curve(prior: CurvePrior, lives: Lives) -> Posterior:
    """Return what is known of a life after a record: prior x likelihood on a grid.

    Right, left and interval censoring, late entry and weights as `Lives` states them. Raises
    ValueError where no life of this kind could leave such a record.
    """
    likelihood = likelihood_of(lives, KINDS[prior.kind])

    def log_density(log_life: FloatArray, log_shape: float) -> FloatArray:
        return prior.log_density(log_life, log_shape) + likelihood.over_scales(log_life, log_shape)

    return Posterior(prior, lives.failures_count, laid_grid(log_density, prior.box))


def pooled(own: Lives, sisters: Lives, weight_share: float) -> Lives:
    """Return the own lives and those of sister units, whose weights count for this share.

    Power prior of Ibrahim & Chen (2000), from memory: 0 leaves the sisters out, 1 makes them own.
    """
    if not 0 <= weight_share <= 1:
        raise ValueError(f"weight {weight_share:g} is not allowed; it lies between 0 and 1.")
    return together(own, sisters.weighted(weight_share)) if weight_share else own
