"""What a plan means for the courses of each component: what is learned, what losses are shared."""

import itertools

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR
from bundler.case import Case
from bundler.choice import FloatArray
from bundler.courses.around import Around
from bundler.courses.costing import Costing
from bundler.courses.learned import learned_ratios
from bundler.courses.lives import works_of
from bundler.shared.doing import Doing, Doings
from bundler.shared.run_out import RunOutSet
from bundler.shared.shared import Shared

#: patterns of removals up to which the first plan looks at all of them; our choice
MOST_PATTERNS = 20_000


def around(case: Case, shared: Shared, possible: pd.DataFrame, works: pd.DataFrame) -> Around:
    """Return what a plan means for its components' courses.

    `possible` are all works whose conditions hold, `works` those of the plan.
    """
    plan = shared.plan(works)
    learned = learned_ratios(case, possible, works)
    return Around(learned, shared.extras(plan), shared.constant_pv(plan))


def _alone(costing: Costing, part: pd.Series, own: pd.DataFrame) -> tuple[FloatArray, FloatArray]:
    """Return when each freeing work of a component takes effect, and its cost over doing nothing.

    The last is never, for nothing.
    """
    freeing = own[own["frees_count"] > 0].sort_values("effect_days")
    sight = costing.own_sight(part)
    works = works_of(costing.case, part, freeing, sight.grid_years)
    steps = np.append(np.arange(len(freeing)), -1).reshape(-1, 1)
    risk = costing.risks(sight, works, steps, (1.0,))[:, 0]
    planned = np.append(freeing["planned_pv_cost"].to_numpy(dtype=float), 0.0)
    days = np.append(freeing["effect_days"].to_numpy(dtype=float), np.inf)
    return days, risk + planned - risk[-1]


def _removals(each: RunOutSet, shared: Shared, possible: pd.DataFrame) -> dict[str, Doing]:
    """Return the removals that cost least with the stock's loss, whatever limits there are."""
    told = [
        _alone(shared.costing, shared.parts[name], possible[possible["component"] == name])
        for name in each.members
    ]
    if np.prod([len(days) for days, _ in told]) > MOST_PATTERNS:
        return {}
    patterns = np.array(list(itertools.product(*(range(len(days)) for days, _ in told))))
    days = np.column_stack([told[i][0][patterns[:, i]] for i in range(len(told))])
    cost = sum(told[i][1][patterns[:, i]] for i in range(len(told)))
    best = days[int(np.argmin(cost + each.loss_by_pattern(days)))]
    none = np.zeros(0)
    return {
        name: Doing(none, float(day), each.freed_count if np.isfinite(day) else 0.0)
        for name, day in zip(each.members, best, strict=True)
    }


def first_around(case: Case, shared: Shared, possible: pd.DataFrame) -> Around:
    """Return what holds before there is a plan: no work and nothing learned.

    But a stock that runs out is looked at with the removals that would be best by themselves, as
    else each of its components would be told to save all others.
    """
    plan: dict[str, Doing] = dict(shared.plan(possible.iloc[:0]))
    for each in shared.run_outs:
        for name, told in _removals(each, shared, possible).items():
            plan[name] = Doing(plan[name].failures, told.removed_days, told.freed_count)
    held: Doings = plan
    return Around({}, shared.extras(held), shared.constant_pv(held))


def _charged(costing: Costing, name: str, part: pd.Series, told: Doing) -> float:
    """Return what a member's course is charged beside its own loss, as courses are costed."""
    extra = costing.around.extras[name]
    charged = float(told.failures @ extra.loss_pv_cost)
    if extra.removal_pv_cost is None:
        return charged
    points = costing.time(part).grid_years * DAYS_A_YEAR
    at = np.searchsorted(points, told.removed_days - 1e-3) if told.removed_days < np.inf else -1
    return charged + float(extra.removal_pv_cost[at])


def true_pv(
    shared: Shared, costing: Costing, constant_pv: float, works: pd.DataFrame, pv_cost: float
) -> float:
    """Return the true cost of a plan from its cost as its courses are charged, in present value.

    `works` are its placed works; `pv_cost` holds the charges of `costing` and `constant_pv`.
    """
    plan = shared.plan(works)
    charged = sum(_charged(costing, name, shared.parts[name], told) for name, told in plan.items())
    return pv_cost - constant_pv - charged + shared.loss_pv(plan)
