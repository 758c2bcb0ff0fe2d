"""Profile likelihood: how the best likelihood falls as one quantity is moved off its estimate."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import optimize

from bundler.life.curves import FloatArray
from bundler.life.fit import LOG_ODDS, Fit, kind_of
from bundler.life.kinds import Kind
from bundler.life.likelihood import Likelihood, likelihood_of
from bundler.life.lives import Lives

Working = tuple[float, ...]
#: the pinned quantity and the free ones to (ln scale, ln shape, log-odds)
Pin = Callable[[float, FloatArray], Working]
#: log-odds from which a share that was fitted as 1 is let go again
FREE_LOG_ODDS = 3.0


def _freed(lost: Callable[[FloatArray], float], start: FloatArray) -> tuple[FloatArray, float]:
    """Return the free parameters that lose least, and what they lose."""
    if len(start) == 0:
        return start, lost(start)
    if len(start) == 1:
        near = (start[0] - 0.1, start[0] + 0.1)
        try:
            one = optimize.minimize_scalar(
                lambda value: lost(np.array([value])), bracket=near, options={"xtol": 1e-6}
            )
        except RuntimeError:  # no bracket, as every value near is as bad
            return start, lost(start)
        return np.array([one.x]), float(one.fun)
    simplex = np.vstack([start, start + np.diag(np.linspace(0.1, 0.4, len(start)))])
    options: Any = {"xatol": 1e-4, "fatol": 1e-9, "maxfev": 500, "initial_simplex": simplex}
    found = optimize.minimize(lost, start, method="Nelder-Mead", options=options)
    return found.x, float(found.fun)


@dataclass(frozen=True, eq=False)
class Profile:
    """The profile of one quantity of a fit.

    Parameters
    ----------
    at : the quantity's estimate, in its working coordinate (a logarithm or log-odds).
    pin : working parameters from the quantity and the free parameters.
    free : the free parameters at the estimate.
    """

    likelihood: Likelihood
    top: float
    at: float
    pin: Pin
    free: FloatArray

    def signed_root(self) -> Callable[[float], float]:
        """Return r(x) = sign(x - estimate) sqrt(2 (top - profile(x))) as a function.

        It starts each search from where the last one ended: walk outwards from the estimate.
        """
        free = self.free

        def root(x: float) -> float:
            nonlocal free
            free, lost = _freed(lambda given: -self.likelihood(*self.pin(x, given)), free)
            return float(np.sign(x - self.at) * np.sqrt(max(2 * (self.top + lost), 0.0)))

        return root

    def end(self, side: int, root_size: float, far: float) -> float:
        """Return where |r| reaches a size on a side (-1, 1); infinite if not within `far`."""
        root = self.signed_root()
        slope = max(abs(root(self.at + 0.02 * side)) / 0.02, root_size / 5)
        inner, step = self.at, 1.1 * root_size / slope
        while step < far:
            outer = self.at + side * step
            if side * root(outer) >= root_size:
                found = optimize.brentq(
                    lambda x: side * root(x) - root_size, inner, outer, xtol=1e-8, rtol=1e-8
                )
                return float(found)
            inner, step = outer, 1.6 * step
        return side * np.inf


@dataclass(frozen=True, eq=False)
class _Frame:
    """What the profiles of one fit share: its likelihood and its working parameters."""

    fit: Fit
    kind: Kind
    likelihood: Likelihood
    point: Working

    def free(self, *places: int) -> FloatArray:
        """Return working parameters by place (0 scale, 1 shape, 2 share), as many as there are.

        A share of 1 is let go a little, or no search would leave it.
        """
        held = [i for i in places if i < len(self.kind.names)]
        return np.array(
            [min(self.point[i], FREE_LOG_ODDS) if i == 2 else self.point[i] for i in held]
        )

    def profile(self, at: float, pin: Pin, free: FloatArray) -> Profile:
        return Profile(self.likelihood, self.fit.log_likelihood, at, pin, free)


def _frame(lives: Lives, fit: Fit) -> _Frame:
    """Return the frame of a fit; raises ValueError if the fit is not of these lives."""
    kind = kind_of(fit.kind)
    values = [fit.parameters[name] for name in kind.names]
    point = [float(np.log(value)) for value in values]
    if kind.has_share:
        with np.errstate(divide="ignore"):
            odds = values[2] / np.float64(1 - values[2])
        point[2] = float(np.minimum(np.log(odds), LOG_ODDS))
    likelihood = likelihood_of(lives, kind)
    reached = likelihood.of_curve(fit.curve)
    if not abs(reached - fit.log_likelihood) <= 1e-6 * (1 + abs(reached)):
        raise ValueError(
            f"The fit has a log-likelihood of {fit.log_likelihood:g}, but {reached:g} under these "
            "lives; give the lives that it was fitted to."
        )
    return _Frame(fit, kind, likelihood, tuple(point))


def scale_profile(lives: Lives, fit: Fit) -> Profile:
    """Return the profile of the scale (mean, median or scale), in its logarithm."""
    frame = _frame(lives, fit)
    return frame.profile(frame.point[0], lambda x, given: (x, *given), frame.free(1, 2))


def shape_profile(lives: Lives, fit: Fit) -> Profile:
    """Return the profile of the shape or sigma, in its logarithm.

    What is free is the age that the failures fix best, not the scale: it hardly moves.
    """
    frame, kind = _frame(lives, fit), kind_of(fit.kind)
    share = 0.5 if kind.has_share else min(fit.failures_count / fit.items_count, 0.63)
    hazard = float(-np.log1p(-share))

    def pin(x: float, given: FloatArray) -> Working:
        with np.errstate(all="ignore"):
            return (given[0] - kind.log_age(float(np.exp(x)), hazard), x, *given[1:])

    free = frame.free(0, 2)
    free[0] += kind.log_age(float(np.exp(frame.point[1])), hazard)
    return frame.profile(frame.point[1], pin, free)


def share_profile(lives: Lives, fit: Fit) -> Profile:
    """Return the profile of the share that can ever fail, in its log-odds."""
    frame = _frame(lives, fit)
    return frame.profile(frame.point[2], lambda x, given: (given[0], given[1], x), frame.free(0, 1))


def _curve_pin(kind: Kind, log_age: Callable[[float], float], log_hazard: float | None) -> Pin:
    """Return a pin of the curve at a point: its ln age by x, or its ln H by x where none is set."""

    def pin(x: float, given: FloatArray) -> Working:
        shape, share = 1.0, 1.0
        hazard = float(np.exp(x if log_hazard is None else log_hazard))
        with np.errstate(all="ignore"):
            if len(given):
                shape = float(np.exp(given[0]))
            if len(given) > 1:
                share = float(1 / (1 + np.exp(-given[1])))
            return (kind.log_scale(log_age(x), hazard, shape, share), *given)

    return pin


def age_profile(lives: Lives, fit: Fit, hazard: float, age_years: float) -> Profile:
    """Return the profile of the age at which H reaches a value, in its logarithm."""
    frame = _frame(lives, fit)
    pin = _curve_pin(frame.kind, lambda x: x, float(np.log(hazard)))
    return frame.profile(float(np.log(age_years)), pin, frame.free(1, 2))


def hazard_profile(lives: Lives, fit: Fit, hazard: float, age_years: float) -> Profile:
    """Return the profile of H at an age, in its logarithm."""
    frame = _frame(lives, fit)
    log_age = float(np.log(age_years))
    pin = _curve_pin(frame.kind, lambda x: log_age, None)
    return frame.profile(float(np.log(hazard)), pin, frame.free(1, 2))
