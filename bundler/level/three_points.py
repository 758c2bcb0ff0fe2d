"""Durations by three points: least, most likely, greatest; and the bands of estimate classes.

Draws go through `quantile`, so that uniforms that hang together give durations that do. A
distribution of no width is the value itself.
"""

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import Self

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike
from scipy import optimize, special, stats

from bundler.choice import FloatArray
from bundler.errors import DataError, Finding

#: the shares of cases below and above which a band is left [S]: what a band of 80 % means
BAND_CHANCES = (0.1, 0.9)
#: P10 and P90 of an estimate over the estimate, less 1 [S], by class: the middle of the ranges of
#: AACE 18R-97 (class 3 as a published summary has it, the others from memory)
CLASS_BANDS = {
    1: (-0.065, 0.09),
    2: (-0.10, 0.125),
    3: (-0.15, 0.20),
    4: (-0.225, 0.35),
    5: (-0.35, 0.65),
}


@dataclass(frozen=True)
class ThreePoints(ABC):
    """A distribution by three points that rise; all of any unit, the same for all; any shape."""

    low: FloatArray
    likely: FloatArray
    high: FloatArray

    @classmethod
    def of(cls, low: ArrayLike, likely: ArrayLike, high: ArrayLike) -> Self:
        """Return the distribution; raises ValueError where the points do not rise."""
        points = [np.asarray(point, dtype=float) for point in (low, likely, high)]
        if not (np.all(points[0] <= points[1]) and np.all(points[1] <= points[2])):
            raise ValueError(
                "Three points do not rise; least <= most likely <= greatest. Sort them."
            )
        return cls(*points)

    @property
    def place(self) -> FloatArray:
        """Where the most likely stands between least and greatest [S]; 0.5 where these are one."""
        width = self.high - self.low
        share: FloatArray = (self.likely - self.low) / np.where(width > 0, width, 1.0)
        return np.where(width > 0, share, 0.5)

    @abstractmethod
    def mean(self) -> FloatArray:
        """Return the mean, in the unit of the points."""

    @abstractmethod
    def variance(self) -> FloatArray:
        """Return the variance, in the unit of the points, squared."""

    @abstractmethod
    def quantile(self, chance: ArrayLike) -> FloatArray:
        """Return what is not passed with a chance [-], in the unit of the points."""


@dataclass(frozen=True)
class Triangular(ThreePoints):
    """The triangular distribution."""

    def mean(self) -> FloatArray:
        """Return (a + m + b) / 3, in the unit of the points."""
        result: FloatArray = (self.low + self.likely + self.high) / 3
        return result

    def variance(self) -> FloatArray:
        """Return ((a - m)^2 + (m - b)^2 + (b - a)^2) / 36, in the unit of the points, squared."""
        a, m, b = self.low, self.likely, self.high
        result: FloatArray = ((a - m) ** 2 + (m - b) ** 2 + (b - a) ** 2) / 36
        return result

    def quantile(self, chance: ArrayLike) -> FloatArray:
        """Return what is not passed with a chance [-], in the unit of the points."""
        standard = stats.triang.ppf(np.asarray(chance, dtype=float), self.place)
        result: FloatArray = self.low + (self.high - self.low) * standard
        return result


@dataclass(frozen=True)
class Pert(ThreePoints):
    """The beta distribution of the three-point rule: mean (a + 4 m + b) / 6.

    On [a, b] with exponents 1 + 4 (m - a) / (b - a) and 1 + 4 (b - m) / (b - a) (Malcolm et al.
    1959 for the mean; from memory). Its variance is not the ((b - a) / 6)^2 of the rule of thumb.
    """

    def mean(self) -> FloatArray:
        """Return (a + 4 m + b) / 6, in the unit of the points."""
        result: FloatArray = (self.low + 4 * self.likely + self.high) / 6
        return result

    def variance(self) -> FloatArray:
        """Return (mean - a) (b - mean) / 7, in the unit of the points, squared."""
        result: FloatArray = (self.mean() - self.low) * (self.high - self.mean()) / 7
        return result

    def quantile(self, chance: ArrayLike) -> FloatArray:
        """Return what is not passed with a chance [-], in the unit of the points."""
        shares = np.asarray(chance, dtype=float)
        standard = special.betaincinv(1 + 4 * self.place, 5 - 4 * self.place, shares)
        result: FloatArray = self.low + (self.high - self.low) * standard
        return result


#: shapes by their word
SHAPES: dict[str, type[ThreePoints]] = {"triangular": Triangular, "pert": Pert}


def from_band[Kind: ThreePoints](shape: type[Kind], low_share: float, high_share: float) -> Kind:
    """Return the factor on an estimate [-]: mode 1, P10 at 1 + low and P90 at 1 + high.

    Parameters
    ----------
    shape : `Triangular` or `Pert`.
    low_share : P10 of the factor, less 1; 0 or less [S].
    high_share : P90 of the factor, less 1; 0 or more [S].

    The place p of the mode in a distribution from 0 to 1 is the root of
    -low (P90(p) - p) = high (p - P10(p)), which is one; the width follows. Raises ValueError where
    the mode is not in the band, or the least factor would not be above 0.
    """
    if not low_share <= 0 <= high_share:
        raise ValueError(f"A band is {low_share:g} to {high_share:g}; it has to hold 0. Widen it.")
    if low_share == high_share:
        return shape.of(1.0, 1.0, 1.0)

    def arms(place: float) -> FloatArray:
        """Return P10 and P90 of a width of 1, as seen from the mode."""
        return shape.of(0.0, place, 1.0).quantile(BAND_CHANCES) - place

    def skew(place: float) -> float:
        low, high = arms(place)
        return float(high_share * low - low_share * high)

    place = float(optimize.brentq(skew, 0.0, 1.0, xtol=1e-14))
    low, high = arms(place)
    width = (high_share - low_share) / (high - low)
    if width * place >= 1:
        raise ValueError(f"With a low of {low_share:g} a factor would not be above 0. Raise it.")
    return shape.of(1 - width * place, 1.0, 1 + width * (1 - place))


def with_bands(tasks: pd.DataFrame) -> pd.DataFrame:
    """Return the tasks with low_share and high_share [S] by their `estimate_class` (1 to 5).

    Bands that are given already stay. Raises DataError for a class that there is not.
    """
    strange = ~tasks["estimate_class"].isin(CLASS_BANDS)
    if strange.any():
        row = int(strange.to_numpy().argmax())
        found = f"class {tasks['estimate_class'].iloc[row]}"
        remedy = "Give one of them."
        raise DataError(
            [Finding("tasks", row + 1, "estimate_class", found, "classes are 1 to 5", remedy)]
        )
    result = tasks.copy()
    for place, name in enumerate(("low_share", "high_share")):
        band = tasks["estimate_class"].map({key: CLASS_BANDS[key][place] for key in CLASS_BANDS})
        result[name] = tasks[name].fillna(band) if name in tasks else band
    return result
