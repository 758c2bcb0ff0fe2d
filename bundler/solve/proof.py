"""How close a plan is to the best: the bound of a relaxed problem, then of the integer program."""

from dataclasses import dataclass, replace

from bundler.choice import Choices
from bundler.program.build import build_program
from bundler.program.model import Program
from bundler.solve.answer import Relaxed, Solved
from bundler.solve.arrays import arrays_of
from bundler.solve.highs import Options, bound_below, relax
from bundler.solve.priced import BOUND_MOST, prices_of
from bundler.solve.search import Progress, solved_from

#: a plan is told with a relaxed bound even when its time is over; so long at most [s]
RELAXED_SECONDS = 60.0


@dataclass(frozen=True)
class Proof:
    """A plan with its bound, and the cheaper plan that was found on the way, if one was."""

    plan: Solved
    cheaper: Solved | None = None


def _with(plan: Solved, relaxed: Relaxed, bound: float) -> Solved:
    """Return a plan with a relaxed answer and a bound."""
    return replace(plan, relaxed=relaxed, bound_pv_cost=min(bound, plan.objective_pv_cost))


def _by_prices(choices: Choices, plan: Solved, options: Options) -> Solved:
    """Return a plan with the bound of the prices, which ascend from those that it has."""
    arrays = arrays_of(choices)
    found = prices_of(arrays, options, plan.relaxed.prices)
    relaxed = Relaxed(found.bound_pv_cost, arrays.named(found.prices), found.bounds[-1][0])
    return _with(plan, relaxed, found.bound_pv_cost)


def _below(program: Program, plan: Solved, options: Options) -> Proof:
    """Return a plan with the bound of the integer program below its cost."""
    bound, cost = bound_below(program, options, plan.objective_pv_cost)
    bound = max(bound, plan.bound_pv_cost)
    if cost is None:
        return Proof(_with(plan, plan.relaxed, bound))
    found = solved_from(program, plan.relaxed, cost, min(bound, cost))
    cheaper = replace(found, status=plan.status, way=plan.way)
    return Proof(_with(plan, plan.relaxed, min(bound, cost)), cheaper)


def proven(choices: Choices, plan: Solved, options: Options, progress: Progress) -> Proof:
    """Return a plan with the bound that fits the size of its choices, and relaxed prices.

    The integer program is asked only where the relaxed problem leaves more than the gap.
    """
    if len(choices.courses) > BOUND_MOST:
        return Proof(_by_prices(choices, plan, options))
    program = build_program(choices)
    seconds = max(options.time_limit_seconds, RELAXED_SECONDS)
    relaxed = relax(program, replace(options, time_limit_seconds=seconds))
    plan = _with(plan, relaxed, relaxed.bound_pv_cost)
    left = replace(options, time_limit_seconds=options.time_limit_seconds - relaxed.seconds)
    if plan.gap_share <= options.gap_share or left.time_limit_seconds < 1:
        return Proof(plan)
    progress("bound", 0.8)
    return _below(program, plan, left)
