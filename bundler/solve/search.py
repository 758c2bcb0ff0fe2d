"""From the relaxed bound to a plan with a proven gap."""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import pulp
from pulp.constants import LpSolveStatus

from bundler.errors import NoPlanError
from bundler.program.model import Program
from bundler.solve.answer import Relaxed, Solved
from bundler.solve.highs import Options, relax, run

Progress = Callable[[str, float], None]
#: courses tried first lie this close to the best for their component, in shares of the bound a
#: component; our choice, it only steers the search
FIRST_SHARE = 0.5


@dataclass
class _Best:
    """The best plan so far: its cost, the values of its variables, and the proven bound."""

    bound: float
    objective: float = float("inf")
    values: tuple[float, ...] = ()

    def take(self, program: Program, stats: pulp.LpSolveStats) -> None:
        """Keep the solver's plan if it is better than the one held."""
        objective = float("inf") if stats.objective is None else float(stats.objective)
        if objective < self.objective:
            self.objective = objective
            self.values = tuple(v.varValue or 0.0 for v in program.problem.variables())

    def gap_share(self) -> float:
        """Return the proven gap as a share of the plan's cost."""
        return max(self.objective - self.bound, 0.0) / max(abs(self.objective), 1e-9)


@dataclass(frozen=True)
class _Clock:
    """Counts the time that is left for the search."""

    options: Options
    began: float

    def left(self, share: float = 1.0) -> Options:
        """Return the options with that share of the time that is left."""
        spent = time.perf_counter() - self.began
        return replace(
            self.options, time_limit_seconds=share * (self.options.time_limit_seconds - spent)
        )


def allow(program: Program, relaxed: Relaxed, most_pv_cost: float) -> None:
    """Let only courses be chosen whose reduced cost is at most `most_pv_cost`."""
    for course, variable in program.x.items():
        variable.upBound = 1 if relaxed.reduced_pv_cost[course] <= most_pv_cost else 0


def _first_plan(program: Program, relaxed: Relaxed, best: _Best, clock: _Clock) -> None:
    """Find a plan among the courses closest to best; among all if those hold none."""
    components = max(program.choices.courses["component"].nunique(), 1)
    allow(program, relaxed, FIRST_SHARE * abs(best.bound) / components)
    try:
        best.take(program, run(program, clock.left(0.5), is_integer=True))
    except NoPlanError:
        allow(program, relaxed, float("inf"))
        best.take(program, run(program, clock.left(), is_integer=True))


def _close(program: Program, relaxed: Relaxed, best: _Best, clock: _Clock) -> str:
    """Close the gap over the courses that can still be in a better plan; return the status."""
    allow(program, relaxed, best.objective - best.bound)
    for variable, value in zip(program.problem.variables(), best.values, strict=True):
        variable.varValue = value
    stats = run(program, clock.left(), is_integer=True, is_warm=True)
    best.take(program, stats)
    if stats.best_bound is not None:
        best.bound = max(best.bound, min(float(stats.best_bound), best.objective))
    return "time limit" if stats.status == LpSolveStatus.TimeLimit else "optimal"


def _solved(program: Program, relaxed: Relaxed, best: _Best, status: str, seconds: float) -> Solved:
    """Return the plan with every value rounded once."""
    value = dict(zip(program.problem.variables(), best.values, strict=True))
    on = {k: value[e] for k, e in program.e.items() if value[e] > 1e-6}
    over = {k: value[t] for k, t in program.t.items() if value[t] > 1e-6}
    return Solved(
        status=status,
        objective_pv_cost=best.objective,
        bound_pv_cost=best.bound,
        courses=tuple(q for q, x in program.x.items() if value[x] > 0.5),
        access=tuple(s for s, y in program.y.items() if value[y] > 0.5),
        extension_days={name: round(days, 6) for name, days in on.items()},
        overtime_hours={name: round(hours, 6) for name, hours in over.items()},
        seconds=seconds,
        relaxed=relaxed,
    )


def search(program: Program, options: Options, progress: Progress) -> Solved:
    """Return a plan with its proven gap.

    1. The relaxed problem gives a bound, prices and reduced costs.
    2. A program over the courses closest to best gives a first plan.
    3. Courses whose reduced cost exceeds (plan - bound) can be in no better plan and are left
       out: exact. The program over the rest, started from the first plan, closes the gap.

    Raises NoPlanError when no plan keeps every row, SolverError when the time gives none.
    """
    clock = _Clock(options, time.perf_counter())
    relaxed = relax(program, options)
    best = _Best(relaxed.bound_pv_cost)
    progress("first plan", 0.3)
    _first_plan(program, relaxed, best, clock)
    status = "optimal"
    if best.gap_share() > options.gap_share:
        progress("closing the gap", 0.6)
        status = _close(program, relaxed, best, clock)
    seconds = time.perf_counter() - clock.began
    return _solved(program, relaxed, best, status, seconds)
