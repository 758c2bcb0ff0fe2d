"""What has to come out of an outage so that it ends in time with a chance that is asked for."""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from bundler.case import Case, with_tables
from bundler.level.chances import Doubts
from bundler.level.doubts import doubtful
from bundler.level.drop_list import Trials, trials
from bundler.level.lists import followers, to_drop
from bundler.level.outages import Plan
from bundler.level.tables import Schedule
from bundler.level.values import Values
from bundler.plan.network import SAME_DAYS
from bundler.tables import empty, rows

#: columns of the works that have to come out, as pins name them
OUT = ["component", "action", "outage", "rule", "who", "why"]
WHO = "levelling"
PROMISES = ["outage", "promise_chance", "promise_finish_days", "limit_days", "is_kept"]


def no_pins() -> pd.DataFrame:
    """Return an empty table of works that have to come out."""
    return pd.DataFrame({name: pd.Series(dtype="str") for name in OUT})


def _tried(plan: Plan, schedule: Schedule, ask: Doubts) -> Trials:
    """Return the runs of an outage; tasks begin as soon as they can."""
    own = doubtful(plan.case, plan.choices, plan.picked, schedule)
    rng = np.random.default_rng(ask.seed)
    return trials(own.network, own.doubt, rng=rng, runs_count=ask.runs_count)


def too_late(plan: Plan, schedule: Schedule, ask: Doubts, values: Values) -> pd.DataFrame:
    """Return the works to take out of an outage so that its work ends in time with a chance.

    Least value per day first, as the drop-list has it, until the finish with that chance, tasks
    beginning as soon as they can, is within the outage; none where it is, or where no work that may
    go shortens it. Works that law or a pin forces in stay. Columns `OUT`.
    """
    outage = schedule.laid.outage
    if schedule.levelled.starts.empty:
        return no_pins()
    worth = values.worth(outage.period)
    listed = to_drop(schedule, _tried(plan, schedule, ask), worth, "", ask.chance)
    listed = listed[(listed["short_of"] == "days") & listed["total_saved_days"].notna()]
    gone = {name for task in listed["task"] for name in followers(schedule, task)}
    works = schedule.laid.tasks[schedule.laid.tasks["kind"] == "work"]
    why = f"to end {outage.period} in time with a chance of {ask.chance:.0%}"
    out = [
        (row.component, row.action, outage.period, "out", WHO, why)
        for row in rows(works[works["task"].isin(gone)])
    ]
    return pd.DataFrame(out, columns=OUT, dtype="str")


def promises(plan: Plan, schedules: Sequence[Schedule], ask: Doubts) -> pd.DataFrame:
    """Return the finish of each outage with the chance asked for, and whether it is kept.

    Columns outage, promise_chance, promise_finish_days, limit_days, is_kept.
    """
    found = []
    for each in schedules:
        if not each.levelled.starts.empty:
            finish = _tried(plan, each, ask).finishes().at(ask.chance)
            outage = each.laid.outage
            kept = finish <= outage.days + SAME_DAYS
            found.append((outage.period, ask.chance, finish, outage.days, kept))
    return pd.DataFrame(found, columns=PROMISES)


def with_pins(case: Case, pins: pd.DataFrame) -> Case:
    """Return the case with these pins beside its own."""
    kinds = {str(name): str(kind) for name, kind in empty("pins").dtypes.items()}
    more = pins.reindex(columns=list(kinds)).astype(kinds).assign(file_row=0)
    both = pd.concat([case["pins"], more], ignore_index=True)
    return with_tables(case, pins=both)
