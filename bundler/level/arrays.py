"""A problem as arrays in the order of its names, so that the order of its rows changes nothing."""

from dataclasses import dataclass, replace
from graphlib import CycleError, TopologicalSorter

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from bundler.choice import IntArray
from bundler.errors import NoPlanError
from bundler.level.problem import Problem

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True)
class Modes:
    """Modes that fit by themselves, sorted by task, duration and mode, as positions.

    task [m], number [m] (the mode's own), duration [m] in slots, needs [m, resources] in each
    slot, total_needs [m, totals].
    """

    task: IntArray
    number: IntArray
    duration: IntArray
    needs: IntArray
    total_needs: IntArray


@dataclass(frozen=True)
class Follows:
    """Arcs between tasks: first [f], second [f], lag [f] in slots, is_needed [f]."""

    first: IntArray
    second: IntArray
    lag: IntArray
    is_needed: BoolArray


@dataclass(frozen=True)
class Bands:
    """Bands: resource [b], start [b], end [b] in slots.

    extra [b, horizon], what using one adds to `base`; most [resources], how many may be used.
    """

    resource: IntArray
    start: IntArray
    end: IntArray
    extra: IntArray
    most: IntArray


@dataclass(frozen=True)
class Parts:
    """A problem in numbers.

    tasks, resources, totals : names in their order; arrays go by position in it.
    earliest, latest, value : [n] as in the table of tasks.
    base : [resources, horizon] what is free in each slot without bands; never below 0.
    taken : [resources, horizon] what others hold.
    apart : [k, 2] pairs of tasks, the lower position first.
    order : tasks in an order that all arcs allow.
    """

    tasks: tuple[str, ...]
    resources: tuple[str, ...]
    totals: tuple[str, ...]
    earliest: IntArray
    latest: IntArray
    value: IntArray
    modes: Modes
    follows: Follows
    bands: Bands
    apart: IntArray
    total_amount: IntArray
    base: IntArray
    taken: IntArray
    order: tuple[int, ...]

    @property
    def horizon(self) -> int:
        """Number of slots looked at."""
        return int(self.base.shape[1])

    @property
    def top(self) -> IntArray:
        """What is free in each slot with every band used [resources, horizon]."""
        top = self.base.copy()
        np.add.at(top, self.bands.resource, self.bands.extra)
        return top


def _positions(names: pd.Series, of: tuple[str, ...], where: str) -> IntArray:
    """Return positions of names; ValueError for one that is not there."""
    place = {name: number for number, name in enumerate(of)}
    strange = sorted(set(names) - set(place))
    if strange:
        raise ValueError(f"{where} names {strange[0]}, which is not there; add it or take it out.")
    return np.array([place[name] for name in names], dtype=np.int64)


def _spread(table: pd.DataFrame, resources: tuple[str, ...], horizon: int) -> IntArray:
    """Return amounts that hold from `start` until before `end` [resources, horizon]."""
    steps = np.zeros((len(resources), horizon + 1), dtype=np.int64)
    own = table[table["resource"].isin(resources)]
    rows = _positions(own["resource"], resources, "a table of amounts")
    amount = own["amount"].to_numpy()
    np.add.at(steps, (rows, np.clip(own["start"].to_numpy(), 0, horizon)), amount)
    np.add.at(steps, (rows, np.clip(own["end"].to_numpy(), 0, horizon)), -amount)
    return steps.cumsum(axis=1)[:, :-1]


def _bands(problem: Problem, names: tuple[str, ...], amount: IntArray, taken: IntArray) -> Bands:
    table = problem.bands.sort_values(["resource", "start"], kind="stable")
    resource = _positions(table["resource"], names, "bands")
    start, end = table["start"].to_numpy(), table["end"].to_numpy()
    slots = np.arange(taken.shape[1])
    inside = (slots >= start[:, None]) & (slots < end[:, None])
    more = (amount[resource] + table["amount"].to_numpy())[:, None] - taken[resource]
    base = np.maximum(amount[:, None] - taken, 0)[resource]
    most = np.bincount(resource, minlength=len(names)).astype(np.int64)
    told = problem.band_most.groupby("resource")["most"].min()
    for number, name in enumerate(names):
        most[number] = min(most[number], told.get(name, most[number]))
    return Bands(resource, start, end, np.where(inside, np.maximum(more, 0) - base, 0), most)


def _needs(needs: pd.DataFrame, modes: pd.DataFrame, names: tuple[str, ...]) -> IntArray:
    """Return what each mode takes [m, names]."""
    own = needs[needs["resource"].isin(names)]
    place = {key: n for n, key in enumerate(zip(modes["task"], modes["mode"], strict=True))}
    keys = list(zip(own["task"], own["mode"], strict=True))
    is_there = np.array([key in place for key in keys], dtype=bool)
    found = np.zeros((len(modes), len(names)), dtype=np.int64)
    rows = np.array([place[key] for key in keys if key in place], dtype=np.int64)
    columns = _positions(own["resource"], names, "needs")[is_there]
    np.add.at(found, (rows, columns), own["amount"].to_numpy()[is_there])
    return found


def _order(count: int, follows: Follows, horizon: int) -> tuple[int, ...]:
    """Return tasks in an order that every arc allows; arcs that cannot delay are left out."""
    graph: dict[int, set[int]] = {number: set() for number in range(count)}
    for first, second, lag in zip(follows.first, follows.second, follows.lag, strict=True):
        if lag > -horizon:
            graph[int(second)].add(int(first))
    return tuple(TopologicalSorter(graph).static_order())


def _fitting(modes: Modes, earliest: IntArray, latest: IntArray, top: IntArray) -> Modes:
    """Return the modes that fit into their task's window and under the most there ever is."""
    fits = earliest[modes.task] + modes.duration <= latest[modes.task]
    if top.shape[1]:
        fits &= (modes.needs <= top.max(axis=1)).all(axis=1) | (modes.duration == 0)
    return Modes(modes.task[fits], modes.number[fits], modes.duration[fits], modes.needs[fits],
                 modes.total_needs[fits])  # fmt: skip


def _follows(problem: Problem, tasks: tuple[str, ...]) -> Follows:
    table = problem.follows.sort_values(["first", "second", "lag"], kind="stable")
    first, second = (_positions(table[name], tasks, "follows") for name in ("first", "second"))
    return Follows(first, second, table["lag"].to_numpy(), table["is_needed"].to_numpy(dtype=bool))


def _modes(problem: Problem, tasks: tuple[str, ...], each: tuple[str, ...],
           totals: tuple[str, ...]) -> Modes:  # fmt: skip
    table = problem.modes.sort_values(["task", "duration", "mode"], kind="stable")
    return Modes(_positions(table["task"], tasks, "modes"), table["mode"].to_numpy(),
                 table["duration"].to_numpy(), _needs(problem.needs, table, each),
                 _needs(problem.needs, table, totals))  # fmt: skip


def parts_of(problem: Problem) -> Parts:
    """Return a problem as arrays.

    Where `taken` exceeds an amount the slot is full, no worse. A mode that can run nowhere by
    itself is left out. Raises NoPlanError for a task that may not be left out and has no mode
    left, or for tasks that wait for each other in a ring.
    """
    table = problem.tasks.sort_values("task", kind="stable")
    tasks = tuple(table["task"])
    known = problem.resources.sort_values("resource", kind="stable")
    each, whole = known[~known["is_total"]], known[known["is_total"]]
    names, totals = tuple(each["resource"]), tuple(whole["resource"])
    earliest, latest = table["earliest"].to_numpy(), table["latest"].to_numpy()
    horizon = int(max(latest.max(initial=0), 0))
    taken = _spread(problem.taken, names, horizon)
    amount = each["amount"].to_numpy()
    bands = _bands(problem, names, amount, taken)
    base = np.maximum(amount[:, None] - taken, 0)
    top = base.copy()
    np.add.at(top, bands.resource, bands.extra)
    follows = _follows(problem, tasks)
    pairs = [_positions(problem.apart[name], tasks, "apart") for name in ("first", "second")]
    apart = np.unique(np.sort(np.column_stack(pairs), axis=1), axis=0)
    try:
        order = _order(len(tasks), follows, horizon)
    except CycleError as fault:
        ring = " before ".join(tasks[number] for number in fault.args[1])
        raise NoPlanError(f"Tasks wait for each other in a ring: {ring}. Take one out.") from fault
    modes = _fitting(_modes(problem, tasks, names, totals), earliest, latest, top)
    stuck = np.flatnonzero((np.bincount(modes.task, minlength=len(tasks)) == 0)
                           & (table["value"].to_numpy() == 0))  # fmt: skip
    if len(stuck):
        raise NoPlanError(
            f"Task {tasks[stuck[0]]} may not be left out and fits into none of its slots "
            f"{earliest[stuck[0]]} to {latest[stuck[0]]}; widen them or give more of its resources."
        )
    return Parts(tasks, names, totals, earliest, latest, table["value"].to_numpy(), modes, follows,
                 bands, apart, whole["amount"].to_numpy(), base, taken, order)  # fmt: skip


def turned(parts: Parts) -> Parts:
    """Return the same problem with time run backwards: slot 0 is the last, arcs point back."""
    arcs, bands, last = parts.follows, parts.bands, parts.horizon
    return replace(
        parts,
        earliest=last - parts.latest,
        latest=last - parts.earliest,
        follows=Follows(arcs.second, arcs.first, arcs.lag, np.zeros_like(arcs.is_needed)),
        bands=replace(bands, start=last - bands.end, end=last - bands.start,
                      extra=bands.extra[:, ::-1]),
        base=parts.base[:, ::-1],
        taken=parts.taken[:, ::-1],
        order=parts.order[::-1],
    )  # fmt: skip
