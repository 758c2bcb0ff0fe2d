"""Own lower bounds of the finish, without a solver: longest path, and work against what is free.

Both look only at tasks that run in every schedule that counts, so they hold for all of them.
"""

from dataclasses import dataclass

import numpy as np

from bundler.choice import IntArray
from bundler.level.arrays import BoolArray, Parts

#: bytes that one array over tasks and intervals may take; above it fewer intervals are looked at
MOST_CELLS = 4_000_000


@dataclass(frozen=True)
class Reach:
    """How early tasks can start and what comes after: early [n], tail [n], length [n] in slots.

    tail, from the end of a task until all have ended; length, of the shortest mode.
    """

    early: IntArray
    tail: IntArray
    length: IntArray


def must_run(parts: Parts, left_value: int) -> BoolArray:
    """Return which tasks run in every schedule that leaves out no more than this value [n]."""
    must: BoolArray = (parts.value == 0) | (parts.value > left_value)
    needed = parts.follows.is_needed
    for _ in range(len(must)):
        before = must.copy()
        asked = parts.follows.first[needed & must[parts.follows.second]]
        must[asked] = True
        if (must == before).all():
            break
    return must


def shortest(parts: Parts) -> IntArray:
    """Return the duration of each task's shortest mode [n] in slots; 0 without any."""
    most = np.iinfo(np.int64).max
    length = np.full(len(parts.tasks), most)
    np.minimum.at(length, parts.modes.task, parts.modes.duration)
    return np.where(length == most, 0, length)


def reach(parts: Parts, runs: BoolArray) -> Reach:
    """Return heads and tails along the longest paths of the tasks that run, shortest modes."""
    length, early = shortest(parts), parts.earliest.copy()
    tail = np.zeros_like(early)
    arcs = parts.follows
    place = np.empty(len(parts.order), dtype=np.int64)
    place[list(parts.order)] = np.arange(len(parts.order))
    real = np.flatnonzero(runs[arcs.first] & runs[arcs.second] & (arcs.lag > -parts.horizon))
    for arc in real[np.argsort(place[arcs.second[real]], kind="stable")]:
        i, j = arcs.first[arc], arcs.second[arc]
        early[j] = max(early[j], early[i] + length[i] + arcs.lag[arc])
    for arc in real[np.argsort(-place[arcs.first[real]], kind="stable")]:
        i, j = arcs.first[arc], arcs.second[arc]
        tail[i] = max(tail[i], arcs.lag[arc] + length[j] + tail[j])
    return Reach(early, tail, length)


def path_bound(parts: Parts, runs: BoolArray) -> int:
    """Return the slot before which not all can have ended, by the longest path."""
    way = reach(parts, runs)
    return int((way.early + way.length + way.tail)[runs].max(initial=0))


def _some(values: IntArray, most: int) -> IntArray:
    """Return different values in order; evenly fewer where there are too many."""
    found = np.unique(values)
    return found[np.unique(np.linspace(0, len(found) - 1, min(most, len(found))).astype(np.int64))]


def _is_over(parts: Parts, resource: int, rows: IntArray, early: IntArray, late: IntArray) -> bool:
    """Whether in some interval the modes `rows` of tasks have more work than is free.

    Work in [a, b) is at least amount x min(b - a, d, early + d - a, b - (late - d)), of a task's
    cheapest mode. `rows` are sorted by task.
    """
    task, length = parts.modes.task[rows], parts.modes.duration[rows]
    most = max(int((MOST_CELLS / len(rows)) ** 0.5), 8)
    begin, end = _some(early[task], most), _some(late[task], most)
    right = np.minimum(length, early[task] + length - begin[:, None])
    left = end[:, None] - late[task] + length
    inside = np.minimum(right[:, None, :], left[None, :, :])
    inside = np.clip(np.minimum(inside, (end - begin[:, None])[:, :, None]), 0, None)
    work = inside * parts.modes.needs[rows, resource]
    first = np.flatnonzero(np.diff(task, prepend=-1))
    total = np.minimum.reduceat(work, first, axis=2).sum(axis=2)
    free = np.concatenate([[0], parts.top[resource].cumsum()])
    begin, end = np.clip(begin, 0, parts.horizon), np.clip(end, 0, parts.horizon)
    return bool((total > np.maximum(free[end][None, :] - free[begin][:, None], 0)).any())


def _windows(parts: Parts, runs: BoolArray, finish: int) -> tuple[IntArray, IntArray]:
    """Return the first start and the last end of each task, where all has ended by `finish`."""
    way = reach(parts, runs)
    late = np.minimum(parts.latest, finish - way.tail)
    arcs = parts.follows
    is_real = runs[arcs.first] & runs[arcs.second] & (arcs.lag > -parts.horizon)
    by_order = {task: number for number, task in enumerate(parts.order)}
    for arc in sorted(np.flatnonzero(is_real), key=lambda own: -by_order[int(arcs.first[own])]):
        i, j = arcs.first[arc], arcs.second[arc]
        late[i] = min(late[i], late[j] - way.length[j] - arcs.lag[arc])
    return way.early, late


def is_refuted(parts: Parts, runs: BoolArray, finish: int) -> bool:
    """Whether no schedule can have ended by this slot, by the work that falls into intervals."""
    early, late = _windows(parts, runs, finish)
    modes = parts.modes
    fits = runs[modes.task] & (early[modes.task] + modes.duration <= late[modes.task])
    if (np.bincount(modes.task[fits], minlength=len(runs))[runs] == 0).any():
        return True
    for resource in range(len(parts.resources)):
        least = np.full(len(runs), np.iinfo(np.int64).max)
        np.minimum.at(least, modes.task[fits], modes.needs[fits, resource])
        rows = np.flatnonzero(fits & (least[modes.task] > 0) & (modes.duration > 0))
        if len(rows) and _is_over(parts, resource, rows, early, late):
            return True
    return False


def finish_bound(parts: Parts, left_value: int) -> int:
    """Return a slot before which no schedule that leaves out at most this value can have ended.

    The longest path with earliest starts and shortest modes; raised by halving to one more than
    a finish that is refuted: by windows, or as more work has to be done in an interval than is
    free (energetic reasoning, Baptiste, Le Pape and Nuijten 2001, here with modes).
    """
    runs = must_run(parts, left_value)
    if not runs.any():
        return 0
    low, high = path_bound(parts, runs), parts.horizon
    while low < high:
        middle = (low + high) // 2
        if is_refuted(parts, runs, middle):
            low = middle + 1
        else:
            high = middle
    return low
