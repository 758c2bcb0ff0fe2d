"""Condition readings to a process of wear: Wiener or gamma, by maximum likelihood of its growths.

Readings stand in columns of equal length (item, time [years], value) in any order; all items
share one process.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike
from scipy import optimize, special

from bundler.life.curves import FloatArray


@dataclass(frozen=True)
class WienerFit:
    """A Wiener process: drift, its standard error, sigma (0 if the reading error explains all)."""

    drift_per_year: float
    drift_sd_per_year: float
    sigma_per_root_year: float


@dataclass(frozen=True)
class GammaFit:
    """Growth by a gamma process: X(t) ~ Gamma(shape_per_year t, scale)."""

    shape_per_year: float
    scale: float


def _increments(
    items: ArrayLike, times_years: ArrayLike, values: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return spans, growths and the item number of what lies between readings, item by item."""
    table = pd.DataFrame({"item": items, "time": times_years, "value": values})
    table["item"] = pd.factorize(table["item"])[0]
    table = table.sort_values(["item", "time"], kind="stable").astype(float)
    steps = table.diff()[table["item"].diff() == 0]
    if not (steps["time"] > 0).all() or len(steps) < 2:
        raise ValueError(
            f"{len(steps)} steps between readings are found; a process needs two or more, and "
            "the readings of an item at different times."
        )
    whose = table.loc[steps.index, "item"]
    return steps["time"].to_numpy(), steps["value"].to_numpy(), whose.to_numpy()


def _drift(x: FloatArray, y: FloatArray, variance: FloatArray) -> float:
    return float((x * y / variance).sum() / (x**2 / variance).sum())


def _likely_variance(x: FloatArray, y: FloatArray, error: FloatArray) -> float:
    """Return the most likely s2 of independent y ~ normal(drift x, s2 + error), 0 or above."""
    plain = float(((y - _drift(x, y, np.ones_like(y)) * x) ** 2).mean())
    if plain == 0 or not error.any():
        return plain

    def misfit(s2: float) -> float:
        variance = s2 + error
        return float((np.log(variance) + (y - _drift(x, y, variance) * x) ** 2 / variance).sum())

    tried = plain * np.append(0.0, np.geomspace(1e-8, 4.0, 120))
    best = int(np.argmin([misfit(value) for value in tried]))
    bounds = (tried[max(best - 1, 0)], tried[min(best + 1, len(tried) - 1)])
    inside = optimize.minimize_scalar(misfit, bounds=bounds, options={"xatol": 1e-10 * plain})
    return min((float(inside.x), float(tried[best])), key=misfit)


def fit_wiener(
    items: ArrayLike, times_years: ArrayLike, values: ArrayLike, reading_sd: float = 0.0
) -> WienerFit:
    """Return the Wiener process most likely to give the readings, all items sharing it.

    Growths are normal with mean drift x span and variance sigma^2 x span; a reading error adds
    its own to both steps that share the reading. Maximum likelihood: with few steps sigma comes
    out too small by about sqrt(1 - 1 / steps).
    """
    if not reading_sd >= 0:
        raise ValueError(f"reading_sd is {reading_sd:g}; it has to be 0 or more.")
    span, growth, whose = _increments(items, times_years, values)
    root, shares = np.sqrt(span), (np.diff(whose) == 0).astype(float)
    meets = np.diag(np.full(len(span), 2.0)) - np.diag(shares, 1) - np.diag(shares, -1)
    error, turn = np.linalg.eigh(reading_sd**2 * meets / np.outer(root, root))
    x, y = turn.T @ root, turn.T @ (growth / root)  # independent, with variance sigma^2 + error
    variance = _likely_variance(x, y, error) + error
    if not variance.any():  # a line without any scatter
        return WienerFit(_drift(x, y, np.ones_like(y)), 0.0, 0.0)
    sigma = np.sqrt(np.maximum(variance[0] - error[0], 0.0))
    return WienerFit(_drift(x, y, variance), float((x**2 / variance).sum() ** -0.5), float(sigma))


def fit_gamma(items: ArrayLike, times_years: ArrayLike, values: ArrayLike) -> GammaFit:
    """Return the gamma process most likely to give the readings, all items sharing it.

    The scale is the growth over shape x time, and the shape solves
    sum span (ln growth - psi(shape span) - ln scale) = 0, which has one root. Readings without
    error; van Noortwijk (2009) section 4 (from memory). Raises ValueError where a value does not
    grow, or where all grow at the very same rate.
    """
    span, growth, _ = _increments(items, times_years, values)
    if not (growth > 0).all():
        raise ValueError(
            f"of the steps between readings, {int((growth <= 0).sum())} do not grow, which a gamma "
            "process always does; use the model wiener with the error of a reading."
        )
    mean = growth.sum() / span.sum()

    def slope(log_shape: float) -> float:
        shape = np.exp(log_shape)
        steps = np.log(growth * shape / mean) - special.digamma(shape * span)
        return float((span * steps).sum())

    high = -np.log(span.mean())  # a moments start is not needed: the slope falls all the way
    low = high
    while slope(low) < 0:
        low -= 2.0
    while slope(high) > 0:
        high += 2.0
        if high > 30 - np.log(span.mean()):
            raise ValueError("All steps grow at the same rate; a line fits, a gamma process not.")
    shape = float(np.exp(optimize.brentq(slope, low, high, xtol=1e-13)))
    return GammaFit(shape, float(mean / shape))
