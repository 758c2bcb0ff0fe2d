"""Interventions placed in periods at the least risk, under windows of resources and exclusions.

An intervention is a component, a start period a course; each resource has a limit a period (its
minimum is one of uses below zero), and two interventions that exclude each other are a link in each
period of the season. Least mean risk is our own program as it is; the full score adds what the
quantile of the scenarios exceeds the mean by (`roadef_score`).

ROADEF/EURO challenge 2020, with RTE: grid operation-based outage maintenance planning.
"""

from dataclasses import replace

import numpy as np
import pandas as pd

from bundler.choice import Choices, IntArray
from bundler.solve.highs import Options
from tests.published.answer import Answer, Checked, solve
from tests.published.folder import FOLDER, IS_THERE, Known, optima
from tests.published.roadef_raw import Raw, read
from tests.published.roadef_score import solve_score
from tests.published.tables import empty, option_tables

#: what a resource may miss its bounds by: the rules of the challenge
TOLERANCE = 1e-5
#: least mean risk over periods and scenarios, as the data's README has it
MEAN_RISK = {"A_03": 1696.357, "A_07": 4535.867, "A_09": 3012.725, "A_10": 5961.884}


def known() -> list[Known]:
    """Return the instances with their least mean risk, then with their least full score."""
    if not IS_THERE:
        return []
    folder = FOLDER / "roadef2020"
    means = [
        Known("roadef", "mean risk", name, folder / f"{name}.json.gz", "min", value, True)
        for name, value in MEAN_RISK.items()
    ]
    scores = [
        Known("roadef", "full score", str(row.instance), row.path, "min", float(row.value), True)
        for row in optima("roadef2020").itertuples()
    ]
    return means + scores


def _limits(raw: Raw) -> tuple[pd.DataFrame, pd.Series]:
    """Return uses and amounts of each resource and period: at most, and at least where that is."""
    parts, amounts = [], {}
    for resource, load in raw.load.items():
        option, period = np.nonzero(load)
        names = np.char.add(f"{resource} ", np.char.mod("%04d", period))
        used = load[option, period]
        parts.append(pd.DataFrame({"limit": names, "placement": option, "amount": used}))
        is_least = raw.least[resource][period] > 0
        parts.append(pd.DataFrame({
            "limit": np.char.add(names[is_least], " least"), "placement": option[is_least],
            "amount": -used[is_least],
        }))  # fmt: skip
        for t, (low, high) in enumerate(zip(raw.least[resource], raw.most[resource], strict=True)):
            amounts[f"{resource} {t:04d}"] = high + TOLERANCE
            if low > 0:
                amounts[f"{resource} {t:04d} least"] = TOLERANCE - low
    return pd.concat(parts, ignore_index=True), pd.Series(amounts)


def _links(raw: Raw) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return one link an exclusion and period: no more than one of both is at work in it."""
    links, terms = [], []
    for number, (first, second, season) in enumerate(raw.exclusions):
        either = np.isin(raw.name, [first, second])
        for period in season:
            option = np.flatnonzero(either & raw.is_on[:, period])
            if len(set(raw.name[option])) < 2:
                continue
            link = f"{number:04d} {period:04d}"
            links.append({"link": link, "rule": "excludes", "most": 1.0})
            terms.append(pd.DataFrame({"link": link, "placement": option, "factor": 1.0}))
    if not links:
        return empty("link", "rule", "most"), empty("link", "placement", "factor")
    return pd.DataFrame(links), pd.concat(terms, ignore_index=True)


def tables(raw: Raw) -> Choices:
    """Return our tables; the cost of an option is its part of the mean risk over all periods."""
    uses, amounts = _limits(raw)
    _, group = np.unique(raw.name, return_inverse=True)
    cost = raw.mean_risk.sum(1) / raw.periods_count
    links, terms = _links(raw)
    return replace(option_tables(group, cost, uses, amounts), links=links, link_terms=terms)


def _exclusion_faults(raw: Raw, chosen: IntArray) -> list[str]:
    on = {raw.name[q]: set(np.flatnonzero(raw.is_on[q])) for q in chosen}
    return [
        f"{first} and {second} are both at work"
        for first, second, season in raw.exclusions
        if on.get(first, set()) & on.get(second, set()) & set(season)
    ]


def faults(raw: Raw, chosen: IntArray) -> tuple[str, ...]:
    """Return what is wrong with a plan given by its options."""
    names, times = np.unique(raw.name[chosen], return_counts=True)
    found = [f"{name} starts {n} times" for name, n in zip(names, times, strict=True) if n != 1]
    found += [f"{name} does not start" for name in sorted(set(raw.name) - set(names))]
    for resource, load in raw.load.items():
        used = (load * raw.is_on)[chosen].sum(0)
        over, under = used - raw.most[resource], raw.least[resource] - used
        found += [
            f"{resource} misses its bounds in {t + 1} by {max(over[t], under[t]):g}"
            for t in np.flatnonzero(np.maximum(over, under) > TOLERANCE + 1e-9)
        ]
    return tuple(found + _exclusion_faults(raw, chosen))


def mean_risk(raw: Raw, chosen: IntArray) -> float:
    """Return the mean over the periods of the mean risk of a plan."""
    return float(np.mean([own[chosen].sum(0).mean() for own in raw.risk]))


def score(raw: Raw, chosen: IntArray) -> float:
    """Return alpha x mean risk + (1 - alpha) x mean excess of the quantile over the mean."""
    excess = []
    for own in raw.risk:
        total = np.sort(own[chosen].sum(0))
        quantile = total[int(np.ceil(len(total) * raw.quantile)) - 1]
        excess.append(max(quantile - total.mean(), 0.0))
    return raw.alpha * mean_risk(raw, chosen) + (1 - raw.alpha) * float(np.mean(excess))


def answer(known: Known, options: Options) -> Answer:
    """Return the plan of an instance, checked."""
    raw = read(known.path)
    if known.family == "full score":
        return solve_score(known, raw, tables(raw), options,
                           lambda chosen: Checked(score(raw, chosen), faults(raw, chosen)))  # fmt: skip
    return solve(known, tables(raw), options,
                 lambda chosen: Checked(mean_risk(raw, chosen), faults(raw, chosen)))  # fmt: skip
