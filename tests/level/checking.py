"""A schedule against its problem, task by task and slot by slot: no solver, none of our arrays."""

from collections.abc import Iterator
from itertools import product

import pandas as pd

from bundler.level.problem import Levelled, Problem, empty

#: task to mode, start and end
Run = dict[str, tuple[int, int, int]]


def problem(**tables: list[tuple[object, ...]]) -> Problem:
    """Return a problem from rows by table, in the order of its columns; other tables are empty."""
    frames = {name: empty(name) for name in Problem.__dataclass_fields__}
    for name, rows in tables.items():
        frames[name] = pd.DataFrame(rows, columns=list(frames[name])) if rows else frames[name]
    return Problem(**frames)


def _rows(table: pd.DataFrame) -> list[tuple]:  # type: ignore[type-arg]
    return list(table.itertuples(index=False, name=None))


class Checker:
    """The rules of one problem, read once into plain lists and dictionaries."""

    def __init__(self, given: Problem) -> None:
        self.window = {task: (early, late, value) for task, early, late, value in
                       _rows(given.tasks[["task", "earliest", "latest", "value"]])}  # fmt: skip
        self.length = {(t, m): d for t, m, d in _rows(given.modes[["task", "mode", "duration"]])}
        self.needs: dict[tuple[str, int], list[tuple[str, int]]] = {key: [] for key in self.length}
        for task, mode, resource, amount in _rows(
            given.needs[["task", "mode", "resource", "amount"]]
        ):
            self.needs[task, mode].append((resource, amount))
        self.resources = _rows(given.resources[["resource", "amount", "is_total"]])
        self.taken = _rows(given.taken[["resource", "start", "end", "amount"]])
        self.follows = _rows(given.follows[["first", "second", "lag", "is_needed"]])
        self.apart = _rows(given.apart[["first", "second"]])
        self.bands = {
            row[:3]: row[3] for row in _rows(given.bands[["resource", "start", "end", "amount"]])
        }
        self.most = _rows(given.band_most[["resource", "most"]])

    def tasks(self, run: Run, left: list[str]) -> Iterator[str]:
        if sorted([*run, *left]) != sorted(self.window):
            yield "not every task is there once"
        for task, (mode, start, end) in run.items():
            if self.length.get((task, mode)) != end - start:
                yield f"length of {task}"
            if (
                task in self.window
                and not self.window[task][0] <= start <= end <= self.window[task][1]
            ):
                yield f"window of {task}"
        yield from (f"{task} left out" for task in left if self.window[task][2] == 0)

    def pairs(self, run: Run) -> Iterator[str]:
        for first, second, lag, is_needed in self.follows:
            if is_needed and second in run and first not in run:
                yield f"{second} without {first}"
            if first in run and second in run and run[second][1] < run[first][2] + lag:
                yield f"{second} after {first}"
        for first, second in self.apart:
            if (
                first in run
                and second in run
                and set(range(*run[first][1:])) & set(range(*run[second][1:]))
            ):
                yield f"{first} beside {second}"

    def amounts(self, run: Run, used: set[tuple[str, int, int]]) -> Iterator[str]:
        last = max([end for _, _, end in run.values()], default=0)
        for resource, amount, is_total in self.resources:
            load, whole = [0] * last, 0
            for task, (mode, start, end) in run.items():
                own = sum(a for name, a in self.needs.get((task, mode), []) if name == resource)
                whole += own
                for slot in range(start, end):
                    load[slot] += own
            if is_total and whole > amount:
                yield f"total of {resource}"
            for slot in range(0 if is_total else last):
                more = sum(self.bands.get(band, 0) for band in used
                           if band[0] == resource and band[1] <= slot < band[2])  # fmt: skip
                held = sum(
                    a
                    for name, start, end, a in self.taken
                    if name == resource and start <= slot < end
                )
                if load[slot] > max(amount + more - held, 0):
                    yield f"{resource} in slot {slot}"

    def faults(self, run: Run, left: list[str], used: set[tuple[str, int, int]]) -> Iterator[str]:
        yield from self.tasks(run, left)
        yield from self.pairs(run)
        for resource, most in self.most:
            if sum(band[0] == resource for band in used) > most:
                yield f"bands of {resource}"
        yield from self.amounts(run, used)


def faults_of(given: Problem, levelled: Levelled) -> list[str]:
    """Return what a schedule breaks; empty if it holds."""
    rows = _rows(levelled.starts[["task", "mode", "start", "end"]])
    run = {task: (mode, start, end) for task, mode, start, end in rows}
    used = set(_rows(levelled.bands[["resource", "start", "end"]]))
    found = [] if len(run) == len(rows) else ["a task runs twice"]
    if levelled.finish != max([end for _, _, end in run.values()], default=0):
        found.append("finish")
    return [*found, *Checker(given).faults(run, list(levelled.left_out), used)]


def _plans(given: Problem, rules: Checker) -> Iterator[tuple[tuple[int, int], Run]]:
    """Yield value left out and finish, and the plan, of every choice of modes and starts."""
    choices = []
    for task, (early, late, value) in rules.window.items():
        runs = [(task, (mode, start, start + length)) for (name, mode), length in rules.length.items()
                if name == task for start in range(early, late - length + 1)]  # fmt: skip
        choices.append([*runs, None] if value else runs)
    for plan in product(*choices):
        run = dict(one for one in plan if one)
        left = sum(value for task, (_, _, value) in rules.window.items() if task not in run)
        yield (left, max([end for _, _, end in run.values()], default=0)), run


def best_by_hand(given: Problem) -> tuple[int, int, int] | None:
    """Return the least (value left out, finish, bands used) of all schedules; None without any.

    Every mode and start of every task, or left out, and every set of bands: for few, short tasks.
    """
    rules, best = Checker(given), None
    sets = [{band for band, has in zip(rules.bands, mask, strict=True) if has}
            for mask in product([0, 1], repeat=len(rules.bands))]  # fmt: skip
    for key, run in _plans(given, rules):
        left = [task for task in rules.window if task not in run]
        for used in sets:
            rank = (*key, len(used))
            if (best is None or rank < best) and not next(rules.faults(run, left, used), ""):
                best = rank
    return best
