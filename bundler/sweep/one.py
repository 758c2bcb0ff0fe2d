"""One run of a sweep: the changed case planned from the base plan, judged, told in short."""

import time
from dataclasses import dataclass, replace

import pandas as pd
from threadpoolctl import threadpool_limits

from bundler.around_plan import keys
from bundler.case import Case
from bundler.choice import Choices, Lives
from bundler.dates.choose import choose_dates
from bundler.errors import NoPlanError, SolverError
from bundler.judge.judge import judge
from bundler.plan.chosen import chosen_by, cost_parts, first_works
from bundler.rounds import Start, plan_in_rounds
from bundler.run import facts_of, silent, tail_facts, why_not
from bundler.solve.answer import Solved
from bundler.solve.highs import Options
from bundler.solve.tail import Search
from bundler.sweep.changes import Change, changed
from bundler.sweep.done import NO_ANSWER, NO_PLAN, Done
from bundler.sweep.kept import kept_pv_cost
from bundler.tailed import tailed


@dataclass(frozen=True)
class Job:
    """A run to be made: the base case with its changes; all that a process far away needs.

    lives : scenarios of lives that the plan is made over; None for the lives assumed.
    start : None for the base plan, and where there is none.
    """

    key: str
    case: Case
    changes: tuple[Change, ...]
    options: Options
    lives: Lives | None = None
    start: Start | None = None


def start_of(done: Done) -> Start | None:
    """Return a plan as a start for others; None where there is no plan."""
    if not done.has_plan:
        return None
    prices = {(rule, key): price for rule, key, price in done.prices if rule != "placed"}
    return Start(frozenset(done.works), prices)


def _told(case: Case, choices: Choices, solved: Solved, scenarios: pd.DataFrame | None) -> Done:
    """Return a plan, judged, in short."""
    picked = chosen_by(choices, solved)
    breaches = judge(case, facts_of(choices, picked, tail_facts(choices, solved, scenarios)))
    costs = {
        **cost_parts(choices, picked),
        "objective_pv_cost": solved.objective_pv_cost,
        "bound_pv_cost": solved.bound_pv_cost,
        "gap_share": solved.gap_share,
    }
    return Done(
        status=solved.status,
        costs={name: float(cost) for name, cost in costs.items()},
        works=tuple(sorted(keys(picked.works))),
        firsts=first_works(picked.works),
        extension_days=float(sum(picked.extension_days.values())),
        breaches=tuple(breach.text for breach in breaches),
        prices=tuple((rule, key, float(n)) for (rule, key), n in solved.relaxed.prices.items()),
    )


def _planned(job: Job) -> Done:
    """Return the plan of a run; raises NoPlanError with the reason in words, or SolverError."""
    case = choose_dates(changed(job.case, job.changes)).case
    try:
        rounds = plan_in_rounds(case, job.options, silent, job.start)
        if job.lives is None:
            done = _told(case, rounds.choices, rounds.solved, None)
            kept = kept_pv_cost(case, rounds, job.start.works) if job.start else None
            return replace(done, kept_pv_cost=kept)
        found = tailed(case, rounds, job.lives, Search(job.options, silent))
    except NoPlanError as fault:
        raise NoPlanError(why_not(case)) from fault
    return _told(case, found.choices, found.solved, found.scenarios)


def run_one(job: Job) -> Done:
    """Return a finished run, on one thread; a run without a plan is told, not raised."""
    began = time.perf_counter()
    with threadpool_limits(limits=1):
        try:
            done = _planned(job)
        except NoPlanError as fault:
            done = Done(NO_PLAN, str(fault))
        except SolverError as fault:
            done = Done(NO_ANSWER, str(fault))
    kept = replace(done, prices=()) if job.changes else done
    return replace(kept, seconds=round(time.perf_counter() - began, 3))
