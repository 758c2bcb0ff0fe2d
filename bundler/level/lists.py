"""What to take out first of an outage if days or crews fall short, and what to take in if not."""

import numpy as np
import pandas as pd

from bundler.choice import Choices
from bundler.level.drop_list import (
    Trials,
    add_list,
    drop_for_days,
    drop_list,
    saved_days,
    with_finish,
)
from bundler.level.outages import Plan
from bundler.level.tables import Schedule
from bundler.limits.windows import WHOLE

#: steps of a list that are told; our choice
MOST_STEPS = 12
NAMES = [
    "outage", "short_of", "step_count", "task", "value_cost", "saved_days", "trade", "work_hours",
    "total_value_cost", "total_saved_days", "total_work_hours", "finish_days",
]  # fmt: skip
ADDED = [
    "outage", "trade", "step_count", "component", "action", "value_cost", "days", "work_hours",
    "total_value_cost", "total_work_hours", "instead_of",
]  # fmt: skip


def _followers(schedule: Schedule, task: str) -> set[str]:
    """Return the works and tests that can only run if a work does, with itself."""
    problem, tasks = schedule.laid.problem, schedule.laid.tasks
    own = set(tasks.loc[tasks["placement"] >= 0, "task"])
    needs = problem.follows[problem.follows["is_needed"]]
    needs = needs[needs["first"].isin(own) & needs["second"].isin(own)]
    found, grown = {task}, set[str]()
    while found != grown:
        grown = set(found)
        found |= set(needs.loc[needs["first"].isin(grown), "second"])
    return found


def _works(schedule: Schedule, values: dict[str, int], short: str) -> pd.DataFrame:
    """Return the works that run: task, value_cost, and their direct hours of the short trade.

    value_cost is that of the work and of all that can only be done with it.
    """
    laid = schedule.laid
    runs = set(schedule.levelled.starts["task"])
    works = laid.tasks[(laid.tasks["kind"] == "work") & laid.tasks["task"].isin(runs)]
    told = [float(values.get(name, 0)) for name in works["component"]]
    own = dict(zip(works["task"], told, strict=True))
    taken = laid.loads[laid.loads["resource"] == short].set_index("task")["amount"]
    hours = laid.heads.set_index("resource")["head_hours"].get(short, 0.0)
    return pd.DataFrame(
        {
            "task": works["task"],
            "value_cost": [
                sum(own.get(name, 0.0) for name in _followers(schedule, task))
                for task in works["task"]
            ],
            "work_hours": (works["task"].map(taken).fillna(0.0) * hours).round(1),
        }
    )


def to_drop(
    schedule: Schedule, tried: Trials, values: dict[str, int], short: str, chance: float
) -> pd.DataFrame:
    """Return the drop-list of an outage, first for days, then for hours of the short trade.

    short_of is days or hours. For days: least value per day by which the finish with a chance is
    sooner, until the outage is kept, or the first few where it is kept anyway; finish_days is the
    finish after each step. For hours: least value per hour.
    """
    works, limit = _works(schedule, values, short), schedule.laid.outage.days
    now = tried.finishes().at(chance)
    plain = works[["task", "value_cost"]]
    if now > limit:
        days = drop_for_days(tried, plain, limit, chance)
    else:
        saved = plain.merge(saved_days(tried, plain["task"].tolist(), chance), on="task")
        days = with_finish(drop_list(saved, "saved_days").head(MOST_STEPS), tried, chance)
    hours = drop_list(works, "work_hours")
    both = [days.assign(short_of="days"), hours.assign(short_of="hours")]
    table = pd.concat([part.head(MOST_STEPS) for part in both if len(part)] or both[:1])
    own = works.set_index("task")["work_hours"]
    table = table.assign(outage=schedule.laid.outage.period, trade=short)
    table["work_hours"] = table["task"].map(own)
    table["total_work_hours"] = table.groupby("short_of")["work_hours"].cumsum()
    return (
        table.rename(columns={"step": "step_count"}).reindex(columns=NAMES).reset_index(drop=True)
    )


def _best_with(choices: Choices, period: str) -> pd.DataFrame:
    """Return the cheapest course of each component with a work in an outage, and that work.

    Works too long for the outage are none; access that is not made yet counts with its cost.
    """
    there = choices.placements[choices.placements["period"] == period]
    there = there[~(there["extension_days"] > 0)]
    held = choices.works.merge(there[["placement", "action", "days"]], on="placement")
    both = held.merge(choices.courses[["course", "component", "pv_cost"]], on="course")
    both = both.sort_values(["component", "pv_cost", "course"])
    return both.drop_duplicates("component")


def _opening(plan: Plan, placements: pd.Series) -> pd.Series:
    """Return what each placement costs in access that the plan does not make, by placement."""
    choices = plan.choices
    sets = choices.access[~choices.access["is_given"]]
    closed = sets[~sets["access"].isin(plan.picked.access["access"])][["access", "pv_cost"]]
    members = choices.access_members
    own = members[members["placement"].isin(placements)][["access", "placement"]]
    return own.merge(closed, on="access").groupby("placement")["pv_cost"].sum()


def to_add(plan: Plan, schedule: Schedule, short: str) -> pd.DataFrame:
    """Return the add-list of an outage: works not in it that would save money if there were room.

    value_cost is what the component's cheapest course with a work there saves against the one in
    the plan, all others as they are; the most per hour of the short trade first. instead_of names
    what the component does in the plan.
    """
    choices, period = plan.choices, schedule.laid.outage.period
    best = _best_with(choices, period)
    now = plan.picked.courses.set_index("component")["pv_cost"]
    in_plan = plan.picked.works.loc[plan.picked.works["period"] == period, "component"]
    opening = best["placement"].map(_opening(plan, best["placement"])).fillna(0.0)
    best = best.assign(value_cost=best["component"].map(now) - best["pv_cost"] - opening)
    best = best[(best["value_cost"] > 0) & ~best["component"].isin(in_plan)]
    uses = choices.uses[choices.uses["limit"] == f"{period}.{short}.{WHOLE}"]
    hours = uses.set_index("placement")["amount"]
    works = pd.DataFrame(
        {
            "task": best["component"],
            "value_cost": best["value_cost"],
            "work_hours": best["placement"].map(hours).fillna(0.0),
        }
    )
    listed = add_list(works, "work_hours").head(MOST_STEPS).rename(columns={"task": "component"})
    own = best.set_index("component")[["action", "days"]]
    listed = listed.join(own, on="component").assign(outage=period, trade=short)
    done = plan.picked.works.sort_values("start_days")
    done = done.assign(text=done["action"].str.replace("_", " ") + " in " + done["period"])
    texts = done.groupby("component")["text"].agg(", then ".join)
    listed["instead_of"] = listed["component"].map(texts).fillna("no work").astype("str")
    result: pd.DataFrame = listed.rename(columns={"step": "step_count"}).reindex(columns=ADDED)
    return result.astype({"step_count": np.int64})
