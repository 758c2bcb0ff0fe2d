"""Risk of every course of a component in present value, all courses at once."""

from dataclasses import dataclass

import numpy as np

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


@dataclass(frozen=True)
class Starts:
    """The different (curve, start, age) of one curve: where they stand in the list of all."""

    curve: int
    rows: IntArray
    start: IntArray
    age_years: FloatArray


@dataclass(frozen=True)
class Stretches:
    """All stretches of a component's courses; no life curve's scale changes them.

    cut are the stretches, code the start of each among `starts_count` different ones; starts
    holds these by curve.
    """

    cut: Segments
    code: IntArray
    starts: tuple[Starts, ...]
    starts_count: int
    courses_count: int


def _different(cut: Segments) -> tuple[IntArray, IntArray]:
    """Return one segment of each different (curve, start, age), and which each segment has.

    In order of curve, start and age; ages that differ by less than a billionth of a year are one.
    """
    age = np.round(cut.age_years * 1e9).astype(np.int64)
    order = np.lexsort((age, cut.start, cut.curve))
    keys = np.stack([cut.curve[order], cut.start[order], age[order]])
    is_new = np.append(True, (np.diff(keys, axis=1) != 0).any(axis=0))
    code = np.empty(len(order), dtype=np.int64)
    code[order] = np.cumsum(is_new) - 1
    return order[is_new], code


def stretches(exposure: Exposure, works: Works, steps: IntArray) -> Stretches:
    """Return the stretches of all courses and the different starts among them."""
    cut = segments(exposure, works, steps)
    first, code = _different(cut)
    curve = cut.curve[first]
    starts = tuple(
        Starts(int(number), rows, cut.start[first[rows]], cut.age_years[first[rows]])
        for number in np.unique(curve)
        for rows in [np.flatnonzero(curve == number)]
    )
    return Stretches(cut, code, starts, len(first), len(steps))


def _by_start(
    exposure: Exposure, works: Works, cut: Stretches
) -> tuple[FloatArray, FloatArray | None]:
    """Return expected failures [n, K] and share stood failed [n, K] of each different start.

    The second is None where a failure does not leave the component standing.
    """
    curves, grid = _curve_list(exposure, works), exposure.grid_years
    found = np.zeros((cut.starts_count, len(grid) - 1))
    standing = np.zeros_like(found) if exposure.on_failure == "stand" else None
    for own in cut.starts:
        curve = curves[own.curve]
        found[own.rows] = failures_by_cell(
            curve, grid, own.start, own.age_years, exposure.on_failure
        )
        if standing is not None:
            standing[own.rows] = failed_share_by_cell(curve, grid, own.start, own.age_years)
    return found, standing


def stretch_risk(exposure: Exposure, works: Works, cut: Stretches) -> FloatArray:
    """Return the present value of the risk of each course from its stretches [money of the case].

    Sum over its stretches of expected failures in each cell times the loss of a failure there,
    plus, where a failed component stands until its next work, the time it stands; discounted.
    """
    found, standing = _by_start(exposure, works, cut)
    money = found * exposure.loss_pv_cost
    if standing is not None:
        money += standing * exposure.standing_pv_cost
    total = np.zeros((len(money), money.shape[1] + 1))
    np.cumsum(money, axis=1, out=total[:, 1:])
    value = total[cut.code, cut.cut.end] - total[cut.code, cut.cut.start]
    result: FloatArray = np.bincount(cut.cut.row, weights=value, minlength=cut.courses_count)
    return result


def course_risk(exposure: Exposure, works: Works, steps: IntArray) -> FloatArray:
    """Return the present value of the risk of each course [money of the case]."""
    return stretch_risk(exposure, works, stretches(exposure, works, steps))


def course_cells(exposure: Exposure, works: Works, step: IntArray) -> tuple[FloatArray, FloatArray]:
    """Return expected failures [K] and real money at risk [K] in each cell for one course."""
    held = stretches(exposure, works, step.reshape(1, -1))
    cut = held.cut
    found, standing = _by_start(exposure, works, held)
    cells = np.arange(found.shape[1])
    inside = (cells >= cut.start[:, None]) & (cells < cut.end[:, None])
    own = np.where(inside, found[held.code], 0.0).sum(axis=0)
    if standing is None:
        return own, own * exposure.loss_cost
    stands = np.where(inside, standing[held.code], 0.0).sum(axis=0)
    return own, own * exposure.loss_cost + stands * exposure.standing_cost
