"""Plans from the least mean cost to the least cost of bad scenarios of lives, each with its gap."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bundler.around_plan import keys, known_of
from bundler.case import Case
from bundler.choice import Choices, FloatArray, Lives
from bundler.dates.choose import choose_dates
from bundler.errors import NoPlanError
from bundler.judge.judge import judge
from bundler.judge.verdict import Breach
from bundler.plan.chosen import chosen_by, first_works
from bundler.rounds import Rounds, plan_in_rounds
from bundler.run import Progress, facts_of, silent, tail_facts, why_not
from bundler.solve.answer import Known, Solved, ended
from bundler.solve.highs import Options
from bundler.solve.tail import Search, told
from bundler.tailed import Tailed, held, over_lives, searched, worded

#: a difference of costs below this share is none
TINY_SHARE = 1e-9


@dataclass(frozen=True)
class Frontier:
    """Plans at rising weights of the tail: one row a plan, its scenarios, what the judge says.

    table : weight_share, mean_pv_cost, worst_pv_cost, objective_pv_cost, bound_pv_cost, gap_share,
        works_count, changed_count (components whose first work is another than in the first
        plan), is_efficient (no other plan is better in mean and tail), status.
    scenarios : scenario, family, life_ratio, chance.
    """

    case: Case
    lives: Lives
    table: pd.DataFrame
    scenarios: pd.DataFrame
    plans: tuple[Solved, ...]
    breaches: tuple[Breach, ...]


def at_share(choices: Choices, weight_share: float) -> Choices:
    """Return the choices with another weight of the tail."""
    if choices.tail is None:
        return choices
    lives = replace(choices.tail.lives, weight_share=weight_share)
    return replace(choices, tail=replace(choices.tail, lives=lives))


def proven(shares: FloatArray, bounds: FloatArray) -> FloatArray:
    """Return the best bound at each weight that all bounds together prove.

    The least (1 - w) mean + w CVaR is concave in w and never falls, as the CVaR of a plan is no
    less than its mean: a straight line between two bounds is a bound, and so is one at a lesser w.
    """
    best = np.maximum.accumulate(bounds)
    for low in range(len(shares)):
        for high in range(low + 2, len(shares)):
            part = (shares - shares[low]) / (shares[high] - shares[low])
            line = best[low] + part * (best[high] - best[low])
            inside = (part >= 0) & (part <= 1)
            best = np.where(inside, np.maximum(best, line), best)
    return best


def efficient(mean: FloatArray, worst: FloatArray) -> FloatArray:
    """Return which plans no other beats in mean or tail without losing in the other (a mask)."""
    least = TINY_SHARE * np.abs(np.concatenate([mean, worst])).max(initial=0.0)
    no_worse = (mean[:, None] >= mean - least) & (worst[:, None] >= worst - least)
    better = (mean[:, None] > mean + least) | (worst[:, None] > worst + least)
    result: FloatArray = ~(no_worse & better).any(axis=1)
    return result


def _changed(first: dict[str, tuple[str, str]], other: dict[str, tuple[str, str]]) -> int:
    return sum(first.get(name) != other.get(name) for name in first.keys() | other.keys())


def _best(
    choices: Choices, plans: Sequence[Solved], shares: FloatArray, options: Options
) -> list[Solved]:
    """Return for each weight the best of all plans, with the bound that all bounds prove."""
    bounds = proven(shares, np.array([plan.bound_pv_cost for plan in plans]))
    best = []
    for share, own, bound in zip(shares, plans, bounds, strict=True):
        spread = own.spread
        assert spread is not None, "a plan over scenarios has its spread"
        there = at_share(choices, float(share))
        all_told = [told(there, plan, spread.weights, spread.method) for plan in (own, *plans)]
        found = min(all_told, key=lambda plan: plan.objective_pv_cost)
        bound = min(float(bound), found.objective_pv_cost)
        found = replace(found, bound_pv_cost=bound, status="within gap")
        keeps_word = own.status == "optimal" or ended(found, options.gap_share) == "time limit"
        best.append(replace(found, status=own.status) if keeps_word else found)
    return best


def _again(first: Tailed, plan: Solved, share: float, options: Options) -> Tailed:
    """Return a plan that is held already at another weight of the tail, with its own bound."""
    assert plan.spread is not None, "a plan over scenarios has its spread"
    choices, own = at_share(first.choices, share), first.solved
    moved = replace(own, bound_pv_cost=plan.bound_pv_cost, status=plan.status)
    solved = told(choices, moved, plan.spread.weights, plan.spread.method)
    return replace(first, choices=choices, solved=worded(solved, options))


def _held_all(
    case: Case, rounds: Rounds, found: Tailed, plans: Sequence[Solved], lives: Sequence[Lives],
    options: Options,
) -> list[Tailed]:  # fmt: skip
    """Return each plan with itself around its components, at its true cost in each scenario."""
    first: dict[tuple[int, ...], Tailed] = {}
    done = []
    for own, plan in zip(lives, plans, strict=True):
        share = own.weight_share
        if plan.courses in first:
            done.append(_again(first[plan.courses], plan, share, options))
            continue
        there = replace(found, choices=at_share(found.choices, share), solved=plan)
        done.append(held(case, rounds, there, own, Search(options, silent)))
        first[plan.courses] = done[-1]
    return done


def _table(found: Sequence[Tailed], shares: FloatArray) -> pd.DataFrame:
    """Return one row a plan."""
    plans = [own.solved for own in found]
    spreads = [plan.spread for plan in plans if plan.spread is not None]
    mean = np.array([spread.mean_pv_cost for spread in spreads])
    worst = np.array([spread.worst_pv_cost for spread in spreads])
    firsts = [first_works(chosen_by(own.choices, own.solved).works) for own in found]
    return pd.DataFrame(
        {
            "weight_share": shares,
            "mean_pv_cost": mean.round(3),
            "worst_pv_cost": worst.round(3),
            "objective_pv_cost": [round(plan.objective_pv_cost, 3) for plan in plans],
            "bound_pv_cost": [round(plan.bound_pv_cost, 3) for plan in plans],
            "gap_share": [round(plan.gap_share, 6) for plan in plans],
            "works_count": [len(chosen_by(own.choices, own.solved).works) for own in found],
            "changed_count": [_changed(firsts[0], own) for own in firsts],
            "is_efficient": efficient(mean, worst),
            "status": [plan.status for plan in plans],
        }
    )


def _judged(case: Case, found: Sequence[Tailed]) -> tuple[Breach, ...]:
    """Return what the judge finds in any of the plans; equal plans are judged once."""
    breaches: list[Breach] = []
    seen: set[frozenset[tuple[str, str, str]]] = set()
    for own in found:
        picked = chosen_by(own.choices, own.solved)
        works = keys(picked.works)
        if works not in seen:
            facts = tail_facts(own.choices, own.solved, own.scenarios)
            breaches += judge(case, facts_of(own.choices, picked, facts))
        seen.add(works)
    return tuple(breaches)


def _searched_all(
    choices: Choices, shares: FloatArray, options: Options, known: Known | None, progress: Progress
) -> list[Solved]:
    """Return a plan at each weight; those before are known to the next."""
    plans: list[Solved] = []
    for number, share in enumerate(shares):
        stage = f"plan {number + 1} of {len(shares)}"
        progress(stage, 0.1 + 0.8 * number / len(shares))
        how = Search(options, silent, known, earlier=tuple(plans))
        plans.append(searched(at_share(choices, float(share)), how))
    return plans


def frontier(
    case: Case, options: Options, lives: Lives, points_count: int = 5, progress: Progress = silent
) -> Frontier:
    """Return plans at `points_count` weights of the tail from 0 to 1, judged, with their gaps.

    `options` hold for each plan alone. Raises NoPlanError when no plan keeps every rule,
    SolverError when the solver gives none, ValueError for fewer than 2 points.
    """
    if points_count < 2:
        raise ValueError(f"{points_count} points are asked for; a frontier has 2 or more.")
    case = choose_dates(case).case
    try:
        rounds = plan_in_rounds(case, options, progress=silent)
        progress("risk at other lives", 0.05)
        choices, scenarios = over_lives(case, rounds, lives)
        shares = np.linspace(0.0, 1.0, points_count)
        plans = _searched_all(choices, shares, options, known_of(rounds.solved), progress)
        best = _best(choices, plans, shares, options)
        start = Tailed(choices, rounds.courses, best[0], scenarios)
        weighed = [replace(lives, weight_share=float(share)) for share in shares]
        found = _held_all(case, rounds, start, best, weighed, options)
    except NoPlanError as fault:
        raise NoPlanError(why_not(case)) from fault
    progress("judge", 0.9)
    breaches, table = _judged(case, found), _table(found, shares)
    return Frontier(case, lives, table, scenarios, tuple(own.solved for own in found), breaches)
