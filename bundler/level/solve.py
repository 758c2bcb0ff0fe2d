"""A problem levelled: least value left out, then least finish, fewest bands, evenest use.

Each stage holds what those before it reached and begins at their schedule. The search is measured
in the solver's own work, which no clock changes, so the same problem gives the same schedule.
"""

from collections.abc import Callable
from dataclasses import dataclass
from time import perf_counter

import numpy as np
import pandas as pd
from ortools.sat.python.cp_model import (
    FEASIBLE,
    INFEASIBLE,
    MODEL_INVALID,
    OPTIMAL,
    CpSolver,
    CpSolverSolutionCallback,
    IntVar,
    LinearExpr,
)

from bundler.errors import NoPlanError, SolverError
from bundler.level.arrays import Parts, parts_of
from bundler.level.board import Placed
from bundler.level.bounds import finish_bound, must_run
from bundler.level.cp_model import Model, add_peaks, build, hint, left_value
from bundler.level.held import broken
from bundler.level.problem import Levelled, Problem, empty
from bundler.level.serial import serial

Progress = Callable[[str, float], None]
Goal = LinearExpr | IntVar | int
SEED = 0
#: the search for the least left out: parts of the work, and whether only around the best so far
LEFT_FEW, LEFT_MANY = ((0.5, False),), ((0.2, False), (0.3, True))
#: the same for the least finish; up to so many tasks the whole search alone proves most; our
#: choice, by trial on PSPLIB. Around the best, a unit of work takes ten seconds by the clock and
#: more, elsewhere about one to three
FEW_TASKS, FEW, MANY = 45, ((1.0, False),), ((0.5, False), (0.1, True), (0.4, False))


@dataclass(frozen=True)
class Effort:
    """How long to search, and what for.

    work : of the solver in all, in its own units, the same on every machine; one takes about a
        second by the clock for 30 tasks, five and more for 120 with many bands.
    tries : orders shaken before it.
    most_seconds : by the clock, only a guard.
    workers_count : threads that share the work; it changes the schedule found, but each number of
        them gives the same one every time.
    even_share : part of the work that evenness may take at most; 0 leaves evenness alone.
    weights : what one unit of a resource's peak counts for evenness; 1 where not told.
    """

    work: float = 3.0
    tries: int = 200
    most_seconds: float = 60.0
    workers_count: int = 1
    even_share: float = 0.2
    weights: tuple[tuple[str, int], ...] = ()


class _Enough(CpSolverSolutionCallback):
    """Ends a search at a schedule that is as good as any can be."""

    def __init__(self, low: int) -> None:
        super().__init__()
        self.low = low

    def on_solution_callback(self) -> None:
        """Look at a schedule found; the solver calls this by its name."""
        if self.objective_value <= self.low:
            self.stop_search()


class _Search:
    """The best schedule so far, and what is left of the effort."""

    def __init__(self, parts: Parts, effort: Effort) -> None:
        self.parts, self.effort = parts, effort
        self.work = effort.work
        self.deadline = perf_counter() + effort.most_seconds
        self.is_clocked = False
        # the finish is at least what every schedule needs, whatever it leaves out
        low = finish_bound(parts, int(parts.value.sum()))
        self.best = serial(parts, finish=low, tries=effort.tries)

    @property
    def known(self) -> Placed:
        """The best schedule so far, which must be there."""
        if self.best is None:
            raise SolverError(
                "Levelling ran out of work before any schedule was found. Allow more work."
            )
        return self.best

    def model(self, low: int) -> Model:
        """Return the program of schedules that are no worse than the best so far."""
        parts, best = self.parts, self.best
        left, finish = best.rank(parts)[:2] if best else (int(parts.value.sum()), parts.horizon)
        model = build(parts, must_run(parts, left), low, parts.horizon if left else finish)
        model.program.add(left_value(model, parts) <= left)
        return model

    def _solver(self, work: float, *, is_near: bool) -> CpSolver:
        solver = CpSolver()
        solver.parameters.num_workers = self.effort.workers_count
        solver.parameters.interleave_search = is_near or self.effort.workers_count > 1
        solver.parameters.use_lns_only = is_near
        # no linear relaxation: proofs of PSPLIB's hardest j30 and j20 take a third of the work
        solver.parameters.linearization_level = 0
        solver.parameters.random_seed = SEED
        solver.parameters.max_deterministic_time = max(work, 0.0)
        solver.parameters.max_time_in_seconds = max(self.deadline - perf_counter(), 0.0)
        return solver

    def least(
        self, model: Model, goal: Goal, work: float, *, low: int = 0, is_near: bool = False
    ) -> tuple[Placed | None, int]:
        """Return a schedule of the least `goal` found, None without any, and the goal's bound.

        low : what the goal is at least; a schedule that reaches it ends the search.
        is_near : look only around the best so far, part by part, which proves nothing.
        """
        if self.best is not None:
            hint(model, self.parts, self.best)
        model.program.minimize(goal)
        solver = self._solver(work, is_near=is_near)
        status = solver.solve(model.program, _Enough(low))
        self.work -= solver.response_proto.deterministic_time
        if status == INFEASIBLE and self.best is None:
            raise NoPlanError("No schedule keeps every window, order and resource of the tasks.")
        if status in (INFEASIBLE, MODEL_INVALID):
            raise SolverError(f"The solver refused the levelling: {solver.status_name(status)}.")
        if status != OPTIMAL and perf_counter() >= self.deadline:
            self.is_clocked = True
        told = solver.best_objective_bound
        bound = max(int(np.ceil(told - 1e-6)), low) if np.isfinite(told) else low
        return (_read(model, solver) if status in (OPTIMAL, FEASIBLE) else None), bound

    def keep(self, found: Placed | None, stages: int) -> None:
        """Take a schedule that is better by the first so many stages."""
        best = self.best
        if found and (
            best is None or found.rank(self.parts)[:stages] < best.rank(self.parts)[:stages]
        ):
            self.best = found


def _read(model: Model, solver: CpSolver) -> Placed:
    mode = np.full(len(model.runs), -1)
    for row, takes in enumerate(model.takes):
        if solver.value(takes):
            mode[model.task[row]] = row
    start = np.array([solver.value(start) for start in model.start], dtype=np.int64)
    return Placed(mode, start)


def _least_left(search: _Search) -> int:
    """Leave out as little value as can be; return the least there is, as far as proven."""
    if search.best is not None and search.best.rank(search.parts)[0] == 0:
        return 0
    low, work = 0, search.work
    for share, is_near in LEFT_FEW if len(search.parts.tasks) <= FEW_TASKS else LEFT_MANY:
        if search.best is None and is_near:
            break
        model = search.model(0)
        goal = left_value(model, search.parts)
        found, bound = search.least(model, goal, share * work, low=low, is_near=is_near)
        search.keep(found, 1)
        low = max(low, bound)
        if search.best is not None and search.best.rank(search.parts)[0] <= low:
            break
    return low


def _least_finish(search: _Search) -> tuple[Model, int]:
    """End as soon as can be; return the program that holds it, and the proven bound."""
    parts = search.parts
    left, finish = search.known.rank(parts)[:2]
    low = finish_bound(parts, left)
    model = search.model(low)
    model.program.add(model.finish <= finish)
    has_more = search.effort.even_share > 0 or len(parts.bands.start) > 0
    work = search.work * (0.75 if has_more else 1.0)
    for share, is_near in FEW if len(parts.tasks) <= FEW_TASKS else MANY:
        if search.known.rank(parts)[1] <= low:
            break
        found, bound = search.least(model, model.finish, share * work, low=low, is_near=is_near)
        search.keep(found, 2)
        low = bound
    model.program.add(model.finish <= search.known.rank(parts)[1])
    return model, low


def _fewest_bands(search: _Search, model: Model) -> None:
    used = search.known.rank(search.parts)[2]
    if used:
        found, _ = search.least(model, sum(model.uses), search.work / 2)
        search.keep(found, 3)
        used = search.known.rank(search.parts)[2]
    if model.uses:
        model.program.add(sum(model.uses) <= used)


def _evenest(search: _Search, model: Model) -> None:
    """Lower the peaks of use, weighed and summed."""
    parts, told = search.parts, dict(search.effort.weights)
    weight = np.array([told.get(name, 1) for name in parts.resources], dtype=np.int64)
    own = np.flatnonzero((weight > 0) & parts.modes.needs.any(axis=0))
    work = min(search.effort.even_share * search.effort.work, search.work)
    if not len(own) or work <= 0:
        return
    peaks = add_peaks(model, parts, search.known, own)
    goal = sum(int(weight[r]) * peak for r, peak in zip(own, peaks, strict=True))
    found, _ = search.least(model, goal, work)
    if found is None or found.rank(parts) > search.known.rank(parts):
        return
    if weight @ found.peaks(parts) < weight @ search.known.peaks(parts):
        search.best = found


def _told(search: _Search, bound: int, left_bound: int) -> Levelled:
    """Return a schedule in names."""
    parts, placed = search.parts, search.known
    runs, ends = np.flatnonzero(placed.mode >= 0), placed.end(parts)
    starts = pd.DataFrame({
        "task": pd.Series([parts.tasks[i] for i in runs], dtype="str"),
        "mode": parts.modes.number[placed.mode[runs]], "start": placed.start[runs],
        "end": ends[runs],
    })  # fmt: skip
    used, bands = np.flatnonzero(placed.is_used(parts)), parts.bands
    names = pd.Series([parts.resources[bands.resource[b]] for b in used], dtype="str")
    table = pd.DataFrame({"resource": names, "start": bands.start[used], "end": bands.end[used]})
    left = tuple(parts.tasks[i] for i in np.flatnonzero(placed.mode < 0))
    finish = int(ends.max(initial=0))
    status = "proven" if finish == bound else "found"
    status = (status if len(runs) else "nothing runs") + ", ended by the clock" * search.is_clocked
    return Levelled(starts, left, finish, bound, table, status, left_bound)


def _silent(stage: str, share: float) -> None:
    """Tell nobody."""


def level(problem: Problem, effort: Effort, progress: Progress = _silent) -> Levelled:
    """Return a schedule of a problem, in slots, with the proven bound of its finish.

    In this order: the least value left out, the least finish, the fewest bands used, and the least
    sum of the resources' peaks; each as far as the effort goes. The schedule is checked against the
    problem without the solver, and the bound is no less than that of `bounds.finish_bound`.

    Raises NoPlanError where the tasks that may not be left out fit in no way, SolverError where
    the effort ends before any schedule, or what the solver gives does not hold.
    """
    progress("a first schedule", 0.0)
    parts = parts_of(problem)
    if not parts.tasks:
        nothing = empty("modes").assign(start=0, end=0)[["task", "mode", "start", "end"]]
        bands = empty("bands")[["resource", "start", "end"]]
        return Levelled(nothing, (), 0, 0, bands, "nothing runs")
    search = _Search(parts, effort)
    progress("least left out", 0.1)
    left_bound = _least_left(search)
    progress("least finish", 0.3)
    model, bound = _least_finish(search)
    progress("fewest bands", 0.7)
    _fewest_bands(search, model)
    progress("evenest use", 0.8)
    _evenest(search, model)
    levelled = _told(search, bound, left_bound)
    if faults := broken(problem, levelled):
        raise SolverError(f"The schedule found does not hold: {faults[0]}. Report this as a fault.")
    progress("levelled", 1.0)
    return levelled
