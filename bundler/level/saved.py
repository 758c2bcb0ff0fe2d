"""Schedules read back from their table, laid out as they were levelled."""

from dataclasses import replace

import pandas as pd

from bundler.errors import BundlerError
from bundler.level.modes import needs_of
from bundler.level.outage import Laid, no_held, outage_problem
from bundler.level.outages import Plan
from bundler.level.problem import Levelled, empty
from bundler.level.tables import Schedule, held_heads
from bundler.tables import rows


def renumbered(schedule: Schedule, plan: Plan) -> Schedule:
    """Return a schedule whose tasks name the placements of another plan with the same works."""
    period, tasks = schedule.laid.outage.period, schedule.laid.tasks
    own = plan.choices.placements
    own = own[own["period"] == period]
    number_of = {(row.component, row.action): row.placement for row in rows(own)}
    keys = zip(tasks["component"], tasks["action"], strict=True)
    is_work = tasks["placement"] >= 0
    numbers = [number_of.get(key, -1) for key in keys]
    placement = pd.Series(numbers, tasks.index).where(is_work, -1).astype("int64")
    return replace(schedule, laid=replace(schedule.laid, tasks=tasks.assign(placement=placement)))


def _own_modes(laid: Laid, starts: pd.DataFrame) -> Laid:
    """Return an outage in which each task that runs has the length it was levelled to, alone."""
    modes = pd.DataFrame(
        {"task": starts["task"], "mode": 0, "duration": starts["end"] - starts["start"]}
    )
    needs = needs_of(modes, laid.loads, laid.outage)
    return replace(laid, problem=replace(laid.problem, modes=modes, needs=needs))


def _levelled(laid: Laid, table: pd.DataFrame) -> Schedule:
    """Return the schedule of one outage from its rows; raise BundlerError where they do not fit."""
    per_day = laid.outage.slots_per_day
    runs = table[~table["is_left_out"].astype(bool)]
    strange = sorted(set(runs["task"]) - set(laid.tasks["task"]))
    if strange:
        raise BundlerError(
            f"{strange[0]} is levelled in {laid.outage.period}, and this plan has no such task. "
            "Run the command level again."
        )
    starts = pd.DataFrame(
        {
            "task": runs["task"].astype("str"),
            "mode": 0,
            "start": (runs["start_days"] * per_day).round().astype("int64"),
            "end": (runs["end_days"] * per_day).round().astype("int64"),
        }
    ).reset_index(drop=True)
    works = set(laid.tasks.loc[laid.tasks["kind"] == "work", "task"])
    left = tuple(sorted(works - set(starts["task"])))
    finish = int(starts["end"].max()) if len(starts) else 0
    bands = empty("bands")[["resource", "start", "end"]]
    levelled = Levelled(starts, left, finish, 0, bands, "as saved", 0)
    return Schedule(_own_modes(laid, starts), levelled)


def schedules_from(plan: Plan, table: pd.DataFrame) -> list[Schedule]:
    """Return the schedules that a table of days (`schedule_table`) tells, in its order.

    Raises BundlerError where the plan has no such tasks or days.
    """
    found: list[Schedule] = []
    for period in dict.fromkeys(table["outage"]):
        held = pd.concat([no_held(), *(held_heads(each) for each in found)], ignore_index=True)
        laid = outage_problem(plan.case, plan.choices, plan.picked, period, held=held)
        found.append(_levelled(laid, table[table["outage"] == period]))
    return found
