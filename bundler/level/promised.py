"""What has to come out of an outage so that it ends in time with a chance that is asked for."""

from collections.abc import Collection

import numpy as np
import pandas as pd

from bundler.case import Case, with_tables
from bundler.level.chances import Doubts
from bundler.level.doubts import doubtful
from bundler.level.drop_list import drop_for_days, trials
from bundler.level.outages import Plan
from bundler.level.paths import held_to_plan
from bundler.level.tables import Schedule
from bundler.level.values import Values
from bundler.tables import empty, rows

#: columns of the works that have to come out, as pins name them
OUT = ["component", "action", "outage", "rule", "who", "why"]
WHO = "levelling"


def no_pins() -> pd.DataFrame:
    """Return an empty table of works that have to come out."""
    return pd.DataFrame({name: pd.Series(dtype="str") for name in OUT})


def too_late(
    plan: Plan, schedule: Schedule, ask: Doubts, values: Values, forced: Collection[str]
) -> pd.DataFrame:
    """Return the works to take out of an outage so that its work ends in time with a chance.

    Least value per day first, as the drop-list has it, until the finish with that chance, no task
    before its levelled day, is within the outage; none where it is, or where no work that may go
    shortens it. Works on components in `forced` stay. Columns `OUT`.
    """
    outage = schedule.laid.outage
    if schedule.levelled.starts.empty:
        return no_pins()
    own = doubtful(plan.case, plan.choices, plan.picked, schedule)
    rng = np.random.default_rng(ask.seed)
    tried = trials(own.network, own.doubt, rng=rng, runs_count=ask.runs_count, rule=held_to_plan)
    worth, tasks = values.of(outage.period), schedule.laid.tasks
    runs = set(schedule.levelled.starts["task"])
    works = tasks[(tasks["kind"] == "work") & tasks["task"].isin(runs)]
    works = works[~works["component"].isin(list(forced))].set_index("task")
    costs = [float(worth[name]) for name in works["component"]]
    listed = pd.DataFrame({"task": works.index, "value_cost": costs})
    found = drop_for_days(tried, listed, outage.days, ask.chance)
    why = f"to end {outage.period} in time with a chance of {ask.chance:.0%}"
    out = [
        (works.at[row.task, "component"], works.at[row.task, "action"], outage.period, "out", WHO,
         why)
        for row in rows(found)
    ]  # fmt: skip
    return pd.DataFrame(out, columns=OUT, dtype="str")


def with_pins(case: Case, pins: pd.DataFrame) -> Case:
    """Return the case with these pins beside its own."""
    kinds = {str(name): str(kind) for name, kind in empty("pins").dtypes.items()}
    more = pins.reindex(columns=list(kinds)).astype(kinds).assign(file_row=0)
    both = pd.concat([case["pins"], more], ignore_index=True)
    return with_tables(case, pins=both)
