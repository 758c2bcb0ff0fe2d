"""All outages of a plan levelled one after the other, in the order in which they open."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

import pandas as pd

from bundler.case import Case
from bundler.choice import Choices
from bundler.level.fits import left_out
from bundler.level.outage import Laid, no_held, outage_problem, without_idle
from bundler.level.solve import Effort, level
from bundler.level.tables import Schedule, held_heads, schedule_table, weekly_histogram, window_fill
from bundler.level.values import Values
from bundler.plan.chosen import Chosen

Progress = Callable[[str, float], None]
FINISH = [
    "outage", "unit", "works_count", "left_out_count", "finish_days", "bound_days", "limit_days",
    "float_days", "overtime_weeks", "status",
]  # fmt: skip


@dataclass(frozen=True)
class Plan:
    """What is levelled: a case, what could be chosen, what was."""

    case: Case
    choices: Choices
    picked: Chosen


def outages_in(plan: Plan, names: Collection[str] = ()) -> list[str]:
    """Return the outages that hold works, in the order in which they open; only some if named."""
    there = set(plan.picked.works["period"])
    periods = plan.choices.periods[plan.choices.periods["is_outage"]]
    ordered = periods.sort_values(["start_days", "period"])["period"]
    return [str(name) for name in ordered if name in there and (not names or name in names)]


def _levelled(laid: Laid, effort: Effort) -> Schedule:
    """Return an outage levelled; once more where access was made that nobody needs."""
    levelled = level(laid.problem, effort)
    few = without_idle(laid, levelled)
    if few is not laid:
        laid, levelled = few, level(few.problem, effort)
    return Schedule(laid, levelled)


def level_outages(
    plan: Plan, effort: Effort, progress: Progress, names: Sequence[str] = (),
    known: Sequence[Schedule] = (),
) -> list[Schedule]:  # fmt: skip
    """Return the schedule of each outage, in the order in which they open.

    Parameters
    ----------
    names : the outages to be levelled; all that hold works by default.
    known : schedules that stand: their heads hold the site's pool.

    One that opens earlier takes what it needs of the pool; base scope of all counts.
    """
    asked = outages_in(plan, names)
    found, values = list[Schedule](), Values(plan.choices, plan.picked)
    for number, period in enumerate(asked):
        progress(f"levelling {period}", number / len(asked))
        others = [each for each in (*known, *found) if each.laid.outage.period != period]
        held = pd.concat([no_held(), *(held_heads(each) for each in others)], ignore_index=True)
        laid = outage_problem(
            plan.case, plan.choices, plan.picked, period, held=held, values=values.of(period)
        )
        found.append(_levelled(laid, effort))
    progress("levelled", 1.0)
    return found


def _weeks(schedule: Schedule) -> int:
    return len(schedule.levelled.bands)


def finish_table(schedules: Sequence[Schedule]) -> pd.DataFrame:
    """Return when the work of each outage ends: one row an outage; columns `FINISH`.

    finish_days and bound_days (no schedule that leaves out as little ends sooner) count from
    breaker open, limit_days is the outage with its added days, float_days what is left of it;
    overtime_weeks counts weeks of overtime of all trades.
    """
    found = []
    for each in schedules:
        outage, levelled = each.laid.outage, each.levelled
        per_day = outage.slots_per_day
        works = each.laid.tasks[each.laid.tasks["kind"] == "work"]
        finish = levelled.finish / per_day
        found.append((
            outage.period, outage.unit, len(works), len(left_out(each)), finish,
            levelled.finish_bound / per_day, outage.days, outage.days - finish, _weeks(each),
            levelled.status,
        ))  # fmt: skip
    return pd.DataFrame(found, columns=FINISH)


def level_tables(plan: Plan, schedules: Sequence[Schedule]) -> dict[str, pd.DataFrame]:
    """Return the tables of levelled outages by name."""
    fill = [window_fill(plan.choices, each) for each in schedules]
    return {
        "level_finish": finish_table(schedules),
        "level_days": schedule_table(plan.case, plan.choices, schedules),
        "level_weeks": weekly_histogram(plan.case, schedules),
        "level_windows": pd.concat(fill, ignore_index=True) if fill else pd.DataFrame(),
    }
