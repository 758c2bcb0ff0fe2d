"""A plan made cheaper, never dearer: rebuilt around what stands in the way, by seeded passes."""

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from bundler.solve.arrays import Arrays
from bundler.solve.compiled.moves import settle
from bundler.solve.compiled.problem import Problem
from bundler.solve.compiled.rebuild import Guide, rebuild
from bundler.solve.first_plan import LEAST_SHARE, SETTLE_PASSES, table_of
from bundler.solve.plan_state import Plan, is_sound, state_of

#: components that are out at most at once; our choice, by trial of 6 to 20
MOST_OUT = 8
#: rebuilds between two looks at the clock
BATCH = 500
#: first margin, in shares of what the plan may still lose to the bound, a component; by trial
MARGIN_SHARE = 1.0
#: the clock leads when it is ahead of the rebuilds by this part; then another machine may find
#: another plan
LATE = 0.02


@dataclass(frozen=True)
class Ends:
    """When to end: after so many rebuilds, at a cost that is enough, or after so many seconds."""

    rebuilds: int
    enough_pv_cost: float
    seconds: float
    seed: int = 1


@dataclass(frozen=True)
class Field:
    """What a search runs over: the problem, its arrays, what leads it, and the bound.

    The bound is without the constant of the case, as are the costs of plans.
    """

    problem: Problem
    arrays: Arrays
    guide: Guide
    bound_pv_cost: float


def improve(
    field: Field, plan: Plan, ends: Ends, say: Callable[[float], None] | None = None
) -> Plan:
    """Return the plan rebuilt and settled; the same for the same rebuilds and seed.

    The margin shrinks to nothing with the rebuilds; sooner where the time is too short for them.
    """
    problem, count = field.problem, field.arrays.components_count
    state, table = state_of(problem, plan.chosen), table_of(problem, MOST_OUT, ends.seed)
    table.best[:], cost = plan.chosen, plan.pv_cost
    margin = MARGIN_SHARE * max(cost - field.bound_pv_cost, 0.0) / count
    began = time.perf_counter()
    for done in range(0, ends.rebuilds, BATCH):
        spent = (time.perf_counter() - began) / ends.seconds
        gone = np.arange(done, min(done + BATCH, ends.rebuilds)) / ends.rebuilds
        part = 1 - np.maximum(gone, spent if spent > gone[0] + LATE else 0.0)
        cost = rebuild(problem, state, field.guide, table, margin * part, cost)
        if say is not None:
            say(cost)
        if cost <= ends.enough_pv_cost or spent >= 1:
            break
    state = state_of(problem, table.best)
    settle(problem, state, np.arange(count), SETTLE_PASSES, LEAST_SHARE * abs(cost))
    found = Plan(state.chosen, float(state.cost[0]))
    is_better = found.pv_cost < plan.pv_cost and is_sound(problem, state)
    return found if is_better else plan
