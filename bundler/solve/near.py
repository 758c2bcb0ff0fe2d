"""Plan first over courses that are near the best at the relaxed prices, then proof over all."""

import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from bundler.choice import Choices, FloatArray, only
from bundler.errors import NoPlanError, SolverError
from bundler.program.build import build_program
from bundler.program.model import Program
from bundler.solve.answer import Known, Solved
from bundler.solve.highs import Options, ask_better, relax
from bundler.solve.search import Progress, best_plan, search, solved_from

#: makes a plan cheaper if it can
Polish = Callable[[Solved], Solved]
#: courses that cost at most this share of the bound more, at the relaxed prices, are near; by
#: trial on the demo: a fifth of this or five times this gives dearer plans in the same time
NEAR_SHARE = 0.002
#: part of the time for the plan, and of the gap that it may leave; the proof has the rest
PLAN_SHARE, PLAN_GAP = 0.4, 0.8


def reduced_costs(program: Program) -> FloatArray:
    """Return what each course costs more than its component's best, at the relaxed prices [n].

    To be read right after the relaxed problem was solved.
    """
    return np.array([float(x.dj or 0.0) for x in program.x.values()])


def _near(choices: Choices, extra: FloatArray, bound: float, known: Known | None) -> Choices:
    """Return the choices with the near courses and those of the known plan."""
    courses = choices.courses["course"]
    is_kept = extra <= NEAR_SHARE * abs(bound)
    if known is not None:
        is_kept |= courses.isin(known.courses).to_numpy()
    return only(choices, courses.isin(courses[is_kept]))


def _proven(choices: Choices, plan: Solved, options: Options, progress: Progress) -> Solved:
    """Return the plan with a bound over all courses, or the better plan that was found on the way.

    Asked is for a plan that is better by the gap: if there is none, the gap is proven.
    """
    most = plan.objective_pv_cost - options.gap_share * abs(plan.objective_pv_cost)
    if plan.relaxed.bound_pv_cost >= most:
        return plan
    progress("proof", 0.5)
    program = build_program(choices)
    bound, cost = ask_better(program, options, most)
    bound = max(bound, plan.relaxed.bound_pv_cost)
    if cost is not None:
        plan = replace(solved_from(program, plan.relaxed, cost, bound), status=plan.status)
    return replace(plan, bound_pv_cost=min(bound, plan.objective_pv_cost))


def _first(
    choices: Choices, options: Options, whole: Program, known: Known | None
) -> Solved | None:
    """Return a plan over the near courses, with the relaxed bound; None if they hold none."""
    relaxed = relax(whole, options)
    near = build_program(_near(choices, reduced_costs(whole), relaxed.bound_pv_cost, known))
    first = Options(
        PLAN_SHARE * options.time_limit_seconds, PLAN_GAP * options.gap_share, options.log_path
    )
    try:
        status, cost, _ = best_plan(near, first, known)
    except (NoPlanError, SolverError):
        return None
    return replace(solved_from(near, relaxed, cost, relaxed.bound_pv_cost), status=status)


def ended(plan: Solved, options: Options) -> str:
    """Return how a search ended: by its gap alone, within its gap but partly by time, or not."""
    if plan.gap_share > options.gap_share * (1 + 1e-6) + 1e-9:
        return "time limit"
    return "optimal" if plan.status == "optimal" else "within gap"


def _left(options: Options, began: float) -> Options:
    spent = time.perf_counter() - began
    return replace(options, time_limit_seconds=options.time_limit_seconds - spent)


def search_near(
    choices: Choices,
    options: Options,
    progress: Progress,
    known: Known | None = None,
    polish: Polish | None = None,
) -> Solved:
    """Return a plan with its proven gap, for programs that are hard to solve as a whole.

    Courses that the relaxed problem finds far too dear are left out for the plan, not for the
    proof; `polish` makes the plan cheaper before the proof. Ends by its gap or by the clock, and
    says which in `status`.

    Raises NoPlanError when no plan keeps every row, SolverError when the time gives none.
    """
    began = time.perf_counter()
    progress("integer program", 0.1)
    whole = build_program(choices)
    plan = _first(choices, options, whole, known)
    if plan is None:
        return search(whole, _left(options, began), progress, known)
    plan = polish(plan) if polish else plan
    plan = _proven(choices, plan, _left(options, began), progress)
    return replace(plan, status=ended(plan, options), seconds=time.perf_counter() - began)
