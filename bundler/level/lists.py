"""What to take out first of an outage if days or crews fall short, and what to take in if not."""

import numpy as np
import pandas as pd

from bundler.choice import Choices
from bundler.level.drop_list import (
    Groups,
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


def followers(schedule: Schedule, task: str) -> set[str]:
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


def _works(schedule: Schedule, worth: dict[str, float], short: str) -> pd.DataFrame:
    """Return the works that run and may be left out: task, value_cost, hours of the short trade.

    Each by itself; works that law or a pin forces in are not among them.
    """
    laid = schedule.laid
    runs = set(schedule.levelled.starts["task"])
    works = laid.tasks[(laid.tasks["kind"] == "work") & laid.tasks["task"].isin(runs)]
    value = works["component"].map(worth)
    works, value = works[value.notna()], value[value.notna()]
    taken = laid.loads[laid.loads["resource"] == short].set_index("task")["amount"]
    hours = dict(zip(laid.heads["resource"], laid.heads["head_hours"], strict=True))
    return pd.DataFrame(
        {
            "task": works["task"],
            "value_cost": value.astype("float64"),
            "work_hours": (works["task"].map(taken).fillna(0.0) * hours.get(short, 0.0)).round(1),
        }
    )


def _by_hours(works: pd.DataFrame, groups: Groups) -> pd.DataFrame:
    """Return the works by least value per hour, each with what goes out with it, once."""
    own = works.set_index("task")
    sums = pd.DataFrame(
        [own.reindex(sorted(groups[task])).sum() for task in own.index], index=own.index
    )
    ordered = drop_list(sums.rename_axis("task").reset_index(), "work_hours")["task"]
    found, gone = [], set[str]()
    for task in ordered:
        if task not in gone:
            new = own.reindex(sorted(set(groups[task]) - gone)).sum()
            found.append((task, new["value_cost"], new["work_hours"]))
            gone |= set(groups[task])
    table = pd.DataFrame(found, columns=["task", "value_cost", "work_hours"])
    table.insert(0, "step", np.arange(1, len(table) + 1))
    return table.assign(total_value_cost=table["value_cost"].cumsum())


def to_drop(
    schedule: Schedule, tried: Trials, worth: dict[str, float], short: str, chance: float
) -> pd.DataFrame:
    """Return the drop-list of an outage, first for days, then for hours of the short trade.

    short_of is days or hours. For days: least value per day by which the finish with a chance is
    sooner, tasks beginning as soon as they can, until the outage is kept, or the first few where it
    is kept anyway; finish_days is the finish after each step. For hours: least value per hour. A
    work goes out with its tests and all that can only be done with it.
    """
    works, limit = _works(schedule, worth, short), schedule.laid.outage.days
    groups = {task: followers(schedule, task) for task in works["task"]}
    plain = works[["task", "value_cost"]]
    if tried.finishes().at(chance) > limit:
        days = drop_for_days(tried, plain, limit, chance, groups)
    else:
        saved = saved_days(tried, plain["task"].tolist(), chance, groups)
        days = drop_list(plain.merge(saved, on="task"), "saved_days").head(MOST_STEPS)
        days = with_finish(days, tried, chance, groups).drop(columns="total_saved_days")
    hours = _by_hours(works, groups)
    both = [days.assign(short_of="days"), hours.assign(short_of="hours")]
    table = pd.concat([part.head(MOST_STEPS) for part in both if len(part)] or both[:1])
    own = works.set_index("task")["work_hours"]
    table = table.assign(outage=schedule.laid.outage.period, trade=short)
    told = table["work_hours"] if "work_hours" in table else pd.Series(np.nan, table.index)
    table["work_hours"] = told.fillna(table["task"].map(own))
    table["total_work_hours"] = table.groupby("short_of")["work_hours"].cumsum()
    table = table.rename(columns={"step": "step_count"}).reindex(columns=NAMES)
    return table.reset_index(drop=True)


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
