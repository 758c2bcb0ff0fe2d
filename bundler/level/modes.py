"""How long each task may take: as stated, or longer with fewer heads, and what does not fit."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import FloatArray
from bundler.level.heads import PARTS, Outage
from bundler.tables import rows

#: amounts closer than this are the same [hundredths]
SAME = 1e-6
#: how much longer than at full crew a task may take with fewer heads; our choice
RATIOS = (1.0, 1.25, 1.5, 2.0, 3.0)
#: of tasks that stand in the way of others, and of what goes on beside them; our choice
OTHER_RATIOS = {"set-up": (1.0,), "lift": (1.0,), "alongside": (1.0, 1.5, 2.0, 3.0, 5.0, 8.0)}
#: why a task fits nowhere
UNFIT = ["task", "resource", "needed_days", "window_days", "needed_amount", "most_amount"]


def free_amounts(
    resources: pd.DataFrame, taken: pd.DataFrame, bands: pd.DataFrame, slots: int
) -> tuple[dict[str, FloatArray], dict[str, FloatArray]]:
    """Return what is free of each resource in each slot [slots], without and with overtime."""
    free = {row.resource: np.full(slots, float(row.amount)) for row in rows(resources)}
    for row in rows(taken):
        free[row.resource][row.start : row.end] -= row.amount
    more = {name: profile.copy() for name, profile in free.items()}
    for row in rows(bands):
        more[row.resource][row.start : row.end] += row.amount
    return free, more


@dataclass(frozen=True)
class Shortest:
    """The fewest slots in which what is free of a resource suffices, and the resource that says so.

    needed and most : where no number of slots suffices, what is needed of it and the most that is
        free in a slot; else nan.
    """

    slots: int = 0
    resource: str = ""
    needed: float = np.nan
    most: float = np.nan


def _shortest(own: pd.DataFrame, free: Mapping[str, FloatArray], first: int, last: int,
              per_day: int) -> Shortest:  # fmt: skip
    """Return in how few slots from first to last a task can be done with what is free."""
    found, never = Shortest(), last - first + 1
    for row in rows(own):
        there = max(float(free[row.resource][first:last].max(initial=0.0)), 0.0)
        total = row.amount * PARTS * (1.0 if row.is_daily else per_day)
        is_short = total > there + SAME if row.is_daily else there <= 0
        each = 0 if row.is_daily or is_short else math.ceil(total / there - SAME)
        need = never if is_short else each
        if need > found.slots:
            lack = (row.amount, there / PARTS) if is_short else (np.nan, np.nan)
            found = Shortest(need, row.resource, *lack)
    return found


def _durations(kind: str, able: int, shortest: int, window: int) -> list[int]:
    """Return the lengths to choose from [slots], shortest first.

    able and shortest : how long it takes at full crew, without and with overtime.
    """
    ratios = OTHER_RATIOS.get(kind, RATIOS)
    tried = {math.ceil(able * ratio - SAME) for ratio in ratios} | {shortest}
    tried |= {window} if window < able * ratios[-1] else set()
    return sorted(length for length in tried if shortest <= length <= window)


def modes_of(
    tasks: pd.DataFrame, loads: pd.DataFrame, outage: Outage,
    free: Mapping[str, FloatArray], more: Mapping[str, FloatArray],
) -> tuple[pd.DataFrame, pd.DataFrame]:  # fmt: skip
    """Return the modes (task, mode, duration) and the tasks that fit nowhere.

    The second has task, resource (empty where its own days do not fit), needed_days and
    window_days: the days that it would need at the most heads, and those there are; needed_amount
    and most_amount: where no days suffice, what it needs and the most there is on a day, else nan.
    """
    by_task = {str(name): own for name, own in loads.groupby("task")}
    none = loads.iloc[:0]
    found: list[tuple[str, int, int]] = []
    unfit: list[tuple[str, str, float, float, float, float]] = []
    for row in rows(tasks):
        own, window = by_task.get(row.task, none), row.latest - row.earliest
        reach = (row.earliest, row.latest, outage.slots_per_day)
        plain, overtime = _shortest(own, free, *reach), _shortest(own, more, *reach)
        is_fixed = row.kind == "test" or own["is_daily"].all()
        able, need = max(row.least, plain.slots), max(row.least, overtime.slots)
        lengths = [row.least] if is_fixed else _durations(row.kind, able, need, window)
        lengths = [length for length in lengths if need <= length <= window]
        found += [(row.task, mode, length) for mode, length in enumerate(lengths)]
        if not lengths:
            why = overtime if overtime.slots > row.least else Shortest()
            days = (need / outage.slots_per_day, max(window, 0) / outage.slots_per_day)
            unfit.append((row.task, why.resource, *days, why.needed, why.most))
    return pd.DataFrame(found, columns=["task", "mode", "duration"]), pd.DataFrame(
        unfit, columns=UNFIT
    )


def needs_of(modes: pd.DataFrame, loads: pd.DataFrame, outage: Outage) -> pd.DataFrame:
    """Return what each mode takes in each slot: task, mode, resource, amount, rounded up."""
    table = modes.merge(loads, on="task")
    days = table["duration"] / outage.slots_per_day
    each = table["amount"] * PARTS / days.where(~table["is_daily"], 1.0)
    table["amount"] = np.ceil(each - SAME).astype("int64")
    return table[["task", "mode", "resource", "amount"]]
