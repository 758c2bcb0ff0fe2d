"""One outage moved by some days: the same works levelled again, and what changes, unit by unit."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pandas as pd

from bundler.around_plan import keys, works_of
from bundler.calendar import periods as all_periods
from bundler.case import Case, with_tables
from bundler.compose import choices_of
from bundler.courses.described import described
from bundler.errors import BundlerError
from bundler.executable import judged
from bundler.judge.verdict import Breach
from bundler.level.outages import Plan, level_outages, outages_in
from bundler.level.solve import Effort
from bundler.level.tables import Schedule, schedule_table
from bundler.plan.chosen import chosen_by, cost_parts
from bundler.reopen import Opened
from bundler.shared.around import around, first_around
from bundler.shared.shared import shared_of
from bundler.standing.settle import as_it_stands
from bundler.standing.whole import same_plan
from bundler.tables import words

Progress = Callable[[str, float], None]
CHANGES = [
    "unit", "outage", "task", "change", "before_date", "after_date", "moved_days",
    "before_end_date", "after_end_date", "why",
]  # fmt: skip
#: days by which an outage may move at most, either way; our choice
MOST_DAYS = 3650.0
SLOW, GONE, IN, SAME = "moves", "finds no room any more", "finds room now", "whole outage"


@dataclass(frozen=True)
class Slip:
    """What one outage moved by some days changes.

    changes : one row a task whose days change, and one for each outage as a whole; columns
        `CHANGES`, sorted by unit and day. lost : works of the plan that have no window any more.
    added_pv_cost : what the same works cost more in risk and money at the new dates.
    breaches : what the plan breaks at the new dates.
    """

    outage: str
    days: float
    changes: pd.DataFrame
    lost: tuple[str, ...]
    added_pv_cost: float
    breaches: tuple[Breach, ...]


def slipped_case(case: Case, outage: str, days: float) -> Case:
    """Return the case with an outage moved; its freeze and all others stay.

    Raises BundlerError for an outage that is not there, or days that lead out of the horizon.
    """
    table = case["outages"]
    if outage not in set(table["outage"]):
        raise BundlerError(
            f"There is no outage {outage} in outages.csv. Name one of them with --slip, for "
            f"example {table['outage'].iloc[0]}=7."
        )
    at = table["outage"] == outage
    begins = table.loc[at, "start_date"].iloc[0]
    first, last = (pd.Timestamp(day) for day in (
        case.settings.planning_date, case.settings.horizon_end_date
    ))  # fmt: skip
    if not -MOST_DAYS <= days <= MOST_DAYS or not first <= begins + pd.Timedelta(days=days) <= last:
        raise BundlerError(
            f"{outage} cannot move by {days:g} days: it begins on {begins.date()}, and outages "
            f"begin from {first.date()} to {last.date()}. Give fewer days with --slip."
        )
    moved = table["start_date"] + pd.Timedelta(days=days)
    return with_tables(case, outages=table.assign(start_date=table["start_date"].where(~at, moved)))


def _replanned(case: Case, works: frozenset[tuple[str, str, str]]) -> Plan:
    """Return the plan that holds as many of these works as there are courses for.

    With itself around its components, as the plan before is told, also where it breaks something.
    """
    shared = shared_of(case, all_periods(case), described(case))
    choices, courses = choices_of(case, around=first_around(shared))
    plan = same_plan(choices, works)
    there = around(case, shared, courses.fits, works_of(choices, plan))
    choices, _ = choices_of(case, around=there)
    found = as_it_stands(choices, same_plan(choices, works))
    picked = chosen_by(choices, found)
    return Plan(case, choices, picked)


def _touched(plan: Plan, outage: str) -> list[str]:
    """Return an outage and those that are under way on some of its days."""
    periods = plan.choices.periods.set_index("period")
    own = periods.loc[outage]
    return [
        name
        for name in outages_in(plan)
        if periods.at[name, "start_days"] < own["end_days"]
        and periods.at[name, "end_days"] > own["start_days"]
    ]


def _days(plan: Plan, schedules: Sequence[Schedule]) -> pd.DataFrame:
    names = ["outage", "task", "start_date", "end_date", "is_left_out", "why"]
    table = schedule_table(plan.case, plan.choices, list(schedules))[names]
    return table.assign(is_left_out=table["is_left_out"].astype(bool))


def _change(row: pd.Series) -> str:
    """Return what happens to a task, "" where nothing does."""
    gone, there = row["is_left_out_after"], row["is_left_out_before"]
    if gone is not there:
        return GONE if gone else IN
    is_same = row["start_date_before"] == row["start_date_after"]
    return "" if is_same and row["end_date_before"] == row["end_date_after"] else SLOW


def _tasks(before: pd.DataFrame, after: pd.DataFrame) -> pd.DataFrame:
    """Return the tasks whose days change, in the columns of `CHANGES` but unit."""
    both = before.merge(after, on=["outage", "task"], suffixes=("_before", "_after"), how="outer")
    for side in ("before", "after"):
        both[f"is_left_out_{side}"] = [value is not False for value in both[f"is_left_out_{side}"]]
        for name in ("start_date", "end_date", "why"):
            both[f"{name}_{side}"] = words(both[f"{name}_{side}"], "")
    both["change"] = [_change(row) for _, row in both.iterrows()]
    both = both[both["change"] != ""]
    first, last = (pd.to_datetime(both[f"start_date_{s}"]) for s in ("before", "after"))
    return pd.DataFrame(
        {
            "outage": both["outage"],
            "task": both["task"],
            "change": both["change"],
            "before_date": both["start_date_before"],
            "after_date": both["start_date_after"],
            "moved_days": (last - first).dt.days,
            "before_end_date": both["end_date_before"],
            "after_end_date": both["end_date_after"],
            "why": both["why_after"],
        }
    )


def _wholes(before: pd.DataFrame, after: pd.DataFrame) -> pd.DataFrame:
    """Return one row an outage whose first or last day of work changes."""
    runs = [table[~table["is_left_out"]] for table in (before, after)]
    ends = [
        table.groupby("outage").agg(first=("start_date", "min"), last=("end_date", "max"))
        for table in runs
    ]
    sides = [own.add_suffix(side) for own, side in zip(ends, ("_before", "_after"), strict=True)]
    both = pd.concat(sides, axis=1)
    both = both.apply(lambda own: words(own, ""))
    both = both[
        (both["first_before"] != both["first_after"]) | (both["last_before"] != both["last_after"])
    ]
    moved = pd.to_datetime(both["last_after"]) - pd.to_datetime(both["last_before"])
    return pd.DataFrame(
        {
            "outage": both.index.astype("str"), "task": SAME, "change": SLOW,
            "before_date": both["first_before"], "after_date": both["first_after"],
            "moved_days": moved.dt.days, "before_end_date": both["last_before"],
            "after_end_date": both["last_after"], "why": "",
        }
    )  # fmt: skip


def changes_between(units: pd.Series, before: pd.DataFrame, after: pd.DataFrame) -> pd.DataFrame:
    """Return what differs between two schedules: columns `CHANGES`, unit by unit.

    units : unit of each outage, by outage. before, after : outage, task, start_date, end_date,
        is_left_out, why. moved_days is that of the start, of a whole outage that of its last day.
    """
    parts = [_wholes(before, after), _tasks(before, after)]
    found = pd.concat([part for part in parts if len(part)] or parts[:1], ignore_index=True)
    found["unit"] = found["outage"].map(units)
    found["is_task"] = found["task"] != SAME
    order = ["unit", "outage", "is_task", "after_date", "task"]
    return found.sort_values(order, kind="stable", ignore_index=True)[CHANGES]


def _half(progress: Progress, number: int) -> Progress:
    """Return progress of the first (0) or the second half of a job."""
    word = ("before", "moved")[number]
    return lambda stage, share: progress(f"{stage}, {word}", (number + share) / 2)


def slip(opened: Opened, outage: str, days: float, effort: Effort, progress: Progress) -> Slip:
    """Return what changes when an outage moves by some days and the works of the plan stay.

    The outage and those under way on its days are levelled at the old dates and at the new.
    Raises BundlerError for an outage that is not there.
    """
    case = slipped_case(opened.case, outage, days)
    plan = Plan(opened.case, opened.choices, opened.picked)
    moved = _replanned(case, keys(opened.picked.works))
    names = sorted({*_touched(plan, outage), *_touched(moved, outage)})
    before, after = (
        level_outages(each, effort, _half(progress, number), names) if names else []
        for number, each in enumerate((plan, moved))
    )
    units = moved.choices.periods.set_index("period")["unit"]
    lost = keys(opened.picked.works) - keys(moved.picked.works)
    costs = [cost_parts(each.choices, each.picked)["objective_pv_cost"] for each in (plan, moved)]
    table = changes_between(units, _days(plan, before), _days(moved, after))
    return Slip(
        outage, days, table, tuple(f"{c} {a} in {p}" for c, a, p in sorted(lost)),
        costs[1] - costs[0], judged(moved, after),
    )  # fmt: skip
