"""How sure each levelled outage is: finish, cost, hours by chance, drivers, what to drop or add."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bundler.choice import FloatArray
from bundler.level.confidence import LEVELS, Outcomes, confidence
from bundler.level.doubts import Doubtful, doubtful
from bundler.level.drop_list import PROMISE_CHANCE, Trials, trials
from bundler.level.lists import to_add, to_drop
from bundler.level.outages import Plan
from bundler.level.paths import Wiring, forward, held_to_plan
from bundler.level.tables import Schedule
from bundler.level.values import Values
from bundler.tables import rows

Progress = Callable[[str, float], None]
CHAINS = [
    "outage", "task", "longest_chance", "overrun_chance", "end_days", "p50_end_days",
    "promise_end_days", "window_days",
]  # fmt: skip
TABLES = ("confidence", "drivers", "chains", "trade_hours", "drop_list", "add_list")


@dataclass(frozen=True)
class Doubts:
    """How the doubt is drawn: runs, seed, and the chance that is promised."""

    runs_count: int = 10_000
    seed: int = 1
    chance: float = PROMISE_CHANCE


def _finish_row(schedule: Schedule, told: Doubtful, ask: Doubts) -> tuple[
    dict[str, object], pd.DataFrame, pd.DataFrame
]:  # fmt: skip
    """Return the row of an outage, its drivers and its tasks."""
    outage, rng = schedule.laid.outage, np.random.default_rng(ask.seed)
    found = confidence(told.network, told.doubt, rng=rng, runs_count=ask.runs_count)
    row: dict[str, object] = {
        "outage": outage.period,
        "unit": outage.unit,
        "levelled_days": found.planned_days,
        "limit_days": outage.days,
    }
    for level in LEVELS:
        row[f"p{level:.0%}".rstrip("%") + "_finish_days"] = found.finish.at(level)
    row |= {
        "in_time_chance": found.finish.chance_by(outage.days),
        "promise_chance": ask.chance,
        "promise_finish_days": found.finish.at(ask.chance),
        "margin_days": found.margin_days(found.planned_days, ask.chance),
        "missing_days": max(found.finish.at(ask.chance) - outage.days, 0.0),
        "merge_bias_days": found.merge_bias_days,
    }
    for level in LEVELS:
        row[f"p{level:.0%}".rstrip("%") + "_cost"] = found.cost.at(level)
    row["worst_cost"] = found.cost.worst_mean()
    drivers = found.top_drivers.assign(outage=outage.period)
    drivers["rank_count"] = np.arange(1, len(drivers) + 1)
    names = ["outage", "rank_count", "kind", "name", "task", "variance_share"]
    return row, drivers[names], found.tasks


def _chains(
    schedule: Schedule, told: Doubtful, tried: Trials, tasks: pd.DataFrame, chance: float
) -> pd.DataFrame:
    """Return the chances of each task, and when it ends by chance against its window."""
    network = replace(told.network, tasks=tried.network.tasks)
    held = held_to_plan(tried.runs.earliest, network.tasks["start_days"].to_numpy(dtype=float))
    durations = tried.runs.durations
    ends = forward(Wiring.of(network), durations, held) + durations
    own = network.tasks[["task", "latest_days"]].assign(
        outage=schedule.laid.outage.period,
        p50_end_days=[Outcomes(column).at(LEVELS[0]) for column in ends.T],
        promise_end_days=[Outcomes(column).at(chance) for column in ends.T],
    )
    own = own.merge(tasks, on="task").rename(columns={"latest_days": "window_days"})
    own = own.sort_values(["longest_chance", "task"], ascending=[False, True])
    return own[CHAINS]


def _found_hours(plan: Plan, told: Doubtful) -> pd.DataFrame:
    """Return the hours that each discovery adds by trade: discovery, task, resource, hours."""
    found = told.doubt.discoveries[["discovery", "task"]]
    works = plan.picked.works.assign(
        task=plan.picked.works["component"] + " " + plan.picked.works["action"]
    )[["task", "family", "action", "learning_ratio"]].drop_duplicates("task")
    table = plan.case["discovery_hours"].drop(columns="file_row")
    both = found.merge(works, on="task").merge(table, on=["family", "action"], suffixes=("", "_of"))
    own = both["task"] + ": " + both["discovery_of"].str.replace("_", " ")
    both["hours"] = both["work_hours"] * both["learning_ratio"]
    return both.loc[own == both["discovery"], ["discovery", "task", "resource", "hours"]]


def _planned_hours(schedule: Schedule, names: np.ndarray, resource: str) -> FloatArray:
    """Return the hours of a trade in each task without what may be found [h], [tasks]."""
    heads, loads = schedule.laid.heads, schedule.laid.loads
    hours = dict(zip(heads["resource"], heads["head_hours"], strict=True))
    own = loads[loads["resource"] == resource].set_index("task")
    days = (own["amount"] - own["found_amount"]).reindex(names).fillna(0.0).to_numpy()
    result: FloatArray = days * hours[resource]
    return result


def _runs_of_hours(
    schedule: Schedule, told: Doubtful, tried: Trials, found: pd.DataFrame, resource: str
) -> FloatArray:
    """Return the direct hours of one trade in each run [h], [runs]: they grow as durations do."""
    runs = tried.runs
    is_task = (runs.movers["kind"] == "task").to_numpy()
    names = runs.movers.loc[is_task, "name"].to_numpy(dtype=object)
    planned = told.network.tasks.set_index("task")["duration_days"].reindex(names).to_numpy()
    ratios = runs.moves[:, is_task] / np.where(planned > 0, planned, 1.0)
    result: FloatArray = ratios @ _planned_hours(schedule, names, resource)
    place = {name: number for number, name in enumerate(runs.found)}
    for row in rows(found[found["resource"] == resource]):
        result = result + runs.is_found[:, place[row.discovery]] * row.hours
    return result


def _hours(
    plan: Plan, schedule: Schedule, told: Doubtful, tried: Trials, ask: Doubts
) -> pd.DataFrame:
    """Return direct hours of each trade: planned, by chance, and what its crew gives.

    limit_hours is what the heads give on the days of the outage, less base scope.
    """
    outage, found, more = schedule.laid.outage, [], _found_hours(plan, told)
    crew_days = outage.crew_to_days - outage.crew_from_days
    for row in rows(schedule.laid.heads):
        runs = Outcomes(_runs_of_hours(schedule, told, tried, more, row.resource))
        if not runs.values.any():
            continue
        limit = (row.heads_count - row.base_heads_count) * row.head_hours * crew_days
        found.append((
            outage.period, row.resource, row.name, runs.mean(), runs.at(LEVELS[0]),
            runs.at(ask.chance), limit, runs.at(ask.chance) / limit if limit > 0 else np.nan,
        ))  # fmt: skip
    names = [
        "outage", "resource", "name", "mean_hours", "p50_hours", "promise_hours", "limit_hours",
        "full_share",
    ]  # fmt: skip
    return pd.DataFrame(found, columns=names)


def _lists(
    plan: Plan, values: Values, tried: tuple[Schedule, Trials], hours: pd.DataFrame, ask: Doubts
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return the drop-list and the add-list of an outage."""
    schedule, runs = tried
    short = str(hours.sort_values("full_share")["resource"].iloc[-1]) if len(hours) else ""
    worth = values.worth(schedule.laid.outage.period)
    drops = to_drop(schedule, runs, worth, short, ask.chance)
    return drops, to_add(plan, schedule, short)


def chance_tables(
    plan: Plan, schedules: Sequence[Schedule], ask: Doubts, progress: Progress
) -> dict[str, pd.DataFrame]:
    """Return how sure each levelled outage is, as tables by name.

    confidence : one row an outage; finish and cost by chance, margin for the promised chance.
    drivers : what moves the finish most. chains : tasks most often on a longest chain.
    trade_hours : hours of each trade by chance. drop_list, add_list : in order, step by step.
    """
    told: dict[str, list[pd.DataFrame]] = {name: [] for name in TABLES[1:]}
    finishes, values = [], Values(plan.choices, plan.picked)
    for number, schedule in enumerate(schedules):
        progress(f"chances of {schedule.laid.outage.period}", number / len(schedules))
        if schedule.levelled.starts.empty:
            continue
        own = doubtful(plan.case, plan.choices, plan.picked, schedule)
        row, drivers, tasks = _finish_row(schedule, own, ask)
        rng = np.random.default_rng(ask.seed)
        tried = trials(own.network, own.doubt, rng=rng, runs_count=ask.runs_count)
        hours = _hours(plan, schedule, own, tried, ask)
        row["early_finish_days"] = tried.finishes().at(ask.chance)
        chains = _chains(schedule, own, tried, tasks, ask.chance)
        parts = (drivers, chains, hours, *_lists(plan, values, (schedule, tried), hours, ask))
        finishes.append(row)
        for name, table in zip(TABLES[1:], parts, strict=True):
            told[name].append(table)
    joined = {
        name: pd.concat(parts, ignore_index=True).round(4) if parts else pd.DataFrame()
        for name, parts in told.items()
    }
    return {TABLES[0]: pd.DataFrame(finishes).round(4), **joined}
