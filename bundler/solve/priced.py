"""Prices first: a bound in seconds, a plan by the prices, then programs over what is open."""

import time
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray, only
from bundler.program.build import build_program
from bundler.solve.answer import Known, Relaxed, Solved, ended
from bundler.solve.arrays import Arrays, arrays_of
from bundler.solve.compiled.problem import Problem, problem_of
from bundler.solve.compiled.rebuild import Guide
from bundler.solve.first_plan import fewest_plan, first_plan, guide_of
from bundler.solve.highs import Options, bound_below
from bundler.solve.improve import Ends, Field, improve
from bundler.solve.neighbourhoods import Search, improve_by_programs
from bundler.solve.plan_state import Plan, chosen_of, is_sound, numbers_of, state_of
from bundler.solve.prices import PASSES, Priced, ascend, reduced_costs
from bundler.solve.ready import get_ready
from bundler.solve.relieved import taken
from bundler.solve.search import Progress, search

#: prices by rule and key
Start = Mapping[tuple[str, Any], float]
WAY = "prices first, rebuilt plan"
WITH_BOUND, WITH_PARTS = "bound by the integer program", "programs over parts"
WITH_WHOLE = "no plan by them: whole integer program"
#: courses looked at in all passes, and passes at most; small cases have more passes in no time
LOOKS, MOST_PASSES = 2e8, 4000
#: rebuilds a component; by trial on the demo and on stations of 300 to 5,000 components
REBUILDS_EACH = 200
#: part of the time for the prices, and by which the rebuilding ends where the solver can be given
#: the whole program afterwards, and where it cannot; by trial
PRICES_PART, REBUILT_PART, REBUILT_ALONE_PART = 0.25, 0.6, 0.85
#: courses up to which the solver is given the whole program for a better bound; by trial
BOUND_MOST = 60_000


@dataclass
class _Hunt:
    """A search on its way: arrays, what is proven, the best plan, and what was seen when."""

    choices: Choices
    arrays: Arrays
    problem: Problem
    options: Options
    progress: Progress
    began: float
    bound: float = -np.inf
    plan: Plan | None = None
    way: str = WAY

    def __post_init__(self) -> None:
        self.trace: list[tuple[float, float, float]] = []

    def spent(self) -> float:
        """Return the seconds since the search began."""
        return time.perf_counter() - self.began

    def left(self) -> float:
        """Return the seconds that are left."""
        return self.options.time_limit_seconds - self.spent()

    def note(self, cost: float) -> None:
        """Keep what is known now: seconds, cost of the plan, bound."""
        self.trace.append((self.spent(), cost + self.arrays.constant, self.bound))

    def enough(self) -> float:
        """Return the cost, without the constant, at which the gap is closed."""
        share = self.options.gap_share
        whole = self.bound / (1 - share) if self.bound > 0 else self.bound / (1 + share)
        return whole - self.arrays.constant

    def is_closed(self) -> bool:
        """Say whether the plan is within the gap."""
        return self.plan is not None and self.plan.pv_cost <= self.enough()


def _known_plan(hunt: _Hunt, known: Known | None) -> Plan | None:
    """Return a known plan on the arrays; None where there is none or it does not hold."""
    if known is None:
        return None
    chosen = chosen_of(hunt.arrays, known.courses)
    state = state_of(hunt.problem, chosen)
    return Plan(chosen, float(state.cost[0])) if is_sound(hunt.problem, state) else None


def prices_of(
    arrays: Arrays, options: Options, start: Start | None, progress: Progress | None = None
) -> Priced:
    """Let the prices ascend in as many passes as fit the size, from those of a like case."""
    passes = int(np.clip(LOOKS / max(len(arrays.cost), 1), PASSES, MOST_PASSES))
    first = None
    if start:
        first = np.array([start.get(key, 0.0) for key in arrays.keys])

    def say(done: int, bound: float) -> None:
        if progress is not None:
            progress("prices", 0.25 * done / passes)

    return ascend(arrays, PRICES_PART * options.time_limit_seconds, first, passes, say)


def _first(hunt: _Hunt, guide: Guide, known: Known | None) -> None:
    """Take the cheaper of the known plan and that by priced regret, else that of fewest works."""
    plans = [_known_plan(hunt, known), first_plan(hunt.problem, hunt.arrays, guide)]
    there = [plan for plan in plans if plan is not None]
    if not there:
        fewest = fewest_plan(hunt.problem, hunt.arrays)
        there = [fewest] if fewest is not None else []
    hunt.plan = min(there, key=lambda plan: plan.pv_cost) if there else None


def _rebuilt(hunt: _Hunt, regret: FloatArray, plan: Plan) -> None:
    """Make the plan cheaper by rebuilding it around what stands in the way."""
    bound = hunt.bound - hunt.arrays.constant
    guide = guide_of(hunt.arrays, regret, bound, plan.chosen)
    count = REBUILDS_EACH * hunt.arrays.components_count
    is_small = len(regret) <= BOUND_MOST
    share = REBUILT_PART if is_small else REBUILT_ALONE_PART
    seconds = share * hunt.options.time_limit_seconds - hunt.spent()
    hunt.note(plan.pv_cost)

    def say(cost: float) -> None:
        hunt.note(cost)
        part = hunt.spent() / hunt.options.time_limit_seconds
        hunt.progress("plan", 0.25 + 0.5 * min(part / share, 1.0))

    ends = Ends(count, hunt.enough(), max(seconds, 1.0))
    hunt.plan = improve(Field(hunt.problem, hunt.arrays, guide, bound), plan, ends, say)


def _open_choices(hunt: _Hunt, regret: FloatArray, plan: Plan) -> Choices:
    """Return the choices without courses that no cheaper plan can hold; the plan's own stay."""
    most = plan.pv_cost + hunt.arrays.constant - hunt.bound
    is_kept = regret <= most + 1e-9 * abs(hunt.bound)
    is_kept[plan.chosen] = True
    return only(hunt.choices, pd.Series(is_kept))


def _bounded(hunt: _Hunt, few: Choices, plan: Plan) -> None:
    """Let the solver raise the bound over what is open, or find a cheaper plan on the way."""
    hunt.progress("bound", 0.8)
    program = build_program(few)
    constant = hunt.arrays.constant
    options = Options(hunt.left(), hunt.options.gap_share)
    bound, cost = bound_below(program, options, plan.pv_cost + constant)
    hunt.bound, hunt.way = max(hunt.bound, bound), f"{WAY}, {WITH_BOUND}"
    if cost is None:
        return
    found = _known_plan(hunt, Known(program.chosen(), cost))
    if found is not None and found.pv_cost < plan.pv_cost:
        hunt.plan = found


def _by_programs(hunt: _Hunt, few: Choices, regret: FloatArray, plan: Plan) -> None:
    """Improve the plan by small programs, several at once, until the gap or the time ends it."""
    hunt.way = f"{WAY}, {WITH_PARTS}"
    how = Search(
        few, hunt.arrays, hunt.problem, regret, hunt.options.workers_count, hunt.left(),
        hunt.enough(), hunt.note,
    )  # fmt: skip
    hunt.plan = improve_by_programs(how, plan)


def _solved(hunt: _Hunt, prices: FloatArray, plan: Plan) -> Solved:
    """Return the plan with all it takes, and the relaxed prices."""
    arrays = hunt.arrays
    state = state_of(hunt.problem, plan.chosen)
    access, days, hours = taken(arrays, hunt.problem, state)
    cost = float(state.cost[0]) + arrays.constant
    bound = min(hunt.bound, cost)
    hunt.note(float(state.cost[0]))
    found = Solved(
        "optimal", cost, bound, numbers_of(arrays, plan.chosen), access, days, hours, hunt.spent(),
        Relaxed(hunt.bound, arrays.named(prices), hunt.spent()), way=hunt.way,
        trace=tuple(hunt.trace),
    )  # fmt: skip
    return replace(found, status=ended(found, hunt.options.gap_share))


def search_priced(
    choices: Choices,
    options: Options,
    progress: Progress,
    known: Known | None = None,
    start: Start | None = None,
) -> Solved:
    """Return a plan with its proven gap, prices first; never worse than a known plan that holds.

    Parameters
    ----------
    start : prices by rule and key from which they ascend, as a plan of a like case has them.

    Ends at the gap, when it has rebuilt its fill and proved what it can, or by time. Raises
    NoPlanError when no plan keeps every row, SolverError when the time gives none.
    """
    progress("getting ready", 0.0)
    get_ready()
    began = time.perf_counter()
    progress("prices", 0.0)
    arrays = arrays_of(choices)
    hunt = _Hunt(choices, arrays, problem_of(arrays), options, progress, began)
    found = prices_of(arrays, options, start, progress)
    hunt.bound, prices = found.bound_pv_cost, found.prices
    regret = reduced_costs(arrays, found)
    _first(hunt, guide_of(arrays, regret, hunt.bound, None), known)
    if hunt.plan is None:
        left = replace(options, time_limit_seconds=max(hunt.left(), 1.0))
        whole = search(build_program(choices), left, progress, known)
        return replace(whole, way=f"{WAY}, {WITH_WHOLE}", seconds=hunt.spent())
    if not hunt.is_closed():
        _rebuilt(hunt, regret, hunt.plan)
    if not hunt.is_closed() and hunt.left() > 1:
        few = _open_choices(hunt, regret, hunt.plan)
        if len(few.courses) <= BOUND_MOST:
            _bounded(hunt, few, hunt.plan)
        else:
            _by_programs(hunt, few, regret, hunt.plan)
    progress("plan", 1.0)
    return _solved(hunt, prices, hunt.plan)
