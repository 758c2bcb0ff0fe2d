"""The levelling of a problem as variables and constraints of a constraint program (CP-SAT).

A mode is an optional interval of fixed size from the task's start; the task's end is bound to it
only where the mode is taken. Intervals of modes never share an end variable: the solver (9.15)
then proves finishes that are not the least.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from ortools.sat.python.cp_model import CpModel, IntervalVar, IntVar

from bundler.choice import IntArray
from bundler.level.arrays import BoolArray, Parts
from bundler.level.board import Placed
from bundler.level.cliques import cliques


@dataclass(frozen=True)
class Model:
    """A constraint program and its variables, by task, mode (row of the modes) and band.

    task [m], the task of each mode; runs, start, end [n]; takes, interval [m]; uses [b]; finish.
    """

    program: CpModel
    task: IntArray
    runs: list[IntVar]
    start: list[IntVar]
    end: list[IntVar]
    takes: list[IntVar]
    interval: list[IntervalVar]
    uses: list[IntVar]
    finish: IntVar


def _pieces(values: IntArray) -> Iterator[tuple[int, int, int]]:
    """Yield start, end and value of each stretch of equal values above 0."""
    edges = np.flatnonzero(np.diff(values, prepend=-1, append=-1))
    for begin, end in zip(edges[:-1], edges[1:], strict=True):
        if values[begin] > 0:
            yield int(begin), int(end), int(values[begin])


def _variables(parts: Parts, must: BoolArray, low: int, high: int) -> Model:
    program, modes = CpModel(), parts.modes
    # a task without modes never runs: its window may be empty
    late = np.maximum(np.minimum(parts.latest, high), parts.earliest)
    count = range(len(parts.tasks))
    start = [program.new_int_var(int(parts.earliest[i]), int(late[i]), f"start{i}") for i in count]
    end = [program.new_int_var(int(parts.earliest[i]), int(late[i]), f"end{i}") for i in count]
    runs = [program.new_int_var(int(must[i]), 1, f"runs{i}") for i in count]
    takes = [program.new_bool_var(f"takes{m}") for m in range(len(modes.task))]
    interval = [
        program.new_optional_fixed_size_interval_var(
            start[modes.task[m]], int(modes.duration[m]), takes[m], f"mode{m}"
        )
        for m in range(len(modes.task))
    ]
    uses = [program.new_bool_var(f"uses{b}") for b in range(len(parts.bands.start))]
    finish = program.new_int_var(low, high, "finish")
    return Model(program, modes.task, runs, start, end, takes, interval, uses, finish)


def _add_tasks(model: Model, parts: Parts) -> None:
    """Let a task that runs take one mode and end its duration after its start, by `finish`."""
    modes, program = parts.modes, model.program
    for task in range(len(parts.tasks)):
        own = np.flatnonzero(modes.task == task)
        program.add(sum(model.takes[m] for m in own) == model.runs[task])
        length = sum(int(modes.duration[m]) * model.takes[m] for m in own)
        program.add(model.end[task] == model.start[task] + length)
        program.add(model.finish >= model.end[task]).only_enforce_if(model.runs[task])
        for m in own:
            ends = model.end[task] == model.start[task] + int(modes.duration[m])
            program.add(ends).only_enforce_if(model.takes[m])


def _add_follows(model: Model, parts: Parts) -> None:
    arcs = parts.follows
    for first, second, lag, is_needed in zip(
        arcs.first, arcs.second, arcs.lag, arcs.is_needed, strict=True
    ):
        both = [model.runs[first], model.runs[second]]
        if lag > -parts.horizon:
            after = model.start[second] >= model.end[first] + int(lag)
            model.program.add(after).only_enforce_if(both)
        if is_needed:
            model.program.add_implication(both[1], both[0])


def _add_apart(model: Model, parts: Parts) -> None:
    """Tasks that are all apart from each other share one no-overlap."""
    for group in cliques(parts.apart):
        rows = np.flatnonzero(np.isin(parts.modes.task, group))
        model.program.add_no_overlap([model.interval[m] for m in rows])


def _add_bands(model: Model, parts: Parts) -> None:
    for resource in range(len(parts.resources)):
        own = np.flatnonzero(parts.bands.resource == resource)
        if len(own) > parts.bands.most[resource]:
            used = sum(model.uses[b] for b in own)
            model.program.add(used <= int(parts.bands.most[resource]))


def _fillers(model: Model, parts: Parts, resource: int) -> Iterator[tuple[IntervalVar, int]]:
    """Yield what closes a resource below its greatest amount: always, or unless a band is used."""
    program, top = model.program, parts.top[resource]
    for begin, end, amount in _pieces(top.max() - top):
        yield program.new_fixed_size_interval_var(begin, end - begin, f"closed{begin}"), amount
    for band in np.flatnonzero(parts.bands.resource == resource):
        for begin, end, amount in _pieces(parts.bands.extra[band]):
            yield (
                program.new_optional_fixed_size_interval_var(
                    begin, end - begin, ~model.uses[band], f"band{band}"
                ),
                amount,
            )


def _most_at_once(parts: Parts, resource: int) -> int:
    """Return what all tasks together could take of a resource."""
    most = np.zeros(len(parts.tasks), dtype=np.int64)
    np.maximum.at(most, parts.modes.task, parts.modes.needs[:, resource])
    return int(most.sum())


def _taking(model: Model, parts: Parts, resource: int) -> tuple[list[IntervalVar], list[int]]:
    rows = np.flatnonzero(parts.modes.needs[:, resource])
    return [model.interval[m] for m in rows], parts.modes.needs[rows, resource].tolist()


def _add_resources(model: Model, parts: Parts) -> None:
    """Let what runs take no more than is free; resources that never bind are left out."""
    for resource in range(len(parts.resources)):
        if _most_at_once(parts, resource) <= parts.base[resource].min(initial=0):
            continue
        intervals, amounts = _taking(model, parts, resource)
        for filler, amount in _fillers(model, parts, resource):
            intervals.append(filler)
            amounts.append(amount)
        model.program.add_cumulative(intervals, amounts, int(parts.top[resource].max()))


def _add_totals(model: Model, parts: Parts) -> None:
    for total, amount in enumerate(parts.total_amount):
        needs = parts.modes.total_needs[:, total]
        taken = sum(int(needs[m]) * model.takes[m] for m in np.flatnonzero(needs))
        model.program.add(taken <= int(amount))


def build(parts: Parts, must: BoolArray, low: int, high: int) -> Model:
    """Return the constraint program of a problem.

    must : which tasks run in every schedule looked for [n]; low, high : where its finish lies.
    """
    model = _variables(parts, must, low, high)
    for add in (_add_tasks, _add_follows, _add_apart, _add_bands, _add_resources, _add_totals):
        add(model, parts)
    return model


def left_value(model: Model, parts: Parts) -> IntVar:
    """Return a variable of the value of the tasks left out: at least 0 without any relaxation."""
    own = np.flatnonzero(parts.value)
    left = model.program.new_int_var(0, int(parts.value.sum()), "left")
    model.program.add(left == sum(int(parts.value[i]) * (1 - model.runs[i]) for i in own))
    return left


def add_peaks(model: Model, parts: Parts, placed: Placed, of: IntArray) -> list[IntVar]:
    """Return the peak use of resources `of`, no more than now; what others hold is counted in."""
    found, peaks = [], placed.peaks(parts)
    for resource in of:
        peak, held = int(peaks[resource]), parts.taken[resource]
        least = max(int(held.max(initial=0)), 0)
        top = model.program.new_int_var(least, peak, f"peak{resource}")
        intervals, amounts = _taking(model, parts, resource)
        for begin, end, amount in _pieces(held):
            name = f"held{resource},{begin}"
            intervals.append(model.program.new_fixed_size_interval_var(begin, end - begin, name))
            amounts.append(amount)
        model.program.add_cumulative(intervals, amounts, top)
        model.program.add_hint(top, peak)
        found.append(top)
    return found


def hint(model: Model, parts: Parts, placed: Placed) -> None:
    """Let the search begin at a schedule."""
    program, ends, is_used = model.program, placed.end(parts), placed.is_used(parts)
    program.clear_hints()  # type: ignore[no-untyped-call]
    for task, mode in enumerate(placed.mode):
        start = int(placed.start[task]) if mode >= 0 else int(parts.earliest[task])
        program.add_hint(model.runs[task], int(mode >= 0))
        program.add_hint(model.start[task], start)
        program.add_hint(model.end[task], int(ends[task]) if mode >= 0 else start)
    for mode, takes in enumerate(model.takes):
        program.add_hint(takes, int(placed.mode[parts.modes.task[mode]] == mode))
    for band, uses in enumerate(model.uses):
        program.add_hint(uses, int(is_used[band]))
    program.add_hint(model.finish, int(ends.max(initial=0)))
