"""Expected failures when each repair takes away only a part of the age."""

import numpy as np

from bundler.life.curves import FloatArray, LifeCurve


def _kind_one(curve: LifeCurve, horizon_years: float, left: float, steps: int) -> float:
    """Return expected failures where repair takes away a share of the age just gained.

    The virtual age right after a repair at time s is left x s, whatever happened before, so
    failures follow m(t) = f(t; 0) + sum of m(s) f(t; s), f the chance from an age of left x s.
    Failures land in the middle of their step.
    """
    edges = np.linspace(0.0, horizon_years, steps + 1)
    middle = (edges[1:] + edges[:-1]) / 2
    found = -np.diff(np.exp(-curve.cumulative_hazard(edges)))
    for step in range(steps):
        ahead = np.concatenate([[middle[step]], edges[step + 1 :]]) - middle[step]
        age = left * middle[step] + ahead
        alive = np.exp(curve.cumulative_hazard(age[:1]) - curve.cumulative_hazard(age))
        chance = -np.diff(alive)
        found[step] /= 1 - chance[0]
        found[step + 1 :] += found[step] * chance[1:]
    return float(found.sum())


def _kind_two(curve: LifeCurve, horizon_years: float, left: float, steps: int) -> float:
    """Return expected failures where repair takes away a share of the whole age.

    A mass of items over virtual age grows older step by step; what fails in a step lands at
    left x its age (the middle of the step), shared between the two nearest points.
    """
    step = horizon_years / steps
    ages: FloatArray = np.linspace(0.0, horizon_years, steps + 1)
    held = curve.cumulative_hazard(ages)
    fails = -np.expm1(held[:-1] - held[1:])
    landing = left * (ages[:-1] + step / 2) + step / 2  # half a step passes after the repair
    low = np.minimum((landing / step).astype(np.int64), steps - 1)
    upper = landing / step - low
    mass = np.zeros(steps + 1)
    mass[0], total = 1.0, 0.0
    for _ in range(steps):
        gone = mass[:-1] * fails
        total += gone.sum()
        older = np.zeros(steps + 1)
        older[1:] = mass[:-1] - gone
        older += np.bincount(low, gone * (1 - upper), steps + 1)
        older += np.bincount(low + 1, gone * upper, steps + 1)
        mass = older
    return float(total)


def _kind_two_refined(curve: LifeCurve, horizon_years: float, left: float, steps: int) -> float:
    """Return the same with the first-order error taken away: twice the fine minus the coarse."""
    coarse, fine = (_kind_two(curve, horizon_years, left, count) for count in (steps // 2, steps))
    return 2 * fine - coarse


def expected_failures_imperfect(
    curve: LifeCurve,
    horizon_years: float,
    restoration_share: float,
    kind: str,
    steps_count: int = 2000,
) -> float:
    """Return expected failures of a new item to the horizon under imperfect repair [-].

    Parameters
    ----------
    restoration_share : share r of the age taken away by each repair; q = 1 - r in the models of
        Kijima (1989). 0 is minimal repair, 1 renewal.
    kind : "I" of the age gained since the last repair, "II" of the whole age.
    steps_count : steps to the horizon; the error falls with their square.
    """
    methods = {"I": _kind_one, "II": _kind_two_refined}
    if kind not in methods:
        raise ValueError(f"restoration kind {kind!r} is not known; I and II are.")
    return methods[kind](curve, horizon_years, 1 - restoration_share, steps_count)
