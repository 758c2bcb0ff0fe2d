"""From the relaxed bound to a plan with a proven gap."""

import time
from collections.abc import Callable
from dataclasses import replace

from pulp.constants import LpSolveStatus

from bundler.errors import SolverError
from bundler.program.model import Program
from bundler.solve.answer import Known, Relaxed, Solved
from bundler.solve.highs import Options, relax, run

Progress = Callable[[str, float], None]


def _kept(values: dict[str, float]) -> dict[str, float]:
    """Return the values that are not zero, rounded once."""
    return {name: round(value, 6) for name, value in values.items() if value > 1e-6}


def solved_from(program: Program, relaxed: Relaxed, objective: float, bound: float) -> Solved:
    """Return the plan that the variables hold; every value is rounded here and only here."""
    return Solved(
        status="optimal",
        objective_pv_cost=objective,
        bound_pv_cost=min(bound, objective),
        courses=program.chosen(),
        access=tuple(s for s, y in program.y.items() if (y.varValue or 0.0) > 0.5),
        extension_days=_kept({name: e.varValue or 0.0 for name, e in program.e.items()}),
        overtime_hours=_kept({name: t.varValue or 0.0 for name, t in program.t.items()}),
        seconds=0.0,
        relaxed=relaxed,
    )


def _take(program: Program, known: Known) -> None:
    """Set every variable to a known plan: its courses, their works and their access."""
    choices = program.choices
    chosen = set(known.courses)
    placed = set(choices.works.loc[choices.works["course"].isin(chosen), "placement"])
    members = choices.access_members
    opened = set(members.loc[members["placement"].isin(placed), "access"])
    for course, x in program.x.items():
        x.varValue = float(course in chosen)
    for name, y in program.y.items():
        y.varValue = float(name in opened)
    for name, e in program.e.items():
        e.varValue = known.extension_days.get(name, 0.0)
    for name, t in program.t.items():
        t.varValue = known.overtime_hours.get(name, 0.0)


def best_plan(program: Program, options: Options, known: Known | None) -> tuple[str, float, float]:
    """Leave the best plan in the variables; return status, its cost and the solver's bound.

    A known plan is kept where the solver's time gives no better one.
    """
    status, objective, bound = "time limit", float("inf"), float("-inf")
    try:
        stats = run(program, options, is_integer=True)
    except SolverError:
        if known is None:
            raise
    else:
        objective = float(stats.objective or 0.0)
        bound = bound if stats.best_bound is None else float(stats.best_bound)
        status = "time limit" if stats.status == LpSolveStatus.TimeLimit else "optimal"
    if known is not None and known.pv_cost < objective - 1e-9 * abs(known.pv_cost):
        _take(program, known)
        objective = known.pv_cost
    return status, objective, bound


def search(
    program: Program, options: Options, progress: Progress, known: Known | None = None
) -> Solved:
    """Return a plan with its proven gap.

    The relaxed problem gives a bound and the price of every limit; the whole integer program then
    gives the plan, to the gap asked for. The better of both bounds counts. The plan is never worse
    than a `known` one.

    Raises NoPlanError when no plan keeps every row, SolverError when the time gives none.
    """
    began = time.perf_counter()
    progress("relaxed bound", 0.0)
    relaxed = relax(program, options)
    progress("integer program", 0.1)
    left = options.time_limit_seconds - (time.perf_counter() - began)
    status, objective, bound = best_plan(program, replace(options, time_limit_seconds=left), known)
    answer = solved_from(program, relaxed, objective, max(relaxed.bound_pv_cost, bound))
    progress("plan", 1.0)
    return replace(answer, status=status, seconds=time.perf_counter() - began)
