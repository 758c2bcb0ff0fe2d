"""The plan of least (1 - w) mean + w CVaR over scenarios of lives, with a proven bound.

For fixed weights of the scenarios the problem is the plain program with weighted risks. All weights
between (1 - w) chance and (1 - w) chance + w chance / (1 - alpha) that add up to 1 give a bound
that no plan beats, since the tail is the largest weighted cost over them (Rockafellar and Uryasev
2000; Shapiro, Dentcheva and Ruszczynski 2009, chapter 6, from memory). The relaxed program with
its tail rows finds the weights with the largest relaxed bound.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray, Tail, only
from bundler.program import tail as rule
from bundler.program.build import build_program
from bundler.risk.tail import cvar
from bundler.solve.answer import Known, Relaxed, Solved, Spread, ended
from bundler.solve.arrays import arrays_of
from bundler.solve.fewer import fewer_works, useful
from bundler.solve.find import find_plan
from bundler.solve.highs import Options, relax
from bundler.solve.priced import BOUND_MOST, prices_of
from bundler.solve.search import Progress, search

#: entries of the tail's rows (courses x scenarios) up to which they go into the integer program;
#: by trial: the demo with 400,000 is four times slower with them than at fixed weights
ROWS_MOST = 40_000
MEAN = "mean over scenarios"
WHOLE = "tail rows in the integer program"
FIXED = "integer program at the scenario weights of the relaxed tail"


def tail_of(choices: Choices) -> Tail:
    """Return the scenarios of lives; raises ValueError where there are none."""
    if choices.tail is None:
        raise ValueError("These choices hold no scenarios of lives. Draw some first.")
    return choices.tail


def _weights(tail: Tail, relaxed: Relaxed) -> FloatArray:
    """Return the weight of each scenario at the relaxed optimum [S]; they add up to 1."""
    w = tail.lives.weight_share
    found = np.array([relaxed.prices[rule.NAME, s] for s in range(len(tail.chances))])
    found = np.clip(found, 0.0, w * tail.chances / tail.lives.worst_share)
    own = found / found.sum() if found.sum() > 0 else tail.chances
    result: FloatArray = (1 - w) * tail.chances + w * own
    return result


def common_cost(choices: Choices, solved: Solved) -> float:
    """Return what a plan costs beside its risk: work, access, days, overtime [present value]."""
    courses, access = choices.courses, choices.access
    planned = courses.loc[courses["course"].isin(solved.courses), "planned_pv_cost"].sum()
    made = access.loc[access["access"].isin(solved.access) & ~access["is_given"], "pv_cost"].sum()
    days = dict(zip(choices.periods["period"], choices.periods["day_pv_cost"], strict=True))
    bands = choices.overtimes
    hours = dict(zip(bands["overtime"], bands["pv_cost_per_hour"], strict=True))
    relief = sum(n * days[name] for name, n in solved.extension_days.items())
    relief += sum(n * hours[name] for name, n in solved.overtime_hours.items())
    return float(planned + made + relief) + choices.shared_pv_cost


def _worth(tail: Tail, scenario_pv_cost: FloatArray) -> tuple[float, float, float]:
    """Return mean, mean of the tail, and both weighted."""
    lives = tail.lives
    mean = float(tail.chances @ scenario_pv_cost)
    worst = cvar(scenario_pv_cost, tail.chances, 1 - lives.worst_share)
    return mean, worst, (1 - lives.weight_share) * mean + lives.weight_share * worst


def told(choices: Choices, solved: Solved, weights: FloatArray, method: str) -> Solved:
    """Return a plan with its cost over the scenarios; the objective is told afresh from them."""
    tail = tail_of(choices)
    rows = choices.courses["course"].isin(solved.courses).to_numpy()
    costs = common_cost(choices, solved) + tail.risk_pv_cost[rows].sum(axis=0)
    mean, worst, both = _worth(tail, costs)
    return replace(
        solved, objective_pv_cost=both, bound_pv_cost=min(solved.bound_pv_cost, both),
        spread=Spread(costs, mean, worst, weights, method),
    )  # fmt: skip


def _known_at(choices: Choices, known: Known, weights: FloatArray | None) -> Known:
    """Return a known plan with its cost at fixed weights, or (None) in the tail's objective."""
    tail, courses = tail_of(choices), choices.courses
    rows = courses["course"].isin(known.courses).to_numpy()
    beside = known.pv_cost - float(courses.loc[rows, "risk_pv_cost"].sum())
    risks = tail.risk_pv_cost[rows].sum(axis=0)
    cost = _worth(tail, beside + risks)[2] if weights is None else beside + float(risks @ weights)
    return replace(known, pv_cost=cost)


def _useful(choices: Choices, plain: Choices) -> pd.Series:
    """Return which courses are of use at the costs of `plain`; the others change no optimum."""
    return useful(fewer_works(choices), plain.courses["pv_cost"].to_numpy())


@dataclass(frozen=True)
class Search:
    """How to search: options, progress, known plans, and what makes a plan cheaper.

    `known` is a plan at the lives assumed; `earlier` are plans of the same scenarios at another
    weight of the tail; `start` are prices of a like case.
    """

    options: Options
    progress: Progress
    known: Known | None = None
    polish: Callable[[Choices, Solved], Solved] | None = None
    earlier: tuple[Solved, ...] = ()
    start: Mapping[tuple[str, Any], float] | None = None


def _at_weights(choices: Choices, weights: FloatArray, how: Search) -> Solved:
    """Return the plan at fixed weights; courses of no use there are left out."""
    plain, known, polish = rule.weighted(choices, weights), how.known, how.polish
    known = known and _known_at(choices, known, weights)
    is_kept = _useful(choices, plain)
    if known is not None:
        is_kept |= plain.courses["course"].isin(known.courses)
    found = find_plan(only(plain, is_kept), how.options, how.progress, known, how.start)
    return polish(plain, found) if polish else found


def _best_weights(choices: Choices, how: Search) -> FloatArray:
    """Return the scenario weights [S] of the largest relaxed bound, or near it at size."""
    tail = tail_of(choices)
    if len(choices.courses) <= BOUND_MOST:
        return _weights(tail, relax(build_program(choices), how.options))
    found = prices_of(arrays_of(choices), how.options, how.start, how.progress)
    result: FloatArray = (1 - tail.lives.weight_share) * tail.chances + found.weights
    return result


def _own_plan(choices: Choices, how: Search) -> Solved:
    """Return the plan of least (1 - w) mean + w CVaR, by the way that fits the size."""
    tail = tail_of(choices)
    if not rule.counts(choices):
        return told(choices, _at_weights(choices, tail.chances, how), tail.chances, MEAN)
    if tail.risk_pv_cost.size <= ROWS_MOST:
        known = how.known and _known_at(choices, how.known, None)
        solved = search(build_program(choices), how.options, how.progress, known)
        return told(choices, solved, _weights(tail, solved.relaxed), WHOLE)
    how.progress("relaxed tail", 0.0)
    few = only(choices, _useful(choices, rule.weighted(choices, tail.chances)))
    weights = _best_weights(few, how)
    return told(choices, _at_weights(choices, weights, how), weights, FIXED)


def search_tail(choices: Choices, how: Search) -> Solved:
    """Return the plan of least (1 - w) mean + w CVaR with its proven gap, and its spread.

    Never worse than the earlier plans; `how.polish` makes a plan at fixed weights cheaper.

    Raises NoPlanError when no plan keeps every row, SolverError when the time gives none.
    """
    found = _own_plan(choices, how)
    if found.spread is None:
        return found
    spread = found.spread
    plans = [told(choices, plan, spread.weights, spread.method) for plan in how.earlier]
    best = min([found, *plans], key=lambda plan: plan.objective_pv_cost)
    best = replace(
        best, bound_pv_cost=min(found.bound_pv_cost, best.objective_pv_cost),
        seconds=found.seconds, relaxed=found.relaxed, status=found.status,
    )  # fmt: skip
    status = ended(best, how.options.gap_share)
    is_by_weights = status == "time limit" and found.status != "time limit"
    return replace(best, status="weights" if is_by_weights else status)
