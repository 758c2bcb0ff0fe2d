"""Risk of every course of a component in present value, all courses at once."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import FloatArray, IntArray
from bundler.life.curves import LifeCurve
from bundler.life.virtual_age import age_after_work
from bundler.risk.failures import failed_share_by_cell, failures_by_cell


@dataclass(frozen=True)
class Exposure:
    """What a component's failures cost over time, and how it starts.

    grid_years [K+1] from the planning date; loss_cost [K] real money lost by one failure in each
    cell, 0 while the unit is shut, and loss_pv_cost its present value; standing_cost and
    standing_pv_cost [K] the same for standing failed through each cell.
    """

    grid_years: FloatArray
    loss_cost: FloatArray
    loss_pv_cost: FloatArray
    standing_cost: FloatArray
    standing_pv_cost: FloatArray
    on_failure: str
    curve: LifeCurve
    age_years: float


@dataclass(frozen=True)
class Works:
    """The placements of one component: grid index at which each takes effect, what it restores.

    kinds is "I" or "II"; curves holds the curve after the work, None where it stays as it was.
    """

    index: IntArray
    restoration_share: FloatArray
    kinds: tuple[str, ...]
    curves: tuple[LifeCurve | None, ...]


@dataclass(frozen=True)
class Segments:
    """Stretches between works: course row, curve number, start, age at start, end (grid index)."""

    row: IntArray
    curve: IntArray
    start: IntArray
    age_years: FloatArray
    end: IntArray


def _curve_list(exposure: Exposure, works: Works) -> list[LifeCurve]:
    """Return the curves in use: the component's own first, then one a placement that changes it."""
    return [exposure.curve, *[curve or exposure.curve for curve in works.curves]]


def segments(exposure: Exposure, works: Works, steps: IntArray) -> Segments:
    """Return the stretches of all courses; `steps` [n, most] as in `sequences`."""
    times, cells = exposure.grid_years, len(exposure.grid_years) - 1
    count = len(steps)
    start = np.zeros(count, dtype=np.int64)
    age = np.full(count, exposure.age_years)
    after = np.zeros(count)  # age just after the last work
    curve = np.zeros(count, dtype=np.int64)
    is_open = np.ones(count, dtype=bool)
    parts: list[tuple[IntArray, IntArray, IntArray, FloatArray, IntArray]] = []
    is_first_kind = np.array([kind == "I" for kind in works.kinds] + [False])
    changes = np.array([each is not None for each in works.curves] + [False])
    ends = np.append(works.index, cells)
    shares = np.append(works.restoration_share, 0.0)
    idle = np.append((works.restoration_share == 0) & ~changes[:-1], False)
    for step in [*steps.T, np.full(count, -1)]:
        rows = np.flatnonzero(is_open)
        if exposure.on_failure == "renew":  # what restores nothing leaves the renewals as they are
            rows = rows[~idle[step[rows]]]
        end = ends[step[rows]]
        parts.append((rows, curve[rows], start[rows], age[rows], end))
        before = age[rows] + times[end] - times[start[rows]]
        share, first = shares[step[rows]], is_first_kind[step[rows]]
        second = age_after_work(before, before - after[rows], share, "II")
        only = age_after_work(before, before - after[rows], share, "I")
        age[rows] = np.where(first, only, second)
        after[rows] = age[rows]
        start[rows] = end
        curve[rows] = np.where(changes[step[rows]], step[rows] + 1, curve[rows])
        is_open[rows] = step[rows] >= 0
    joined = [np.concatenate(each) for each in zip(*parts, strict=True)]
    return Segments(*joined)


def _unique_starts(cut: Segments) -> tuple[pd.DataFrame, IntArray]:
    """Return the different (curve, start, age) and which of them each segment has."""
    keys = pd.DataFrame({"curve": cut.curve, "start": cut.start, "age": cut.age_years.round(9)})
    codes, unique = pd.factorize(pd.MultiIndex.from_frame(keys))
    table = pd.DataFrame(list(unique), columns=["curve", "start", "age"])
    return table, codes.astype(np.int64)


def _by_start(
    exposure: Exposure, works: Works, cut: Segments
) -> tuple[FloatArray, FloatArray, IntArray]:
    """Return expected failures [n, K] and share stood failed [n, K] of each different start.

    With them, as third, the start of each segment.
    """
    curves = _curve_list(exposure, works)
    table, codes = _unique_starts(cut)
    found = np.zeros((len(table), len(exposure.grid_years) - 1))
    standing = np.zeros_like(found)
    for number, rows in table.groupby("curve"):
        curve, grid = curves[int(str(number))], exposure.grid_years
        start, age = rows["start"].to_numpy(dtype=np.int64), rows["age"].to_numpy()
        found[rows.index] = failures_by_cell(curve, grid, start, age, exposure.on_failure)
        if exposure.on_failure == "stand":
            standing[rows.index] = failed_share_by_cell(curve, grid, start, age)
    return found, standing, codes


def course_risk(exposure: Exposure, works: Works, steps: IntArray) -> FloatArray:
    """Return the present value of the risk of each course [money of the case].

    Sum over its stretches of expected failures in each cell times the loss of a failure there,
    plus, where a failed component stands until its next work, the time it stands; discounted.
    """
    cut = segments(exposure, works, steps)
    found, standing, codes = _by_start(exposure, works, cut)
    money = found * exposure.loss_pv_cost + standing * exposure.standing_pv_cost
    total = np.concatenate([np.zeros((len(money), 1)), np.cumsum(money, axis=1)], axis=1)
    value = total[codes, cut.end] - total[codes, cut.start]
    result: FloatArray = np.bincount(cut.row, weights=value, minlength=len(steps))
    return result


def course_cells(exposure: Exposure, works: Works, step: IntArray) -> tuple[FloatArray, FloatArray]:
    """Return expected failures [K] and real money at risk [K] in each cell for one course."""
    cut = segments(exposure, works, step.reshape(1, -1))
    found, standing, codes = _by_start(exposure, works, cut)
    cells = np.arange(found.shape[1])
    inside = (cells >= cut.start[:, None]) & (cells < cut.end[:, None])
    own = np.where(inside, found[codes], 0.0).sum(axis=0)
    stands = np.where(inside, standing[codes], 0.0).sum(axis=0)
    return own, own * exposure.loss_cost + stands * exposure.standing_cost
