"""How good repairs have been: virtual-age models fitted to histories of repaired systems."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy import optimize, special

from bundler.life.curves import FloatArray
from bundler.life.virtual_age import KINDS

#: fewest failures after which three parameters are fitted (house rule)
LEAST_FAILURES = 8
#: width of the bounds of q from which on the record does not tell repairs apart (house rule)
WIDE_SHARE = 0.8
#: points of q at which the profile is looked at before it is refined
GRID = np.linspace(0.0, 1.0, 41)
#: shapes that are tried lie between these
SHAPES = (0.05, 40.0)


@dataclass(frozen=True)
class RepairHistory:
    """One system: the ages at which it failed and was repaired, and the ages it was watched.

    At `start_years` nothing has been repaired yet; watching ends at `end_years`, which may be the
    last failure.
    """

    failure_years: tuple[float, ...]
    end_years: float
    start_years: float = 0.0

    def __post_init__(self) -> None:
        ages = np.array([self.start_years, *self.failure_years, self.end_years])
        rises = np.diff(ages)
        if not (self.start_years >= 0 and np.isfinite(ages).all()):
            raise ValueError("The ages of a repair history are finite and 0 or more.")
        if not ((rises[:-1] > 0).all() and rises[-1] >= 0 and ages[-1] > ages[0]):
            raise ValueError(
                f"The ages {ages.tolist()} of a repair history do not rise; give each failure its "
                "own age, after the start and not after the end of watching."
            )


@dataclass(frozen=True)
class RepairFit:
    """A Weibull life with repairs that leave the share q of an age; bounds by profile.

    `aic_renewal` and `aic_minimal` are those of the fits with q = 0 and q = 1, which have one
    parameter less.
    """

    kind: str
    shape_ratio: float
    scale_years: float
    left_share: float
    left_low_share: float
    left_high_share: float
    log_likelihood: float
    aic: float
    aic_renewal: float
    aic_minimal: float
    failures_count: int

    @property
    def restoration_share(self) -> float:
        """Return r = 1 - q, the share of the age that a repair takes away [-]."""
        return 1 - self.left_share

    @property
    def is_identified(self) -> bool:
        """Return whether the record tells good repairs from bad ones."""
        return self.left_high_share - self.left_low_share < WIDE_SHARE

    @property
    def words(self) -> str:
        """Return in a sentence what the record says about the repairs."""
        low, high = 1 - self.left_high_share, 1 - self.left_low_share
        span = f"restoration {self.restoration_share:.2f}, bounds {low:.2f} to {high:.2f}"
        if not self.is_identified:
            return (
                f"The record does not tell how good repairs are ({span}); state a restoration "
                "and test it."
            )
        if self.shape_ratio <= 1:
            return (
                f"Failures become rarer with age (shape {self.shape_ratio:.2f}), so that taking "
                f"age away does not help ({span}); look for a cause other than ageing."
            )
        aics = {"": self.aic, "as new": self.aic_renewal, "as old": self.aic_minimal}
        simple = min(aics, key=lambda name: aics[name])
        if simple:
            return f"Repairs that leave a system {simple} describe the record best ({span})."
        return f"Repairs take a part of the age away ({span})."


@dataclass(frozen=True)
class _Spans:
    """Virtual ages after each repair, before the next, and which of those end in a failure."""

    after: FloatArray
    before: FloatArray
    is_failure: tuple[bool, ...]


def _spans(histories: Sequence[RepairHistory], kind: str, left: float) -> _Spans:
    """Return virtual ages: kind I adds left x gap, kind II leaves left x age (Kijima 1989)."""
    after, before, failed = [], [], []
    for system in histories:
        age, last = system.start_years, system.start_years
        ends = [(years, True) for years in system.failure_years] + [(system.end_years, False)]
        for years, is_failure in ends:
            if years > last:
                after.append(age)
                before.append(age + years - last)
                failed.append(is_failure)
            age = left * (age + years - last) if kind == "II" else age + left * (years - last)
            last = years
    return _Spans(np.array(after), np.array(before), tuple(failed))


def _log_likelihood(spans: _Spans, shape: float) -> tuple[float, float]:
    """Return the log-likelihood at the best scale for this shape, and that scale.

    sum ln h(before) - sum (H(before) - H(after)); the best scale^shape is the sum of
    before^shape - after^shape over the failures' count. Ages are taken over the largest.
    """
    top = float(spans.before.max())
    ends = spans.before[np.array(spans.is_failure)] / top
    total = float(np.sum((spans.before / top) ** shape - (spans.after / top) ** shape))
    count = len(ends)
    if not total > 0:
        return -np.inf, top
    scale = (total / count) ** (1 / shape)
    logs = np.log(shape) - shape * np.log(scale) - np.log(top)
    return float(count * logs + (shape - 1) * np.log(ends).sum() - count), scale * top


def _best_shape(spans: _Spans) -> tuple[float, float, float]:
    """Return log-likelihood, shape and scale at the best shape."""
    found = optimize.minimize_scalar(
        lambda log_shape: -_log_likelihood(spans, float(np.exp(log_shape)))[0],
        bounds=tuple(np.log(SHAPES)),
        method="bounded",
        options={"xatol": 1e-10},
    )
    shape = float(np.exp(found.x))
    value, scale = _log_likelihood(spans, shape)
    return value, shape, scale


def _check(histories: Sequence[RepairHistory], kind: str, confidence_chance: float) -> int:
    """Return the count of failures, or refuse."""
    if not 0 < confidence_chance < 1:
        raise ValueError(f"confidence {confidence_chance:g} has to lie between 0 and 1.")
    if kind not in KINDS:
        raise ValueError(f"restoration kind {kind!r} is not known; the kinds are I and II.")
    count = sum(len(system.failure_years) for system in histories)
    if count < LEAST_FAILURES:
        raise ValueError(
            f"{count} failures are too few to tell how good repairs are; at least "
            f"{LEAST_FAILURES} are needed. Pool sister systems or state a restoration."
        )
    return count


def _best_left(profile: Callable[[float], float]) -> float:
    """Return the q in [0, 1] at which the profile is highest: the best of the grid, refined."""
    rough = int(np.argmax([profile(float(left)) for left in GRID]))
    near = float(GRID[max(rough - 1, 0)]), float(GRID[min(rough + 1, len(GRID) - 1)])
    found = optimize.minimize_scalar(
        lambda left: -profile(float(left)), bounds=near, method="bounded", options={"xatol": 1e-9}
    )
    return max(float(found.x), float(GRID[rough]), key=profile)


def _bounds(
    profile: Callable[[float], float], left: float, confidence_chance: float
) -> tuple[float, float]:
    """Return the smallest and largest q within half a chi-square percentile of the best."""
    least = profile(left) - float(special.chdtri(1, 1 - confidence_chance)) / 2
    grid = [float(q) for q in GRID]
    inside = [q for q in grid if profile(q) >= least] + [left]

    def edge(inner: float, outer: float) -> float:
        return float(optimize.brentq(lambda q: profile(float(q)) - least, inner, outer))

    below = [q for q in grid if q < min(inside)]
    above = [q for q in grid if q > max(inside)]
    low = edge(min(inside), below[-1]) if below else 0.0
    return low, edge(max(inside), above[0]) if above else 1.0


def fit_repairs(
    histories: Sequence[RepairHistory], kind: str, confidence_chance: float = 0.9
) -> RepairFit:
    """Return the virtual-age model of largest likelihood, with profile bounds of q.

    Shape, scale and q in [0, 1] by maximum likelihood; the scale in closed form, the shape by
    search at each q. The bounds hold every q whose profile lies within half a chi-square
    percentile of the best; where they reach 0 or 1 the record does not exclude it.
    Kijima (1989); Yanez, Joglar & Modarres (2002), both from memory.

    Parameters
    ----------
    histories : systems that share one life; repairs are all that changed their age.
    kind : "I" a repair takes away from the age gained since the last one, "II" from all of it.
    """
    count = _check(histories, kind, confidence_chance)

    @cache
    def profile(left: float) -> float:
        return _best_shape(_spans(histories, kind, left))[0]

    left = _best_left(profile)
    value, shape, scale = _best_shape(_spans(histories, kind, left))
    if shape > 0.99 * SHAPES[1]:
        raise ValueError(
            "The failures come at nearly equal ages, so that no shape is large enough; a fixed "
            "life describes them. Look whether planned replacements were recorded as failures."
        )
    low, high = _bounds(profile, left, confidence_chance)
    ends = 4 - 2 * profile(0.0), 4 - 2 * profile(1.0)
    return RepairFit(kind, shape, scale, left, low, high, value, 6 - 2 * value, *ends, count)
