"""A plan improved part by part: small integer programs while everything else stands."""

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray, only
from bundler.errors import NoPlanError, SolverError
from bundler.program.build import build_program
from bundler.solve.arrays import Arrays
from bundler.solve.compiled.problem import IntArray, Lists, Problem
from bundler.solve.highs import Options, run
from bundler.solve.plan_state import Plan, chosen_of, is_sound, numbers_of, state_of
from bundler.solve.rest import rest_of

#: components that are free at once; by trial of 30 to 250
FREE_COUNT = 40
#: courses of a free component: those within this part of the mean cost of a component of its
#: cheapest at the prices, but at most so many; by trial
NEAR_PART, NEAR_MOST = 0.03, 12
#: gap and longest time of one small program
PART_GAP, PART_SECONDS = 1e-4, 10.0
#: small programs that are made from one plan before the next looks at what they found
AT_ONCE = 2
#: how a neighbourhood is chosen, in turn
KINDS = ("far off", "unit", "access", "full row")


@dataclass(frozen=True)
class Search:
    """What small programs are made from, and when they end.

    choices hold what is still open; regret [Q] is what each course of `arrays` costs more at the
    prices than the cheapest; enough_pv_cost ends the search; note is told the cost found.
    """

    choices: Choices
    arrays: Arrays
    problem: Problem
    regret: FloatArray
    workers_count: int
    seconds: float
    enough_pv_cost: float
    note: Callable[[float], None]
    seed: int = 1


class _Parts:
    """Draws neighbourhoods of a plan: whom it makes sense to free together."""

    def __init__(self, how: Search) -> None:
        self.how, self.rng = how, np.random.default_rng(how.seed)
        self.number = 0
        self.best = np.lexsort((how.regret, how.arrays.component))[how.arrays.start[:-1]]

    def next(self, chosen: IntArray) -> IntArray:
        """Return the components of the next neighbourhood."""
        kind = KINDS[self.number % len(KINDS)]
        self.number += 1
        regret = self.how.regret[chosen]
        weight = regret + 1e-6 * max(float(regret.max()), 1e-9)
        first = int(self.rng.choice(len(chosen), p=weight / weight.sum()))
        around = self._around(kind, first, chosen)
        pull = regret + self.rng.exponential(max(float(np.median(regret)), 1e-9), len(regret))
        around = around[np.argsort(-pull[around], kind="stable")][:FREE_COUNT]
        return np.unique(np.append(around, first))

    def _around(self, kind: str, first: int, chosen: IntArray) -> IntArray:
        """Return who stands near a component in one way or another."""
        problem, arrays = self.how.problem, self.how.arrays
        courses = np.array([self.best[first], chosen[first]])
        if kind == "access":
            return self._sharers(arrays.works[courses].ravel(), problem.need, chosen)
        if kind == "full row":
            return self._sharers(arrays.works[courses].ravel(), problem.use, chosen)
        periods = np.unique(problem.period[arrays.works[courses]])
        periods = periods[periods >= 0]
        if kind == "unit":
            periods = np.unique(np.concatenate([periods - 1, periods, periods + 1]))
        near = np.isin(problem.period[arrays.works[chosen]], periods).any(axis=1)
        near |= np.isin(problem.period[arrays.works[self.best]], periods).any(axis=1)
        return np.flatnonzero(near)

    def _sharers(self, places: IntArray, lists: Lists, chosen: IntArray) -> IntArray:
        """Return who uses the same rows (or sets) as some placements, now or at the prices."""
        start, item = lists.start, lists.item
        asked = np.concatenate([item[start[place] : start[place + 1]] for place in places])
        counts = np.diff(start)
        owner = np.repeat(np.arange(len(counts)), counts)
        users = np.zeros(len(counts), dtype=bool)
        users[owner[np.isin(item, asked)]] = True
        works = self.how.arrays.works
        return np.flatnonzero(
            users[works[chosen]].any(axis=1) | users[works[self.best]].any(axis=1)
        )


def _near_choices(how: Search, plan: Plan) -> Choices:
    """Return the choices with the near courses of every component and those of the plan."""
    arrays = how.arrays
    is_near = how.regret <= NEAR_PART * abs(plan.pv_cost) / arrays.components_count
    order = np.lexsort((how.regret, arrays.component))
    rank = np.empty(len(order), dtype=np.int64)
    rank[order] = np.arange(len(order)) - np.repeat(arrays.start[:-1], np.diff(arrays.start))
    is_near &= rank < NEAR_MOST
    is_near[plan.chosen] = True
    return only(how.choices, how.choices.courses["course"].isin(arrays.courses[is_near]))


def _solve(near: Choices, courses: tuple[int, ...], free: pd.Series, seconds: float) -> list[int]:
    """Return the courses of the free components in the best plan found, if one was found."""
    chosen = pd.Series(courses, dtype="int64")
    program = build_program(rest_of(near, chosen, free))
    options = Options(min(PART_SECONDS, seconds), PART_GAP)
    for course, x in program.x.items():
        x.varValue = float(course in courses)
    try:
        run(program, options, is_integer=True)
    except (NoPlanError, SolverError):
        return []
    return list(program.chosen())


def _merged(how: Search, plan: Plan, found: list[int]) -> Plan:
    """Return the plan with the courses found, if it holds and is cheaper; the plan otherwise."""
    if not found:
        return plan
    chosen = plan.chosen.copy()
    place = chosen_of(how.arrays, tuple(found))
    chosen[place >= 0] = place[place >= 0]
    state = state_of(how.problem, chosen)
    if is_sound(how.problem, state) and state.cost[0] < plan.pv_cost:
        return Plan(chosen, float(state.cost[0]))
    return plan


def improve_by_programs(how: Search, plan: Plan) -> Plan:
    """Return the plan improved by small programs, never dearer; the same for the same number.

    Programs are made in pairs from one plan, whatever the number of workers, and taken over one
    after the other.
    """
    until = time.perf_counter() + how.seconds
    parts, near = _Parts(how), _near_choices(how, plan)
    names = how.choices.courses.drop_duplicates("component")["component"].to_numpy()
    with ThreadPoolExecutor(max(min(how.workers_count, AT_ONCE), 1)) as pool:
        while time.perf_counter() < until and plan.pv_cost > how.enough_pv_cost:
            left = until - time.perf_counter()
            courses = numbers_of(how.arrays, plan.chosen)
            free = [pd.Series(names[parts.next(plan.chosen)]) for _ in range(AT_ONCE)]
            asked = [pool.submit(_solve, near, courses, own, left) for own in free]
            for answer in asked:
                plan = _merged(how, plan, answer.result())
            how.note(plan.pv_cost)
    return plan
