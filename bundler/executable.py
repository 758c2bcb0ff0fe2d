"""A plan made executable: levelled, what does not fit fed back, planned again, in rounds."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import pandas as pd

from bundler.around_plan import keys
from bundler.case import Case, with_tables
from bundler.errors import NoPlanError, SolverError
from bundler.judge.judge import judge
from bundler.judge.schedule import judge_schedule
from bundler.judge.verdict import Breach
from bundler.level.chances import Doubts
from bundler.level.fits import FITS, fits_of, joined_fits, left_out, with_fits
from bundler.level.lacks import lack_of
from bundler.level.outages import Plan, level_outages, outages_in
from bundler.level.promised import no_pins, promises, too_late, with_pins
from bundler.level.saved import renumbered
from bundler.level.solve import Effort
from bundler.level.tables import Schedule, schedule_table
from bundler.level.values import Values
from bundler.plan.chosen import chosen_by, cost_parts
from bundler.reopen import Opened
from bundler.rounds import Start, plan_in_rounds
from bundler.run import facts_of
from bundler.solve.highs import Options
from bundler.tables import empty, rows

Progress = Callable[[str, float], None]
#: rounds of planning and levelling at most, where nobody says; our choice
MOST_ROUNDS = 3
#: works by which a plan may differ from that of the round before: so many for each work without
#: room, and so many beside; our choice
CHANGES_EACH, FEW_CHANGES = 4, 10
Work = tuple[str, str, str]
WORK = ["component", "action", "outage"]


@dataclass(frozen=True)
class Ask:
    """What is asked for: which outages (none: all with works), how hard, how many rounds.

    promise : the chance with which each outage has to end in time; None: as levelled is enough.
    """

    names: tuple[str, ...] = ()
    effort: Effort = Effort()
    options: Options = Options()
    rounds_count: int = MOST_ROUNDS
    promise: Doubts | None = None


@dataclass(frozen=True)
class LevelRound:
    """One round: the plan's works and cost, works without room on days, rows fed back, moves."""

    works_count: int
    pv_cost: float
    left_out_count: int
    rows_count: int
    moved_count: int


@dataclass(frozen=True)
class Executed:
    """A plan with its schedules, what was fed back, and what stays open.

    fits : rows of `levelled` in force. pins : works taken out to end in time with the chance asked
    for, as pins. stuck : works that find no room and may not be moved, or,
    where the rounds have ended, all that find none: outage, work, why. clash : why no plan keeps
    what fits, "" where one does. promises : finish with the chance asked for, as `promises`; empty
    where none is. works : those of the first plan.
    """

    plan: Plan
    schedules: tuple[Schedule, ...]
    fits: pd.DataFrame
    pins: pd.DataFrame
    rounds: tuple[LevelRound, ...]
    stuck: pd.DataFrame
    clash: str
    promises: pd.DataFrame
    first_works: frozenset[Work]
    breaches: tuple[Breach, ...]

    @property
    def is_executable(self) -> bool:
        """Whether every work of the levelled outages has its days, and every promise is kept."""
        return self.stuck.empty and bool(self.promises.empty or self.promises["is_kept"].all())


def _fed_back(plan: Plan, schedules: Sequence[Schedule]) -> pd.DataFrame:
    """Return what fits in the windows of works without room, those of law and pins apart."""
    values = Values(plan.choices, plan.picked)
    found = [
        fits_of(plan.choices, plan.picked, each, set(values.forced(each.laid.outage.period)))
        for each in schedules
    ]
    kept = [table for table in found if len(table)]
    return pd.concat(kept, ignore_index=True) if kept else pd.DataFrame(columns=FITS)


def _held(case: Case, works: frozenset[Work], changes: int) -> Case:
    """Return the case with these works agreed, so that a plan differs by few of them.

    A case with an agreed plan of its own stays as it is.
    """
    if len(case["agreed"]):
        return case
    table = pd.DataFrame(sorted(works), columns=["component", "action", "outage"])
    table = table[table["outage"].isin(set(case["outages"]["outage"]))]
    kinds = empty("agreed").dtypes.to_dict()
    held = with_tables(case, agreed=table.assign(file_row=0).astype(kinds))
    return replace(held, settings=replace(held.settings, most_changes_count=changes))


def _too_late(plan: Plan, schedules: Sequence[Schedule], ask: Ask) -> pd.DataFrame:
    """Return the works to take out so that outages end in time with the chance asked for."""
    if ask.promise is None:
        return no_pins()
    values = Values(plan.choices, plan.picked)
    found = [too_late(plan, each, ask.promise, values) for each in schedules]
    return pd.concat([no_pins(), *found], ignore_index=True)


def _planned(plan: Plan, case: Case, gone: frozenset[Work], ask: Ask, progress: Progress) -> Plan:
    """Return the plan of a case that keeps what fits: the plan there is, with few changes.

    Begun at its works without those in `gone`. Raises NoPlanError where no such plan keeps every
    rule.
    """
    works = keys(plan.picked.works)
    held = _held(case, works, CHANGES_EACH * len(gone) + FEW_CHANGES)
    found = plan_in_rounds(held, ask.options, progress, Start(works - gone, {}))
    return Plan(case, found.choices, chosen_by(found.choices, found.solved))


def _is_same(before: Plan, after: Plan, period: str) -> bool:
    """Whether an outage holds the same works on as many days in both plans."""
    names = ["component", "action", "start_days", "end_days", "days"]
    one, two = (
        each.picked.works[each.picked.works["period"] == period][names].sort_values(names)
        for each in (before, after)
    )
    longer = [each.picked.extension_days.get(period, 0.0) for each in (before, after)]
    return longer[0] == longer[1] and one.reset_index(drop=True).equals(two.reset_index(drop=True))


def _relevelled(
    before: Plan, after: Plan, schedules: Sequence[Schedule], ask: Ask, progress: Progress
) -> list[Schedule]:
    """Return the schedules of another plan; outages that hold the same works keep theirs."""
    kept = {
        each.laid.outage.period: renumbered(each, after)
        for each in schedules
        if _is_same(before, after, each.laid.outage.period)
    }
    asked = outages_in(after, ask.names)
    new = [name for name in asked if name not in kept]
    found = level_outages(after, ask.effort, progress, new, tuple(kept.values())) if new else []
    both = kept | {each.laid.outage.period: each for each in found}
    return [both[name] for name in asked if name in both]


def _why(row: Any, schedules: dict[str, Schedule]) -> str:
    """Return what a work lacks, in words."""
    schedule, task = schedules[row.outage], f"{row.component} {row.action}"
    if task not in set(schedule.laid.problem.tasks["task"]):
        return str(row.why)
    lack = lack_of(schedule, task)
    if not lack.resource:
        return "its order and windows leave no days beside the others"
    return f"enough of {lack.resource} is free on {lack.free_share:.0%} of its days"


def _stuck(schedules: Sequence[Schedule], plan: Plan) -> pd.DataFrame:
    """Return the works without room on days: outage, component, action, why."""
    table = schedule_table(plan.case, plan.choices, list(schedules))
    out = table[table["is_left_out"].astype(bool) & (table["kind"] == "work")]
    out = out[["outage", "component", "action", "why"]].reset_index(drop=True)
    by_name = {each.laid.outage.period: each for each in schedules}
    return out.assign(why=pd.Series([_why(row, by_name) for row in rows(out)], dtype="str"))


def _round(plan: Plan, schedules: Sequence[Schedule], fed: int, before: Plan) -> LevelRound:
    moved = keys(plan.picked.works) ^ keys(before.picked.works)
    cost = cost_parts(plan.choices, plan.picked)["objective_pv_cost"]
    left = sum(len(left_out(each)) for each in schedules)
    return LevelRound(len(plan.picked.works), cost, left, fed, len(moved))


def judged(plan: Plan, schedules: Sequence[Schedule]) -> tuple[Breach, ...]:
    """Return what the judges of plan and schedule, which know no solver, find against them."""
    facts = facts_of(plan.choices, plan.picked)
    table = schedule_table(plan.case, plan.choices, list(schedules))
    return (*judge(plan.case, facts), *judge_schedule(plan.case, facts, table))


def executed(opened: Opened, ask: Ask, progress: Progress) -> Executed:
    """Return a plan levelled outage by outage; what cannot be levelled is fed back, in rounds.

    Each round levels, turns what found no room into rows of what fits (`levelled`), takes works
    out of outages that would end too late with the chance asked for (`pins`), and plans again;
    outages that hold the same works keep their schedule. It ends when all works have their days,
    when no plan keeps what fits, or after the rounds asked for; `stuck` tells what is left.
    Works that law or pins force in are never moved.
    """
    plan = first = before = Plan(opened.case, opened.choices, opened.picked)
    schedules = level_outages(plan, ask.effort, progress, ask.names)
    fits, pins, told, clash = opened.case["levelled"][FITS], no_pins(), list[LevelRound](), ""
    for number in range(ask.rounds_count + 1):
        more, late = _fed_back(plan, schedules), _too_late(plan, schedules, ask)
        is_last = number == ask.rounds_count or (more.empty and late.empty)
        told.append(_round(plan, schedules, 0 if is_last else len(more) + len(late), before))
        if is_last:
            break
        tried = joined_fits(fits, more), pd.concat([pins, late], ignore_index=True)
        out = pd.concat([_stuck(schedules, plan)[WORK], late[WORK]])
        gone = frozenset(out.itertuples(index=False, name=None))
        try:
            case = with_pins(with_fits(first.case, tried[0]), tried[1])
            after = _planned(plan, case, gone, ask, progress)
        except (NoPlanError, SolverError) as fault:
            clash = str(fault)
            break
        (fits, pins), before, plan = tried, plan, after
        schedules = _relevelled(before, plan, schedules, ask, progress)
    kept = promises(plan, schedules, ask.promise) if ask.promise else pd.DataFrame()
    return Executed(
        plan, tuple(schedules), fits, pins, tuple(told), _stuck(schedules, plan), clash,
        kept, keys(first.picked.works), judged(plan, schedules),
    )  # fmt: skip
