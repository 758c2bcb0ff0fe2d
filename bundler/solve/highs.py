"""The only call of the solver. Status is told straight; no solution is an error, never a zero."""

import os
import sys
import time
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import highspy
import numpy as np
import pulp
from numpy.typing import NDArray
from pulp.constants import LpSolveStatus

from bundler.errors import NoPlanError, SolverError
from bundler.program.model import Program
from bundler.solve.answer import Relaxed

#: part of its time that the solver may spend on plans when a bound is asked for; our choice
BOUND_EFFORT = 0.01
#: one thread and a fixed seed, so that the same program gives the same plan
THREADS, SEED = 1, 0
WITH_ANSWER = (LpSolveStatus.Optimal, LpSolveStatus.GapLimit, LpSolveStatus.TimeLimit,
               LpSolveStatus.SolutionLimit, LpSolveStatus.IterationLimit)  # fmt: skip


@dataclass(frozen=True)
class Options:
    """How long and how close: time_limit_seconds, gap_share, and a log file if asked for.

    way is "auto" (by size), "whole" (the whole integer program) or "prices" (prices first, then
    programs over what they leave open); workers_count processes share the work where it can be
    shared. The number of workers changes the time, never the plan of the same passes.
    """

    time_limit_seconds: float = 150.0
    gap_share: float = 0.01
    log_path: str = ""
    way: str = "auto"
    workers_count: int = 2


@cache
def _greet_nobody() -> None:
    """Make the solver's first instance, which prints a greeting, with its output going nowhere."""
    sys.stdout.flush()
    kept = os.dup(1)
    with Path(os.devnull).open("wb") as nowhere:
        try:
            os.dup2(nowhere.fileno(), 1)
            highspy.Highs()  # type: ignore[no-untyped-call]
        finally:
            os.dup2(kept, 1)
            os.close(kept)


def _solver(options: Options, *, is_integer: bool, **more: Any) -> pulp.LpSolver:
    log: dict[str, Any] = {"logPath": options.log_path} if options.log_path else {}
    return pulp.HiGHS(
        mip=is_integer,
        msg=False,
        gapRel=options.gap_share,
        timeLimit=max(options.time_limit_seconds, 1.0),
        threads=THREADS,
        random_seed=SEED,
        **log,
        **more,
    )


def _asked(program: Program, solver: pulp.LpSolver) -> pulp.LpSolveStats:
    """Return what the solver says of a program; raise SolverError if it is missing or fails."""
    if not solver.available():
        raise SolverError("The solver HiGHS is not installed. Install the package highspy.")
    _greet_nobody()
    try:
        return program.problem.solve(solver)
    except pulp.PulpError as fault:
        raise SolverError(f"The solver failed: {fault}") from fault


def run(program: Program, options: Options, *, is_integer: bool) -> pulp.LpSolveStats:
    """Solve and return the solver's record; raise if there is no plan.

    Raises NoPlanError when no plan keeps every row, SolverError when the solver is missing,
    fails, or runs out of time before it finds a plan.
    """
    stats = _asked(program, _solver(options, is_integer=is_integer))
    if stats.status == LpSolveStatus.Infeasible:
        raise NoPlanError("No plan keeps every rule and limit.")
    if not stats.has_solution or stats.status not in WITH_ANSWER:
        raise SolverError(
            f"The solver stopped without a plan ({stats.status.name}). Allow more time."
        )
    return stats


def relax(program: Program, options: Options) -> Relaxed:
    """Return the bound and the prices of the relaxed problem."""
    start = time.perf_counter()
    stats = run(program, options, is_integer=False)
    if stats.status != LpSolveStatus.Optimal:
        raise SolverError("The relaxed problem was not solved in time. Allow more time.")
    prices = {key: max(-(row.pi or 0.0), 0.0) for key, row in program.rows.items()}
    return Relaxed(float(stats.objective or 0.0), prices, time.perf_counter() - start)


def reduced_costs(program: Program) -> NDArray[np.float64]:
    """Return what each course costs more than its component's best, at the relaxed prices [n].

    To be read right after the relaxed problem was solved.
    """
    return np.array([float(x.dj or 0.0) for x in program.x.values()])


def bound_below(program: Program, options: Options, pv_cost: float) -> tuple[float, float | None]:
    """Return a proven bound below a plan of known cost, and the cost of a cheaper plan if found.

    Branches that cannot hold a cheaper plan are cut off. Ends when the bound is within the gap of
    the known cost, or by time; a cheaper plan stands in the variables.
    """
    enough = pv_cost - options.gap_share * abs(pv_cost)

    def look(kind: Any, message: str, seen: Any, answer: Any, data: Any) -> None:
        if seen.mip_dual_bound >= enough:
            answer.user_interrupt = True

    solver = _solver(
        options, is_integer=True, objective_bound=pv_cost, mip_heuristic_effort=BOUND_EFFORT,
        callbackTuple=(look, None),
        callbacksToActivate=[highspy.cb.HighsCallbackType.kCallbackMipInterrupt],
    )  # fmt: skip
    stats = _asked(program, solver)
    if stats.status == LpSolveStatus.Infeasible:
        return pv_cost, None
    bound = float("-inf") if stats.best_bound is None else float(stats.best_bound)
    cost = float(stats.objective or 0.0) if stats.has_solution else float("inf")
    return min(bound, pv_cost, cost), cost if cost < pv_cost else None
