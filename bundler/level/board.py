"""A schedule while it is filled, task by task, and the schedule in numbers that comes out."""

from dataclasses import dataclass

import numpy as np

from bundler.choice import IntArray
from bundler.level.arrays import BoolArray, Parts


@dataclass(frozen=True)
class Placed:
    """A schedule in numbers: mode [n], a row of the modes or -1 where left out; start [n]."""

    mode: IntArray
    start: IntArray

    def end(self, parts: Parts) -> IntArray:
        """Return the slot before which each task has ended [n]; 0 where it is left out."""
        end, runs = np.zeros_like(self.start), self.mode >= 0
        end[runs] = self.start[runs] + parts.modes.duration[self.mode[runs]]
        return end

    def load(self, parts: Parts) -> IntArray:
        """Return what is taken in each slot [resources, horizon]."""
        runs = self.mode >= 0
        steps = np.zeros((parts.horizon + 1, len(parts.resources)), dtype=np.int64)
        np.add.at(steps, self.start[runs], parts.modes.needs[self.mode[runs]])
        np.add.at(steps, self.end(parts)[runs], -parts.modes.needs[self.mode[runs]])
        return steps.cumsum(axis=0)[:-1].T

    def is_used(self, parts: Parts) -> BoolArray:
        """Return which bands are used [b]: where more is taken than is free without any."""
        if not len(parts.bands.start):
            return np.zeros(0, dtype=bool)
        over = self.load(parts) > parts.base
        return (over[parts.bands.resource] & (parts.bands.extra > 0)).any(axis=1)

    def rank(self, parts: Parts) -> tuple[int, int, int]:
        """Return value left out, finish, bands used: less is better, in this order."""
        left = int(parts.value[self.mode < 0].sum())
        return left, int(self.end(parts).max(initial=0)), int(self.is_used(parts).sum())

    def peaks(self, parts: Parts) -> IntArray:
        """Return the most that is taken of each resource in a slot, with what others hold."""
        return (self.load(parts) + parts.taken).max(axis=1, initial=0)


@dataclass(frozen=True)
class _Mode:
    """A mode as the board needs it: its row, duration, the resources it takes and how much."""

    row: int
    length: int
    used: IntArray
    needs: IntArray
    total: IntArray


def _mode_lists(parts: Parts) -> list[list[_Mode]]:
    modes, found = parts.modes, [list[_Mode]() for _ in parts.tasks]
    for row, task in enumerate(modes.task.tolist()):
        used = np.flatnonzero(modes.needs[row])
        needs = modes.needs[row, used][:, None]
        length, total = int(modes.duration[row]), modes.total_needs[row]
        found[task].append(_Mode(row, length, used, needs, total))
    return found


def _before(parts: Parts) -> list[list[tuple[int, int, bool]]]:
    """Return what each task follows: the task, the lag, whether it is needed."""
    found: list[list[tuple[int, int, bool]]] = [[] for _ in parts.tasks]
    arcs = (parts.follows.first, parts.follows.second, parts.follows.lag, parts.follows.is_needed)
    for first, second, lag, is_needed in zip(*(arc.tolist() for arc in arcs), strict=True):
        if lag > -parts.horizon:
            found[second].append((first, lag, is_needed))
    return found


def _least_totals(parts: Parts) -> IntArray:
    """Return what each task that may not be left out takes of each total at least."""
    least = np.full((len(parts.tasks), len(parts.totals)), np.iinfo(np.int64).max)
    np.minimum.at(least, parts.modes.task, parts.modes.total_needs)
    return np.where((parts.value == 0)[:, None], least, 0)


class Board:
    """What is still free while tasks are put in; bands `allowed` (positions) may be used."""

    def __init__(self, parts: Parts, allowed: IntArray) -> None:
        self.parts = parts
        self.whole = parts.base.copy()
        np.add.at(self.whole, parts.bands.resource[allowed], parts.bands.extra[allowed])
        self.modes, self.before = _mode_lists(parts), _before(parts)
        self.apart: list[list[int]] = [[] for _ in parts.tasks]
        for one, other in parts.apart.tolist():
            self.apart[one].append(other)
            self.apart[other].append(one)
        self.least = _least_totals(parts)
        self.begin(parts.earliest)

    def begin(self, earliest: IntArray) -> None:
        """Empty the board and let tasks run from these slots on [n]."""
        self.earliest, self.latest = earliest.tolist(), self.parts.latest.tolist()
        self.clear()

    def clear(self) -> None:
        """Empty the board."""
        count = len(self.parts.tasks)
        self.free = self.whole.copy()
        self.spare = self.parts.total_amount - self.least.sum(axis=0)
        self.mode, self.start = np.full(count, -1), np.zeros(count, dtype=np.int64)
        self.end = [-1] * count
        self.is_closed = np.zeros((count, self.parts.horizon), dtype=bool)

    def placed(self) -> Placed:
        """Return what is on the board."""
        return Placed(self.mode, self.start)

    def first_slot(self, task: int, mode: _Mode, ready: int) -> int:
        """Return the first slot at which a mode fits, or -1."""
        length, latest = mode.length, self.latest[task]
        if ready + length > latest:
            return -1
        is_bad = (self.free[mode.used, ready:latest] < mode.needs).any(axis=0)
        if self.apart[task]:
            is_bad |= self.is_closed[task, ready:latest]
        bad = is_bad.nonzero()[0]
        if not len(bad) or bad[0] >= length:
            return ready
        gaps = np.empty(len(bad), dtype=np.int64)
        gaps[:-1], gaps[-1] = bad[1:] - bad[:-1] - 1, latest - ready - 1 - bad[-1]
        wide = gaps >= length
        place = int(wide.argmax())
        return ready + int(bad[place]) + 1 if wide[place] else -1

    def ready(self, task: int) -> int:
        """Return the slot from which a task may run; -1 where one it needs is left out."""
        ready = self.earliest[task]
        for first, lag, is_needed in self.before[task]:
            if self.end[first] >= 0:
                ready = max(ready, self.end[first] + lag)
            elif is_needed:
                return -1
        return int(ready)

    def put(self, task: int) -> None:
        """Put a task where it ends first, if it fits anywhere."""
        ready = self.ready(task)
        self.spare += self.least[task]
        best: tuple[int, int, int] | None = None
        for number, mode in enumerate(self.modes[task] if ready >= 0 else []):
            if (mode.total > self.spare).any():
                continue
            start = self.first_slot(task, mode, ready)
            if start >= 0 and (best is None or start + mode.length < best[0]):
                best = (start + mode.length, number, start)
        if best:
            self._take(task, self.modes[task][best[1]], best[2])
        else:
            self.spare -= self.least[task]

    def _take(self, task: int, mode: _Mode, start: int) -> None:
        end = start + mode.length
        self.mode[task], self.start[task], self.end[task] = mode.row, start, end
        self.free[mode.used, start:end] -= mode.needs
        self.spare -= mode.total
        for other in self.apart[task]:
            self.is_closed[other, start:end] = True
