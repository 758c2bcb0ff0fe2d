"""Courses as stretches between works, all courses of a component at once; no life needed."""

from dataclasses import dataclass

import numpy as np

from bundler.choice import FloatArray, IntArray
from bundler.courses.exposure import Exposure, Works
from bundler.life.virtual_age import age_after_work


@dataclass(frozen=True)
class Segments:
    """Stretches between works: course row, curve number, start, age at start, end (grid index).

    Where failures renew, a work that takes only a part of the age away changes what has not failed
    yet; what has is younger. Then previous is the stretch before (-1: none), depth how many there
    are, and until the index up to which what failed in this stretch goes on being renewed;
    elsewhere until is the end.
    """

    row: IntArray
    curve: IntArray
    start: IntArray
    age_years: FloatArray
    end: IntArray
    previous: IntArray
    depth: IntArray
    until: IntArray


@dataclass(frozen=True)
class _Effects:
    """What each placement does, and a last one for the end: see `Works`."""

    end: IntArray
    share: FloatArray
    is_first_kind: np.ndarray
    changes: np.ndarray
    is_skipped: np.ndarray
    is_whole: np.ndarray


def _effects(exposure: Exposure, works: Works) -> _Effects:
    """Return what placements do; where failures renew, what restores nothing is skipped."""
    renews = exposure.on_failure == "renew"
    changes = np.array([each is not None for each in works.curves] + [False])
    first = np.array([kind == "I" for kind in works.kinds] + [False])
    share = np.append(works.restoration_share, 0.0)
    idle = (share == 0) & ~changes
    idle[-1] = False
    end = np.append(works.index, len(exposure.grid_years) - 1)
    whole = ((share == 1) & ~first) | (not renews)
    return _Effects(end, share, first, changes, idle & renews, whole)


class _Walk:
    """Courses followed step by step, all at once; one value a course."""

    def __init__(self, exposure: Exposure, works: Works, count: int) -> None:
        self.times, self.does = exposure.grid_years, _effects(exposure, works)
        self.start, self.curve = np.zeros((2, count), dtype=np.int64)
        self.age, self.after = np.full(count, exposure.age_years), np.zeros(count)
        self.last, self.depth = np.full(count, -1, dtype=np.int64), np.zeros(count, dtype=np.int64)
        self.is_open = np.ones(count, dtype=bool)
        self.seen = 0

    def part(self, step: IntArray) -> tuple[IntArray, ...]:
        """Return the stretches that end with this step of every course, and take the step."""
        does, rows = self.does, np.flatnonzero(self.is_open & ~self.does.is_skipped[step])
        taken, end = step[rows], does.end[step[rows]]
        found = (
            rows, self.curve[rows], self.start[rows], self.age[rows], end, self.last[rows],
            self.depth[rows],
        )  # fmt: skip
        before = self.age[rows] + self.times[end] - self.times[self.start[rows]]
        share, gained = does.share[taken], before - self.after[rows]
        second = age_after_work(before, gained, share, "II")
        only = age_after_work(before, gained, share, "I")
        self.age[rows] = np.where(does.is_first_kind[taken], only, second)
        self.after[rows], self.start[rows] = self.age[rows], end
        self.curve[rows] = np.where(does.changes[taken], taken + 1, self.curve[rows])
        whole, here = does.is_whole[taken], self.seen + np.arange(len(rows))
        self.last[rows] = np.where(whole, -1, here)
        self.depth[rows] = np.where(whole, 0, self.depth[rows] + 1)
        self.is_open[rows] = taken >= 0
        self.seen += len(rows)
        return found


def _until(parts: list[tuple[IntArray, ...]], count: int, cells: int) -> IntArray:
    """Return for each stretch the index at which all of its component is renewed next."""
    reached, found = np.full(count, cells, dtype=np.int64), []
    for rows, _, start, _, _, previous, _ in reversed(parts):
        found.append(reached[rows])
        reached[rows] = np.where(previous < 0, start, reached[rows])
    return np.concatenate(found[::-1])


def segments(exposure: Exposure, works: Works, steps: IntArray) -> Segments:
    """Return the stretches of all courses; `steps` [n, most] as in `sequences`."""
    count, cells = len(steps), len(exposure.grid_years) - 1
    walk = _Walk(exposure, works, count)
    parts = [walk.part(step) for step in [*steps.T, np.full(count, -1)]]
    row, curve, start, age, end, previous, depth = (
        np.concatenate(each) for each in zip(*parts, strict=True)
    )
    until = _until(parts, count, cells)
    return Segments(row, curve, start, age, end, previous, depth, until)


@dataclass(frozen=True)
class Starts:
    """The different starts of one curve: where they stand in the list of all, and what they are.

    stop is the index from which nothing fails for the first time any more.
    """

    curve: int
    rows: IntArray
    start: IntArray
    age_years: FloatArray
    stop: IntArray


@dataclass(frozen=True)
class Stretches:
    """All stretches of a component's courses; no life curve's scale changes them.

    cut are the stretches, code the start of each among `starts_count` different ones; starts
    holds these by curve. removed is the place in `Exposure.removal_pv_cost` of each course.
    """

    cut: Segments
    code: IntArray
    starts: tuple[Starts, ...]
    starts_count: int
    courses_count: int
    removed: IntArray


def _removed(works: Works, steps: IntArray, cells: int) -> IntArray:
    """Return for each course the grid point at which it first frees a stock; cells + 1: never."""
    point = np.full(len(works.index) + 1, cells + 1, dtype=np.int64)  # last: no work
    if works.frees.any():
        point[:-1][works.frees] = works.index[works.frees]
    result: IntArray = point[steps].min(axis=1)
    return result


def _different(cut: Segments, cells: int) -> tuple[IntArray, IntArray, IntArray]:
    """Return one segment of each different start, which one each segment has, and their stops.

    Starts differ by curve, index, age and stop, in this order; ages that differ by less than a
    billionth of a year are one.
    """
    age = np.round(cut.age_years * 1e9).astype(np.int64)
    stop = np.where(cut.until > cut.end, cut.end, cells)
    order = np.lexsort((stop, age, cut.start, cut.curve))
    keys = np.stack([cut.curve[order], cut.start[order], age[order], stop[order]])
    is_new = np.append(True, (np.diff(keys, axis=1) != 0).any(axis=0))
    code = np.empty(len(order), dtype=np.int64)
    code[order] = np.cumsum(is_new) - 1
    first = order[is_new]
    return first, code, stop[first]


def stretches(exposure: Exposure, works: Works, steps: IntArray) -> Stretches:
    """Return the stretches of all courses and the different starts among them."""
    cut = segments(exposure, works, steps)
    first, code, stop = _different(cut, len(exposure.grid_years) - 1)
    curve = cut.curve[first]
    starts = tuple(
        Starts(int(number), rows, cut.start[first[rows]], cut.age_years[first[rows]], stop[rows])
        for number in np.unique(curve)
        for rows in [np.flatnonzero(curve == number)]
    )
    removed = _removed(works, steps, len(exposure.grid_years) - 1)
    return Stretches(cut, code, starts, len(first), len(steps), removed)
