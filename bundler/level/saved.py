"""Schedules read back from their table, laid out as they were levelled."""

from collections.abc import Sequence

import pandas as pd

from bundler.errors import BundlerError
from bundler.level.outage import Laid, no_held, outage_problem
from bundler.level.outages import Plan
from bundler.level.problem import Levelled, empty
from bundler.level.tables import Schedule, held_heads


def _levelled(laid: Laid, table: pd.DataFrame) -> Levelled:
    """Return the schedule of one outage from its rows; raise BundlerError where they do not fit."""
    per_day, modes = laid.outage.slots_per_day, laid.problem.modes
    runs = table[~table["is_left_out"].astype(bool)]
    starts = pd.DataFrame(
        {
            "task": runs["task"].astype("str"),
            "start": (runs["start_days"] * per_day).round().astype("int64"),
            "end": (runs["end_days"] * per_day).round().astype("int64"),
        }
    )
    starts["duration"] = starts["end"] - starts["start"]
    starts = starts.merge(modes, on=["task", "duration"], how="left")
    if starts["mode"].isna().any():
        task = starts.loc[starts["mode"].isna(), "task"].iloc[0]
        raise BundlerError(
            f"{task} in {laid.outage.period} is levelled to days that this plan does not have. "
            "Run the command level again."
        )
    starts = starts.astype({"mode": "int64"})[["task", "mode", "start", "end"]]
    works = set(laid.tasks.loc[laid.tasks["kind"] == "work", "task"])
    left = tuple(sorted(works - set(starts["task"])))
    finish = int(starts["end"].max()) if len(starts) else 0
    bands = empty("bands")[["resource", "start", "end"]]
    return Levelled(starts, left, finish, 0, bands, "as saved", 0)


def schedules_from(plan: Plan, table: pd.DataFrame, names: Sequence[str] = ()) -> list[Schedule]:
    """Return the schedules that a table of days (`schedule_table`) tells, in its order.

    Raises BundlerError where the plan has no such tasks or days.
    """
    found: list[Schedule] = []
    for period in dict.fromkeys(table["outage"]):
        held = pd.concat([no_held(), *(held_heads(each) for each in found)], ignore_index=True)
        laid = outage_problem(plan.case, plan.choices, plan.picked, period, held=held)
        found.append(Schedule(laid, _levelled(laid, table[table["outage"] == period])))
    return [each for each in found if not names or each.laid.outage.period in names]
