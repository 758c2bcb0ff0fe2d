"""What a work that found no room lacks: the resource that is free on the fewest of its days."""

from dataclasses import dataclass

import pandas as pd

from bundler.choice import FloatArray
from bundler.level.modes import free_amounts
from bundler.level.problem import Problem
from bundler.level.tables import Schedule
from bundler.tables import rows


@dataclass(frozen=True)
class Lack:
    """What a task lacks.

    resource : what is short, "" where only order stands in the way; free_share : the part of the
    window's slots in which there is enough of it.
    """

    resource: str
    free_share: float


def free_of(problem: Problem, starts: pd.DataFrame, slots: int) -> dict[str, FloatArray]:
    """Return what is free of each resource in each slot, beside the tasks that run [slots].

    With every week of overtime that could be worked.
    """
    each = problem.resources[~problem.resources["is_total"]]
    _, free = free_amounts(each, problem.taken, problem.bands, slots)
    held = problem.needs.merge(starts, on=["task", "mode"])
    for row in rows(held):
        if row.resource in free:
            free[row.resource][row.start : row.end] -= row.amount
    return free


def lack_of(schedule: Schedule, task: str) -> Lack:
    """Return what a task that does not run lacks at its shortest length.

    The resource of which there is enough in the fewest slots of its window; among equals the first
    by name. Where there is enough of all of them in every slot, order stands in the way.
    """
    problem = schedule.laid.problem
    free = free_of(problem, schedule.levelled.starts, schedule.laid.outage.slots)
    window = problem.tasks.set_index("task").loc[task]
    own = problem.needs[(problem.needs["task"] == task)]
    own = own[own["mode"] == own["mode"].min()].sort_values("resource")
    found = Lack("", 1.0)
    for row in rows(own):
        there = free[row.resource][window["earliest"] : window["latest"]] >= row.amount
        share = float(there.mean()) if len(there) else 0.0
        if share < found.free_share:
            found = Lack(row.resource, share)
    return found
