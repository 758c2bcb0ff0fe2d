"""A plan made cheaper, never dearer: rebuilt around what stands in the way, by seeded passes."""

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from bundler.choice import FloatArray
from bundler.solve.arrays import Arrays
from bundler.solve.compiled.moves import settle
from bundler.solve.compiled.problem import IntArray, Problem, State
from bundler.solve.compiled.rebuild import Guide, Table, rebuild
from bundler.solve.first_plan import LEAST_SHARE, SETTLE_PASSES, table_of
from bundler.solve.plan_state import Plan, is_sound, state_of
from bundler.solve.sides import drawn, homes, sides_of

#: components that are out at most at once; our choice, by trial of 6 to 20
MOST_OUT = 8
#: fewest rebuilds between two looks at the clock; half as many as components where these are more
BATCH = 500
#: components from which a station of several units is rebuilt on two sides at once
TWO_FROM = 600
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


class _One:
    """A plan rebuilt as a whole."""

    def __init__(self, field: Field, plan: Plan, seed: int) -> None:
        self.field, self.best, self.cost = field, plan.chosen.copy(), plan.pv_cost
        self.state = state_of(field.problem, plan.chosen)
        self.table = table_of(field.problem, MOST_OUT, seed)
        self.table.best[:] = plan.chosen

    def step(self, margins: FloatArray) -> int:
        """Rebuild once for each margin; return how many times it did."""
        own = self.field
        self.cost = rebuild(own.problem, self.state, own.guide, self.table, margins, self.cost)
        self.best = self.table.best
        return len(margins)


class _Two:
    """A plan rebuilt on two sides of the station at once, by units, drawn anew for each batch."""

    def __init__(self, field: Field, plan: Plan, seed: int) -> None:
        self.field, self.best, self.cost = field, plan.chosen.copy(), plan.pv_cost
        self.state = state_of(field.problem, plan.chosen)
        self.home, self.rng = homes(field.arrays), np.random.default_rng(seed)
        self.pool = ThreadPoolExecutor(2)

    def step(self, margins: FloatArray) -> int:
        """Rebuild each side once for each margin; return how many rebuilds that was."""
        sides = sides_of(self.field.problem, self.state, drawn(self.home, self.rng))
        seeds = self.rng.integers(1, 2**31, 2)
        runs = [
            self.pool.submit(self._rebuilt, problem, own, int(seed), margins)
            for problem, own, seed in zip(sides.problems, sides.own, seeds, strict=True)
        ]
        found = [run.result() for run in runs]
        best = self._joined([table.best for _, table in found], sides.own)
        self.state = self._joined([state.chosen for state, _ in found], sides.own)
        for state in (best, self.state):
            if state.cost[0] < self.cost:
                self.best, self.cost = state.chosen.copy(), float(state.cost[0])
        return 2 * len(margins)

    def _rebuilt(
        self, problem: Problem, own: IntArray, seed: int, margins: FloatArray
    ) -> tuple[State, Table]:
        """Return a side rebuilt, and its table with the best seen."""
        state = State(*(part.copy() for part in self.state))
        table = table_of(problem, MOST_OUT, seed, own)
        table.best[:] = state.chosen
        if len(own):
            rebuild(problem, state, self.field.guide, table, margins, float(state.cost[0]))
        return state, table

    def _joined(self, plans: list[IntArray], own: tuple[IntArray, IntArray]) -> State:
        """Return the plan of both sides; that of the cheaper one where both together do not hold.

        They do not where both count on one lengthened outage, whose relief is not theirs alone.
        """
        both = self.state.chosen.copy()
        for plan, side in zip(plans, own, strict=True):
            both[side] = plan[side]
        states = [state_of(self.field.problem, chosen) for chosen in (both, *plans)]
        if is_sound(self.field.problem, states[0]):
            return states[0]
        return min(states[1:], key=lambda state: float(state.cost[0]))


def improve(
    field: Field, plan: Plan, ends: Ends, say: Callable[[float], None] | None = None
) -> Plan:
    """Return the plan rebuilt and settled; the same for the same rebuilds and seed.

    A large station of several units is rebuilt on two sides at once, whatever the number of
    cores. The margin shrinks to nothing with the rebuilds; sooner where the time is too short.
    """
    problem, count = field.problem, field.arrays.components_count
    is_two = count >= TWO_FROM and field.arrays.period_unit.max() > 0
    work = (_Two if is_two else _One)(field, plan, ends.seed)
    margin = MARGIN_SHARE * max(work.cost - field.bound_pv_cost, 0.0) / count
    began, done = time.perf_counter(), 0
    while done < ends.rebuilds:
        spent = (time.perf_counter() - began) / ends.seconds
        size = min(max(BATCH, count // 2), ends.rebuilds - done)
        gone = np.linspace(done, done + size * (2 if is_two else 1), size, False) / ends.rebuilds
        part = 1 - np.clip(gone, spent if spent > gone[0] + LATE else 0.0, 1.0)
        done += work.step(margin * part)
        if say is not None:
            say(work.cost)
        if work.cost <= ends.enough_pv_cost or spent >= 1:
            break
    state = state_of(problem, work.best)
    settle(problem, state, np.arange(count), SETTLE_PASSES, LEAST_SHARE * abs(work.cost))
    found = Plan(state.chosen, float(state.cost[0]))
    is_better = found.pv_cost < plan.pv_cost and is_sound(problem, state)
    return found if is_better else plan
