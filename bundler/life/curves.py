"""Life curves. Each states its cumulative hazard H(age); everything else is derived from it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from scipy import stats

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
Steps = tuple[tuple[float, ...], tuple[float, ...]]


class LifeCurve(Protocol):
    """A life as its cumulative hazard: H(0) = 0, never falling, survival exp(-H)."""

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-] for ages of 0 or more [years], any shape."""


def _above_zero(**values: float) -> None:
    for name, value in values.items():
        if not value > 0:
            raise ValueError(f"{name} is {value:g}; it has to be above 0.")


@dataclass(frozen=True)
class Exponential:
    """Constant failure rate 1 / mean_years: H = a / mean."""

    mean_years: float

    def __post_init__(self) -> None:
        _above_zero(mean_years=self.mean_years)

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]."""
        return np.asarray(age_years, dtype=float) / self.mean_years


@dataclass(frozen=True)
class Weibull:
    """Weibull with a guarantee time g: H = ((a - g) / scale) ** shape above g, 0 below."""

    shape_ratio: float
    scale_years: float
    guarantee_years: float = 0.0

    def __post_init__(self) -> None:
        _above_zero(shape_ratio=self.shape_ratio, scale_years=self.scale_years)
        if self.guarantee_years < 0:
            raise ValueError(f"guarantee_years is {self.guarantee_years:g}; 0 or more is allowed.")

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]."""
        past = np.maximum(np.asarray(age_years, dtype=float) - self.guarantee_years, 0.0)
        result: FloatArray = (past / self.scale_years) ** self.shape_ratio
        return result


@dataclass(frozen=True)
class Lognormal:
    """ln(life) is normal with mean ln(median) and standard deviation sigma."""

    median_years: float
    sigma_ratio: float

    def __post_init__(self) -> None:
        _above_zero(median_years=self.median_years, sigma_ratio=self.sigma_ratio)

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-], exact in the far tail."""
        life = stats.lognorm(self.sigma_ratio, scale=self.median_years)
        result: FloatArray = -life.logsf(np.asarray(age_years, dtype=float))
        return result


@dataclass(frozen=True)
class Gamma:
    """Gamma distributed life with shape k and scale theta (mean k x theta)."""

    shape_ratio: float
    scale_years: float

    def __post_init__(self) -> None:
        _above_zero(shape_ratio=self.shape_ratio, scale_years=self.scale_years)

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]."""
        life = stats.gamma(self.shape_ratio, scale=self.scale_years)
        result: FloatArray = -life.logsf(np.asarray(age_years, dtype=float))
        return result


@dataclass(frozen=True)
class Stepped:
    """A failure rate that is constant between given ages: H is a chain of straight lines."""

    from_age_years: tuple[float, ...]
    failure_rate_per_year: tuple[float, ...]

    def __post_init__(self) -> None:
        ages, rates = self.from_age_years, self.failure_rate_per_year
        if len(ages) != len(rates) or not ages or ages[0] != 0:
            raise ValueError("A stepped curve needs a rate for each age, and its first age is 0.")
        if any(b <= a for a, b in zip(ages, ages[1:], strict=False)) or min(rates) < 0:
            raise ValueError("The ages of a stepped curve rise, and no rate is below 0.")

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]."""
        age = np.asarray(age_years, dtype=float)[..., None]
        starts = np.array(self.from_age_years)
        ends = np.append(starts[1:], np.inf)
        inside = np.clip(np.minimum(age, ends) - starts, 0.0, None)
        result: FloatArray = (inside * np.array(self.failure_rate_per_year)).sum(axis=-1)
        return result


def _weibull(life: float, shape: float, guarantee: float, steps: Steps | None) -> LifeCurve:
    return Weibull(shape, life, guarantee)


def _stepped(life: float, shape: float, guarantee: float, steps: Steps | None) -> LifeCurve:
    if steps is None:
        raise ValueError("A stepped curve needs its steps.")
    return Stepped(*steps)


#: how each word for a curve is made from (life_years, shape_ratio, guarantee_years, steps)
CURVES: dict[str, Callable[[float, float, float, Steps | None], LifeCurve]] = {
    "exponential": lambda life, shape, guarantee, steps: Exponential(life),
    "weibull": _weibull,
    "lognormal": lambda life, shape, guarantee, steps: Lognormal(life, shape),
    "gamma": lambda life, shape, guarantee, steps: Gamma(shape, life),
    "stepped": _stepped,
}


def curve_from(
    kind: str,
    life_years: float,
    shape_ratio: float,
    guarantee_years: float = 0.0,
    steps: Steps | None = None,
) -> LifeCurve:
    """Return the curve that a row of the tables describes; see `columns.csv` for the words.

    Raises ValueError if the parameters are not allowed.
    """
    return CURVES[kind](life_years, shape_ratio, guarantee_years, steps)
