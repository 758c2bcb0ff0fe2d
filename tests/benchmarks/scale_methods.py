"""Ways to a plan that scale.py holds against each other, each measured in a process of its own."""

import os
import resource
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pandas as pd
import pulp
from pulp.constants import LpSolveStatus

from bundler.choice import Choices
from bundler.errors import NoPlanError, SolverError
from bundler.program.build import build_program
from bundler.solve.find import find_plan
from bundler.solve.highs import Options
from bundler.solve.rank_fill import rank_fill
from bundler.standing.settle import as_it_stands
from bundler.standing.whole import holds
from tests.benchmarks.scale_logs import Trace, cpsat_trace, highs_trace
from tests.benchmarks.stations import station

CORES = os.cpu_count() or 1
#: rows are given to CP-SAT in whole hundredths
HUNDREDTHS = 100.0


@dataclass(frozen=True)
class Task:
    """One method on one station: its size and seed, the time it has and the gap it is to reach."""

    method: str
    components_count: int
    seed: int
    seconds: float
    gap_share: float


@dataclass(frozen=True)
class Found:
    """What a method found: courses (none: no plan), proven bound, its words, and its way."""

    status: str
    courses: tuple[int, ...] = ()
    bound_pv_cost: float | None = None
    trace: Trace | None = None


def _priced(choices: Choices, task: Task) -> Found:
    options = Options(task.seconds, task.gap_share, way="prices", workers_count=CORES)
    solved = find_plan(choices, options, lambda stage, share: None)
    trace = [tuple(point) for point in getattr(solved, "trace", ())]
    told = f"{solved.way}: {solved.status}"
    return Found(told, solved.courses, solved.bound_pv_cost, trace or None)


def _chosen(program: Any) -> tuple[int, ...]:
    return tuple(q for q, x in program.x.items() if (x.varValue or 0.0) > 0.5)


def _logged(
    choices: Choices, task: Task, solver: Callable[..., pulp.LpSolver], **more: Any
) -> tuple[Found, list[str], float]:
    """Give the plain program to a solver; return what it found, its log, and when it began."""
    begun = time.perf_counter()
    program = build_program(choices)
    began = time.perf_counter() - begun
    with TemporaryDirectory() as folder:
        log = Path(folder) / "solver.log"
        left = max(task.seconds - began, 1.0)
        stats = program.problem.solve(solver(msg=False, timeLimit=left, logPath=str(log), **more))
        lines = log.read_text().splitlines() if log.exists() else []
    courses = _chosen(program) if stats.has_solution else ()
    return Found(stats.status.name, courses, stats.best_bound), lines, began


def _whole(choices: Choices, task: Task) -> Found:
    """Give the plain program to HiGHS as it is, without solving the relaxed problem before."""
    found, lines, began = _logged(
        choices, task, pulp.HiGHS, gapRel=task.gap_share, threads=CORES, random_seed=0
    )
    return replace(found, trace=highs_trace(lines, began))


def _relaxed(choices: Choices, task: Task) -> Found:
    """Give the relaxed program to the interior point method of HiGHS: a bound and no plan."""
    stats = build_program(choices).problem.solve(
        pulp.HiGHS(mip=False, msg=False, timeLimit=task.seconds, threads=CORES, solver="ipm")
    )
    is_solved = stats.status == LpSolveStatus.Optimal
    return Found(stats.status.name, (), float(stats.objective) if is_solved else None)


def in_hundredths(choices: Choices) -> Choices:
    """Return the choices with every row in whole hundredths: uses up, what is there down.

    Whatever holds in these holds in the choices as they are.
    """

    def up(table: pd.DataFrame) -> pd.DataFrame:
        return table.assign(amount=np.ceil(table["amount"] * HUNDREDTHS - 1e-6))

    columns = ("amount", "extension_amount", "overtime_share")
    limits = choices.limits
    down = {name: np.floor(limits[name] * HUNDREDTHS + 1e-6) for name in columns}
    return replace(
        choices,
        limits=limits.assign(**down),
        uses=up(choices.uses),
        access_uses=up(choices.access_uses),
    )


def _cpsat(choices: Choices, task: Task) -> Found:
    """Give the plain program to CP-SAT in whole hundredths, days of extension and hours.

    Its plan is a plan; its bound is one of the rounded program, and is not compared.
    """
    found, lines, began = _logged(
        in_hundredths(choices), task, pulp.CPSAT, threads=CORES, random_seed=1,
        relative_gap_limit=task.gap_share,
    )  # fmt: skip
    return replace(found, bound_pv_cost=None, trace=cpsat_trace(lines, began))


def _listed(choices: Choices, task: Task) -> Found:
    listed = rank_fill(choices)
    return Found("holds" if listed.breach <= 0 else "breaks rows", listed.courses)


METHODS: dict[str, Callable[[Choices, Task], Found]] = {
    "prices": _priced,
    "relaxed": _relaxed,
    "whole": _whole,
    "cpsat": _cpsat,
    "rank_fill": _listed,
}


def _peak_mb(who: int) -> float:
    return resource.getrusage(who).ru_maxrss / 1024


def measure(task: Task) -> dict[str, Any]:
    """Return what a method found and took; its plan is held against every row, outside the time.

    peak_mb is that of this process with the station in it, workers_peak_mb that of the largest
    process it started; load_before is how many processes wanted a core as it began.
    """
    began = time.perf_counter()
    choices = station(task.components_count, task.seed)
    built = time.perf_counter() - began
    station_mb = _peak_mb(resource.RUSAGE_SELF)
    load, began = os.getloadavg()[0], time.perf_counter()
    try:
        found = METHODS[task.method](choices, task)
    except (NoPlanError, SolverError) as fault:
        found = Found(str(fault))
    took = time.perf_counter() - began
    peaks = {
        "peak_mb": _peak_mb(resource.RUSAGE_SELF),
        "workers_peak_mb": _peak_mb(resource.RUSAGE_CHILDREN),
    }
    cost = as_it_stands(choices, found.courses).pv_cost if found.courses else None
    trace = found.trace or [(took, cost or float("inf"), found.bound_pv_cost or float("-inf"))]
    return {
        **asdict(task), "station_seconds": built, "station_mb": station_mb, "load_before": load, "took_seconds": took,
        **peaks, "status": found.status, "pv_cost": cost, "bound_pv_cost": found.bound_pv_cost,
        "holds": bool(found.courses) and holds(choices, found.courses), "trace": trace,
    }  # fmt: skip
