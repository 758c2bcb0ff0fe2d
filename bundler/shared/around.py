"""What a plan means for the courses of each component: what is learned, what losses are shared."""

import itertools

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR, SAME_DAYS
from bundler.case import Case
from bundler.choice import FloatArray
from bundler.courses.around import Around
from bundler.courses.costing import Costing
from bundler.courses.learned import learned_ratios
from bundler.courses.lives import works_of
from bundler.shared.doing import Doing
from bundler.shared.run_out import Removals, RunOutSet, freeing
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


def _alone(costing: Costing, part: pd.Series, placed: pd.DataFrame, moves: Removals) -> FloatArray:
    """Return what each removal of a component costs over none, in work and ageing; last: none."""
    own = freeing(placed, str(part["component"]))
    sight = costing.own_sight(part)
    works = works_of(costing.case, part, own, sight.grid_years)
    steps = np.append(np.arange(len(moves.effect_days)), -1).reshape(-1, 1)
    risk = costing.risks(sight, works, steps, (1.0,))[:, 0]
    planned = np.append(own["planned_pv_cost"].to_numpy(dtype=float), 0.0)
    result: FloatArray = risk + planned - risk[-1]
    return result


def _removed(each: RunOutSet, shared: Shared) -> dict[str, Doing]:
    """Return the removals that cost least with the stock's loss, whatever limits there are."""
    able = [
        (np.append(moves.start_days, np.inf), np.append(moves.freed_count, 0.0))
        for moves in each.removals
    ]
    if np.prod([float(len(days)) for days, _ in able]) > MOST_PATTERNS:
        return {}
    alone = [
        _alone(shared.costing, shared.parts[name], shared.placed, moves)
        for name, moves in zip(each.members, each.removals, strict=True)
    ]
    patterns = np.array(list(itertools.product(*(range(len(days)) for days, _ in able))))
    days, freed = (
        np.column_stack([able[i][side][patterns[:, i]] for i in range(len(able))])
        for side in (0, 1)
    )
    cost = sum(own[patterns[:, i]] for i, own in enumerate(alone))
    best = int(np.argmin(cost + each.loss_by_pattern(days, freed)))
    none = np.zeros(0)
    return {
        name: Doing(none, float(days[best, i]), float(freed[best, i]))
        for i, name in enumerate(each.members)
    }


def first_around(shared: Shared) -> Around:
    """Return what holds before there is a plan: no work and nothing learned.

    But a stock that runs out is looked at with the removals that would be best by themselves, as
    else each of its components would be told to save all others.
    """
    none = pd.DataFrame({"component": pd.Series(dtype="str")})
    plan: dict[str, Doing] = dict(shared.plan(none))
    for each in shared.run_outs:
        for name, told in _removed(each, shared).items():
            plan[name] = Doing(plan[name].failures, told.removed_days, told.freed_count)
    return Around({}, shared.extras(plan), shared.constant_pv(plan))


def _charged(shared: Shared, costing: Costing, name: str, told: Doing) -> float:
    """Return what a member's course is charged beside its own loss, as courses are costed."""
    extra, part = costing.around.extras[name], shared.parts[name]
    charged = float(told.failures @ extra.loss_pv_cost)
    if extra.removal_pv_cost is None:
        return charged
    each = next(one for one in shared.run_outs if name in one.members)
    moves = each.removals[each.members.index(name)]
    hit = np.flatnonzero(np.abs(moves.start_days - told.removed_days) < SAME_DAYS)
    if len(hit) == 0:
        return charged + float(extra.removal_pv_cost[-1])
    points = costing.time(part).grid_years * DAYS_A_YEAR
    return charged + float(
        extra.removal_pv_cost[np.searchsorted(points, moves.effect_days[hit[0]] - 1e-3)]
    )


def true_pv(
    shared: Shared, costing: Costing, constant_pv: float, works: pd.DataFrame, pv_cost: float
) -> float:
    """Return the true cost of a plan from its cost as its courses are charged, in present value.

    `works` are its placed works; `pv_cost` holds the charges of `costing` and `constant_pv`.
    """
    plan = shared.plan(works)
    charged = sum(_charged(shared, costing, name, told) for name, told in plan.items())
    return pv_cost - constant_pv - charged + shared.loss_pv(plan)
