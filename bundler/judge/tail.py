"""Costs of a plan over scenarios of lives, recomputed scenario by scenario from the tables."""

from collections.abc import Iterator

import numpy as np

from bundler.judge.lives import steps_of
from bundler.judge.reading import Reading
from bundler.judge.redundancy import group_loss_pv
from bundler.judge.risk import FloatArray, component_risk_pv
from bundler.judge.stocks import stock_loss_pv
from bundler.judge.verdict import Breach, TailFacts
from bundler.judge.works import works_by_component
from bundler.life.evidence import known_lives
from bundler.tables import rows

#: part of the cost by which a claim may differ: the plan's grid and its table of lives are coarser
TAIL_SHARE = 2e-3


def scenario_risks(reading: Reading, tail: TailFacts) -> dict[str, float]:
    """Return the present value of the risk of the plan in each scenario, by its name."""
    site, known = reading.site, known_lives(reading.site.case)
    works, steps = works_by_component(reading.works), steps_of(site)
    ratios = {(row.scenario, row.family): float(row.life_ratio) for row in rows(tail.scenarios)}
    total = dict.fromkeys(sorted({name for name, _ in ratios}), 0.0)
    stretched: dict[str, dict[str, float]] = {name: {} for name in total}
    for component in site.components.values():
        family = site.families[component.family]
        power = known[component.component].sigma_ratio / float(family.life_sigma_ratio)
        own = works.get(component.component, [])
        seen: dict[float, float] = {}
        for name in total:
            ratio = ratios[name, component.family] ** power
            if ratio not in seen:
                seen[ratio] = component_risk_pv(site, component, own, steps, ratio)
            total[name] += seen[ratio]
            stretched[name][component.component] = ratio
    for name, own_ratios in stretched.items():
        total[name] += group_loss_pv(reading, own_ratios) + stock_loss_pv(reading, own_ratios)
    return total


def worst_mean(costs: FloatArray, chances: FloatArray, worst_share: float) -> float:
    """Return the mean of the dearest cases that together have this share of all chances.

    Integral of the quantile function over the top share: the stretch of each sorted outcome on
    the axis of chances, as far as it lies in the tail.
    """
    order = np.argsort(costs)
    edges = np.append(0.0, np.cumsum(chances[order]))
    edges = np.maximum(edges / edges[-1], 1 - worst_share)
    return float(np.sum(costs[order] * np.diff(edges)) / worst_share)


def tail_costs(reading: Reading, beside_pv_cost: float) -> dict[str, float]:
    """Return mean, tail and weighted cost of the plan; {} where it tells of no scenarios."""
    tail = reading.facts.tail
    if tail is None:
        return {}
    found = scenario_risks(reading, tail)
    chance = tail.scenarios.groupby("scenario")["chance"].first()
    chances = chance.loc[list(found)].to_numpy(dtype=float)
    costs = beside_pv_cost + np.array(list(found.values()))
    mean = float(chances @ costs / chances.sum())
    worst = worst_mean(costs, chances, tail.worst_share)
    both = (1 - tail.weight_share) * mean + tail.weight_share * worst
    return {"mean_pv_cost": mean, "worst_pv_cost": worst, "weighted_pv_cost": both}


def check_tail(reading: Reading, beside_pv_cost: float) -> Iterator[Breach]:
    """Hold that mean and tail of the plan's costs are what its scenarios give.

    `beside_pv_cost` is all that it costs beside risk, which no scenario changes.
    """
    tail = reading.facts.tail
    for name, cost in tail_costs(reading, beside_pv_cost).items():
        claim = tail.claimed.get(name, float("nan")) if tail else float("nan")
        if not abs(claim - cost) <= max(1.0, TAIL_SHARE * abs(cost)):
            text = f"{name}: the plan claims {claim:,.2f}, its scenarios of lives give {cost:,.2f}."
            yield Breach("tail", name, text, abs(claim - cost))
