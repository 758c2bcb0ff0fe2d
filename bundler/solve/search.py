"""From the relaxed bound to a plan with a proven gap."""

import time
from collections.abc import Callable
from dataclasses import replace

from pulp.constants import LpSolveStatus

from bundler.program.model import Program
from bundler.solve.answer import Relaxed, Solved
from bundler.solve.highs import Options, relax, run

Progress = Callable[[str, float], None]


def _kept(values: dict[str, float]) -> dict[str, float]:
    """Return the values that are not zero, rounded once."""
    return {name: round(value, 6) for name, value in values.items() if value > 1e-6}


def _solved(program: Program, relaxed: Relaxed, objective: float, bound: float) -> Solved:
    """Return the plan that the variables hold; every value is rounded here and only here."""
    return Solved(
        status="optimal",
        objective_pv_cost=objective,
        bound_pv_cost=min(bound, objective),
        courses=tuple(q for q, x in program.x.items() if (x.varValue or 0.0) > 0.5),
        access=tuple(s for s, y in program.y.items() if (y.varValue or 0.0) > 0.5),
        extension_days=_kept({name: e.varValue or 0.0 for name, e in program.e.items()}),
        overtime_hours=_kept({name: t.varValue or 0.0 for name, t in program.t.items()}),
        seconds=0.0,
        relaxed=relaxed,
    )


def start_from(program: Program, courses: tuple[int, ...]) -> None:
    """Set every variable to a plan that holds: its courses, their works and their access."""
    choices = program.choices
    chosen = set(courses)
    works = choices.works[choices.works["course"].isin(chosen)]
    placed = set(works["placement"])
    members = choices.access_members
    opened = set(members.loc[members["placement"].isin(placed), "access"])
    for course, x in program.x.items():
        x.varValue = float(course in chosen)
    for placement, z in program.z.items():
        z.varValue = float(placement in placed)
    for name, y in program.y.items():
        y.varValue = float(name in opened)
    for variable in (*program.e.values(), *program.t.values()):
        variable.varValue = 0.0


def search(
    program: Program, options: Options, progress: Progress, start: tuple[int, ...] = ()
) -> Solved:
    """Return a plan with its proven gap.

    `start` are the courses of a plan that holds without extension and overtime, if one is known:
    the answer is then never worse.

    The relaxed problem gives a bound and the price of every limit; the whole integer program then
    gives the plan, to the gap asked for. The better of both bounds counts.

    Raises NoPlanError when no plan keeps every row, SolverError when the time gives none.
    """
    began = time.perf_counter()
    progress("relaxed bound", 0.0)
    relaxed = relax(program, options)
    progress("integer program", 0.1)
    left = options.time_limit_seconds - (time.perf_counter() - began)
    if start:
        start_from(program, start)
    last = replace(options, time_limit_seconds=left)
    stats = run(program, last, is_integer=True, is_warm=bool(start))
    bounds = [relaxed.bound_pv_cost]
    if stats.best_bound is not None:
        bounds.append(float(stats.best_bound))
    answer = _solved(program, relaxed, float(stats.objective or 0.0), max(bounds))
    status = "time limit" if stats.status == LpSolveStatus.TimeLimit else answer.status
    progress("plan", 1.0)
    return replace(answer, status=status, seconds=time.perf_counter() - began)
