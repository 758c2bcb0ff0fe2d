"""The schedule of outages as result tables: on which days, by how many heads, in which week."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from bundler.calendar import dates_at
from bundler.case import Case
from bundler.choice import Choices, FloatArray
from bundler.level.heads import PARTS, WEEK_DAYS, base_profile
from bundler.level.outage import HELD, Laid, idle_access
from bundler.level.problem import Levelled
from bundler.limits.windows import WHOLE
from bundler.tables import rows, words

SCHEDULE = [
    "outage", "window_from_days", "window_to_days", "task", "kind", "component", "action",
    "is_left_out", "start_date", "end_date", "start_days", "end_days", "stretch_share", "area",
    "train", "access_sets", "heads", "why",
]  # fmt: skip
#: heads of a trade in a slot, each in a column
COUNTS = [
    "heads_count", "found_heads_count", "base_heads_count", "limit_heads_count",
    "overtime_heads_count",
]  # fmt: skip


@dataclass(frozen=True)
class Schedule:
    """One outage with its schedule: what was laid out and how it was levelled."""

    laid: Laid
    levelled: Levelled


def _running(schedule: Schedule) -> pd.DataFrame:
    """Return the tasks that run, without those of access that nobody needs.

    Adds start_days, end_days [days from breaker open] and length_days.
    """
    laid, per_day = schedule.laid, schedule.laid.outage.slots_per_day
    table = laid.tasks.merge(schedule.levelled.starts, on="task")
    table["start_days"], table["end_days"] = table["start"] / per_day, table["end"] / per_day
    table["length_days"] = table["end_days"] - table["start_days"]
    return table[~table["access"].isin(idle_access(laid, schedule.levelled))]


def _heads(schedule: Schedule, table: pd.DataFrame) -> pd.DataFrame:
    """Return heads of each running task by trade: task, resource, heads_count, found_share."""
    own = schedule.laid.loads[schedule.laid.loads["resource"].isin(schedule.laid.heads["resource"])]
    both = own.merge(table, on="task")
    both["heads_count"] = both["amount"] / both["length_days"]
    return both.assign(found_share=both["found_amount"] / both["amount"])


def _heads_text(heads: pd.DataFrame) -> pd.Series:
    """Return the heads of each task in words, by task: trade and heads, in order of trade."""
    texts: dict[str, list[str]] = {}
    for row in rows(heads.sort_values(["task", "resource"])):
        texts.setdefault(row.task, []).append(f"{row.resource} {row.heads_count:.1f}")
    return pd.Series({task: ", ".join(own) for task, own in texts.items()}, dtype="str")


def _lacking(row: Any) -> str:
    """Return what a task that fits nowhere lacks, in words: amounts on a day, or days."""
    if row.most_amount == 0:
        return f"{row.resource}, 0 are there on its days"
    if row.needed_amount > row.most_amount:
        return f"{row.needed_amount:g} of {row.resource}, {row.most_amount:g} are there on a day"
    what = f" of {row.resource}" if row.resource else ""
    return f"{row.needed_days:g} days{what}, {row.window_days:g} are there"


def _why(laid: Laid, left_out: set[str]) -> pd.Series:
    """Return why tasks are left out, by task."""
    found = {}
    for row in rows(laid.unfit):
        own = f"{row.because_of} " if row.because_of else ""
        found[row.task] = f"{own}needs {_lacking(row)}"
    return pd.Series({name: found.get(name, "no room beside the others") for name in left_out})


def _access_names(choices: Choices, table: pd.DataFrame) -> pd.Series:
    """Return the access sets of each task joined by a space; tasks of access are of their own."""
    members = choices.access_members
    own = members[members["placement"].isin(table["placement"])].groupby("placement")["access_set"]
    names = table["placement"].map(own.agg(lambda sets: " ".join(sorted(set(sets)))))
    return words(names.where(table["access"] == "", table["action"]), "")


def schedule_table(case: Case, choices: Choices, schedules: Sequence[Schedule]) -> pd.DataFrame:
    """Return every task of the outages on its days: columns `SCHEDULE`, by outage, window and day.

    window_from_days and window_to_days are the days on which it may run; they,
    start_days and end_days count from breaker open; stretch_share is how much longer than stated
    a task takes, empty where no days are stated (alongside); heads, the average heads of each
    trade while it runs, in words. What is left out has no days; `why` says what it lacks. Set-up,
    alongside and lift have the unit as component and the access set as action.
    """
    tables = [pd.DataFrame({name: [] for name in SCHEDULE})]
    for schedule in schedules:
        laid, per_day = schedule.laid, schedule.laid.outage.slots_per_day
        running = _running(schedule)
        idle = laid.tasks[~laid.tasks["task"].isin(running["task"])]
        idle = idle[idle["placement"] >= 0]
        table = pd.concat([running, idle], ignore_index=True)
        table["is_left_out"] = ~table["task"].isin(running["task"])
        table["outage"] = laid.outage.period
        table["window_from_days"] = table["earliest"] / per_day
        table["window_to_days"] = table["latest"] / per_day
        stretch = (table["length_days"] * per_day / table["least"] - 1).round(3)
        table["stretch_share"] = stretch.where(table["kind"] != "alongside")
        opened = laid.outage.start_days
        table["start_date"] = _dates(case, table["start_days"] + opened)
        table["end_date"] = _dates(case, table["end_days"] + opened - 1 / per_day)
        table["access_sets"] = _access_names(choices, table)
        table["heads"] = words(table["task"].map(_heads_text(_heads(schedule, running))), "")
        table["why"] = words(table["task"].map(_why(laid, set(idle["task"]))), "")
        order = ["window_from_days", "window_to_days", "start_days", "task"]
        tables.append(table.sort_values(order)[SCHEDULE])
    filled = [table for table in tables[1:] if len(table)]
    return pd.concat(filled, ignore_index=True) if filled else tables[0]


def _dates(case: Case, days: pd.Series) -> pd.Series:
    """Return dates as ISO text, empty where there are no days."""
    return dates_at(case, days.fillna(0.0)).where(days.notna(), "")


def held_heads(schedule: Schedule) -> pd.DataFrame:
    """Return the heads that an outage's tasks hold: columns `HELD`, days from planning."""
    opened, heads = schedule.laid.outage.start_days, _heads(schedule, _running(schedule))
    return pd.DataFrame(
        {
            "period": schedule.laid.outage.period,
            "resource": heads["resource"],
            "start_days": heads["start_days"] + opened,
            "end_days": heads["end_days"] + opened,
            "heads_count": heads["heads_count"],
        }
    )[HELD]


def _band_profile(schedule: Schedule, resource: str) -> FloatArray:
    """Return the heads that overtime adds in each slot [slots]."""
    laid = schedule.laid
    used = schedule.levelled.bands.merge(laid.problem.bands, on=["resource", "start", "end"])
    found = np.zeros(laid.outage.slots)
    for row in rows(used[used["resource"] == resource]):
        found[row.start : row.end] += row.amount / PARTS
    return found


def _no_heads() -> pd.DataFrame:
    """Return the heads of an outage without any crew: no rows, with their columns."""
    names = {"days": "float64", "resource": "str"} | dict.fromkeys(COUNTS, "float64")
    kinds = names | {"outage": "str"}
    return pd.DataFrame({name: pd.Series(dtype=kind) for name, kind in kinds.items()})


def slot_heads(schedule: Schedule) -> pd.DataFrame:
    """Return what every trade of an outage does in each slot: one row a trade and slot.

    days (from planning, of the slot's start), resource, heads_count of tasks, found_heads_count
    (expected of discoveries), base_heads_count, limit_heads_count and overtime_heads_count. No
    rows where a kind of outage has no crews.
    """
    laid, tables = schedule.laid, list[pd.DataFrame]()
    heads = _heads(schedule, _running(schedule))
    opened, slots = laid.outage.start_days, laid.outage.slots
    for row in rows(laid.heads):
        own = heads[heads["resource"] == row.resource]
        used, found = np.zeros(slots), np.zeros(slots)
        for task in rows(own):
            used[task.start : task.end] += task.heads_count
            found[task.start : task.end] += task.heads_count * task.found_share
        tables.append(
            pd.DataFrame(
                {
                    "days": opened + np.arange(slots) / laid.outage.slots_per_day,
                    "resource": row.resource,
                    "heads_count": used,
                    "found_heads_count": found,
                    "base_heads_count": base_profile(laid.outage, row.base_heads_count),
                    "limit_heads_count": row.heads_count,
                    "overtime_heads_count": _band_profile(schedule, row.resource),
                }
            )
        )
    if not tables:
        return _no_heads()
    return pd.concat(tables, ignore_index=True).assign(outage=laid.outage.period)


def _weekly(case: Case, table: pd.DataFrame) -> pd.DataFrame:
    """Return heads on days as averages of calendar weeks, with the highest day of each."""
    first = (-case.settings.planning_date.weekday()) % WEEK_DAYS - WEEK_DAYS
    week = np.floor((table["days"] - first) / WEEK_DAYS) * WEEK_DAYS + first
    table = table.assign(
        week_start_date=dates_at(case, week),
        most_heads_count=table["heads_count"] + table["base_heads_count"],
    )
    sums = dict.fromkeys(COUNTS, "mean") | {"most_heads_count": "max"}
    key = ["outage", "week_start_date", "resource"]
    found: pd.DataFrame = table.groupby(key, as_index=False).agg(sums)
    share = found["found_heads_count"] / found["heads_count"].where(found["heads_count"] > 0)
    found["found_share"] = share.fillna(0.0)
    return found.drop(columns="found_heads_count").round(3)


def _site(case: Case, table: pd.DataFrame) -> pd.DataFrame:
    """Return the heads of all outages together on each day, against the site's pool."""
    pool = case["resources"].set_index("resource")["pool_heads_count"]
    table = table.assign(days=np.floor(table["days"]))
    numbers = [name for name in COUNTS if name != "limit_heads_count"]
    key = ["days", "resource"]
    daily = table.groupby(["outage", *key], as_index=False)[numbers].mean()
    daily = daily.groupby(key, as_index=False)[numbers].sum()
    limit = daily["resource"].map(pool).astype("float64")
    return daily.assign(outage="site", limit_heads_count=limit)[limit.notna()]


def weekly_histogram(case: Case, schedules: Sequence[Schedule]) -> pd.DataFrame:
    """Return heads by outage, calendar week and trade, and of the whole site; one row each.

    heads_count, of tasks on an average day of the outage in that week; base_heads_count, of base
    scope; limit_heads_count, the crew, or the site's pool; overtime_heads_count, what overtime
    adds to it; most_heads_count, the fullest day with base scope; found_share, how much of
    heads_count is expected of discoveries; direct_hours and paid_hours of a full week of such
    days. No rows where no outage has crews.
    """
    every = pd.concat([_no_heads(), *map(slot_heads, schedules)], ignore_index=True)
    found = pd.concat([_weekly(case, every), _weekly(case, _site(case, every))], ignore_index=True)
    key = ["outage", "resource"]
    crews = [s.laid.heads.assign(outage=s.laid.outage.period) for s in schedules]
    hours = pd.concat([_no_heads().assign(head_hours=0.0), *crews])[[*key, "head_hours"]]
    found = found.merge(hours, how="left", on=key)
    found["direct_hours"] = (found["heads_count"] * found["head_hours"] * WEEK_DAYS).round(1)
    found["paid_hours"] = (found["heads_count"] * case.settings.paid_hours_per_week).round(1)
    order = ["outage", "week_start_date", "resource"]
    return found.drop(columns="head_hours").sort_values(order, ignore_index=True)


def window_fill(choices: Choices, schedule: Schedule) -> pd.DataFrame:
    """Return how full each window of an outage is once levelled: one row a window and trade.

    The windows are those of its works, and the whole. used_head_days, of all tasks on its days
    with base scope; limit_head_days, of the crew with the overtime used; full_share of both;
    most_share, the same on its fullest slot. No rows where a kind of outage has no crews.
    """
    laid = schedule.laid
    outage, per_day = laid.outage, laid.outage.slots_per_day
    there = laid.tasks["placement"]
    own = choices.placements[choices.placements["placement"].isin(there)]
    first, last = (own[f"span_{name}_days"] - outage.start_days for name in ("start", "end"))
    spans = {*zip(first, last, strict=True), (0.0, outage.days)}
    table = slot_heads(schedule)
    table["used"] = table["heads_count"] + table["base_heads_count"]
    table["limit"] = table["limit_heads_count"] + table["overtime_heads_count"]
    table["full"] = table["used"] / table["limit"].where(table["limit"] > 0)
    day, found = table["days"] - outage.start_days, []
    for a, b in sorted(spans):
        name = WHOLE if (a, b) == (0.0, outage.days) else f"{a:g}-{b:g}"
        inside = table[(day >= a) & (day < b)].groupby("resource", as_index=False)
        part = inside.agg({"used": "sum", "limit": "sum", "full": "max"})
        found.append(part.assign(outage=outage.period, window=name))
    both = pd.concat(found, ignore_index=True)
    result: pd.DataFrame = both[["outage", "window", "resource"]].assign(
        used_head_days=both["used"] / per_day,
        limit_head_days=both["limit"] / per_day,
        full_share=both["used"] / both["limit"],
        most_share=both["full"],
    )
    rounded: pd.DataFrame = result.round(3)
    return rounded
