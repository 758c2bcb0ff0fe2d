"""Life curves. Each states its cumulative hazard H(age); everything else is derived from it.

A curve with a kink or an unbounded hazard also states dH/da; `derived.hazard` finds the others.
"""

from dataclasses import dataclass, fields
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray
from scipy import special

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
Steps = tuple[tuple[float, ...], tuple[float, ...]]


class LifeCurve(Protocol):
    """A life as its cumulative hazard: H(0) = 0, never falling, survival exp(-H)."""

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-] for ages of 0 or more [years], any shape."""

    def __hash__(self) -> int:
        """Return the hash; a curve is a value, and what was computed from it is kept under it."""


def above_zero(**values: float) -> None:
    """Raise a ValueError that names the first of these values that is not above 0."""
    for name, value in values.items():
        if not value > 0:
            raise ValueError(f"{name} is {value:g}; it has to be above 0.")


def _log_gamma_survival(shape: float, x: FloatArray) -> FloatArray:
    """Return ln Q(shape, x) in both tails; beyond the smallest float by DLMF 8.11.2."""
    below, above = special.gammainc(shape, x), special.gammaincc(shape, x)
    far = above < 1e-290
    result = np.where(below < 0.5, np.log1p(-np.minimum(below, 0.5)), np.log(above + far))
    if not far.any():
        return result
    large = np.where(far, np.maximum(x, shape), shape + 1.0)
    term, total = np.ones_like(large), np.ones_like(large)
    for n in range(1, 400):  # a series that is cut where its terms would grow
        term = np.where(np.abs(shape - n) < large, term * (shape - n) / large, 0.0)
        total = total + term
    tail = (shape - 1) * np.log(large) - x - special.gammaln(shape) + np.log(total)
    return np.where(far, tail, result)


@dataclass(frozen=True)
class Exponential:
    """Constant failure rate 1 / mean_years: H = a / mean."""

    mean_years: float

    def __post_init__(self) -> None:
        above_zero(mean_years=self.mean_years)

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]."""
        return np.asarray(age_years, dtype=float) / self.mean_years

    def hazard_per_year(self, age_years: FloatArray) -> FloatArray:
        """Return h(age) [1/year]."""
        return np.full(np.shape(age_years), 1 / self.mean_years)


@dataclass(frozen=True)
class Weibull:
    """Weibull with a guarantee time g: H = ((a - g) / scale) ** shape above g, 0 below."""

    shape_ratio: float
    scale_years: float
    guarantee_years: float = 0.0

    def __post_init__(self) -> None:
        above_zero(shape_ratio=self.shape_ratio, scale_years=self.scale_years)
        if not self.guarantee_years >= 0:
            raise ValueError(
                f"guarantee_years is {self.guarantee_years:g}; it has to be 0 or more."
            )

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]."""
        past = np.maximum(np.asarray(age_years, dtype=float) - self.guarantee_years, 0.0)
        result: FloatArray = (past / self.scale_years) ** self.shape_ratio
        return result

    def hazard_per_year(self, age_years: FloatArray) -> FloatArray:
        """Return h(age) = shape / scale ((a - g) / scale) ** (shape - 1) [1/year]."""
        past = np.asarray(age_years, dtype=float) - self.guarantee_years
        with np.errstate(divide="ignore"):  # a shape below 1 starts with an unbounded hazard
            power = (np.maximum(past, 0.0) / self.scale_years) ** (self.shape_ratio - 1)
        return np.where(past < 0, 0.0, self.shape_ratio / self.scale_years * power)


@dataclass(frozen=True)
class Lognormal:
    """ln(life) is normal with mean ln(median) and standard deviation sigma."""

    median_years: float
    sigma_ratio: float

    def __post_init__(self) -> None:
        above_zero(median_years=self.median_years, sigma_ratio=self.sigma_ratio)

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) = -ln Phi(-z), z = ln(age / median) / sigma [-]; exact in both tails."""
        with np.errstate(divide="ignore"):  # ln 0 stands for H(0) = 0
            z = np.log(np.asarray(age_years, dtype=float) / self.median_years) / self.sigma_ratio
        result: FloatArray = -special.log_ndtr(-z)
        return result


@dataclass(frozen=True)
class Gamma:
    """Gamma distributed life with shape k and scale theta (mean k x theta)."""

    shape_ratio: float
    scale_years: float

    def __post_init__(self) -> None:
        above_zero(shape_ratio=self.shape_ratio, scale_years=self.scale_years)

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) = -ln Q(k, age / theta) [-]; exact in both tails."""
        x = np.asarray(age_years, dtype=float) / self.scale_years
        return -_log_gamma_survival(self.shape_ratio, x)


@dataclass(frozen=True)
class Stepped:
    """A failure rate that is constant between given ages: H is a chain of straight lines."""

    from_age_years: tuple[float, ...]
    failure_rate_per_year: tuple[float, ...]

    def __post_init__(self) -> None:
        ages, rates = self.from_age_years, self.failure_rate_per_year
        if len(ages) != len(rates) or not ages or ages[0] != 0:
            raise ValueError("A stepped curve needs a rate for each age, and its first age is 0.")
        if not (np.diff(ages) > 0).all() or not min(rates) >= 0:
            raise ValueError("The ages of a stepped curve rise, and no rate is below 0.")

    def _step(self, age_years: FloatArray) -> IntArray:
        found = np.searchsorted(np.array(self.from_age_years), age_years, side="right") - 1
        return np.asarray(found, dtype=np.int64)

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]."""
        age = np.asarray(age_years, dtype=float)
        starts, step = np.array(self.from_age_years), self._step(age)
        before = np.cumsum(np.append(0.0, self.failure_rate_per_year[:-1] * np.diff(starts)))
        result: FloatArray = before[step] + self.hazard_per_year(age) * (age - starts[step])
        return result

    def hazard_per_year(self, age_years: FloatArray) -> FloatArray:
        """Return h(age) [1/year]; at a step, the rate after it."""
        return np.array(self.failure_rate_per_year, dtype=float)[self._step(age_years)]


#: every curve by its word in `families.curve`
CURVES: dict[str, type[LifeCurve]] = {
    "exponential": Exponential,
    "weibull": Weibull,
    "lognormal": Lognormal,
    "gamma": Gamma,
    "stepped": Stepped,
}


def curve_from(
    kind: str,
    life_years: float,
    shape_ratio: float,
    guarantee_years: float = 0.0,
    steps: Steps | None = None,
) -> LifeCurve:
    """Return the curve that a row of the tables describes; see `columns.csv` for the words.

    `life_years` is the curve's mean, median or scale [years], `shape_ratio` its shape or sigma
    [-]; a curve takes what it has a parameter for. Raises ValueError if they are not allowed.
    """
    if kind not in CURVES:
        raise ValueError(f"{kind!r} is not a life curve; the curves are {', '.join(CURVES)}.")
    if kind == "stepped" and steps is None:
        raise ValueError("A stepped curve needs its steps; none are given.")
    given: dict[str, Any] = dict.fromkeys(("mean_years", "median_years", "scale_years"), life_years)
    given |= dict.fromkeys(("shape_ratio", "sigma_ratio"), shape_ratio)
    given["guarantee_years"] = guarantee_years
    given["from_age_years"], given["failure_rate_per_year"] = steps or ((), ())
    curve: Any = CURVES[kind]
    made: LifeCurve = curve(**{field.name: given[field.name] for field in fields(curve)})
    return made
