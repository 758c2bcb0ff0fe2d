"""Access that works share, and links between works, of an invented station."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import FloatArray, IntArray
from tests.benchmarks.station_courses import Placed
from tests.benchmarks.station_limits import Numbers, Uses
from tests.benchmarks.station_plant import OUTAGES, Fleet, Plant

RULES = ("apart", "needs", "before")


@dataclass(frozen=True)
class Shared:
    """Access sets: group of each component (-1: none), what opening costs and uses by group."""

    group: IntArray
    unit: IntArray
    cost: FloatArray
    trade: IntArray
    hours: FloatArray


def shared(parts: Fleet, site: Plant, rng: np.random.Generator) -> Shared:
    """Return groups of 3 to 8 components of a unit, a third of all; opening costs as their work."""
    group, unit = np.full(parts.count, -1, dtype=np.int64), []
    for number in range(site.units_count):
        own = rng.permutation(np.flatnonzero(parts.unit == number))
        sizes = rng.integers(3, 9, max(len(own) // 9, 1))
        ends = np.cumsum(sizes)
        ends = ends[ends <= max(len(own) // 3, 8)]
        taken = own[: ends[-1]]
        group[taken] = len(unit) + np.searchsorted(ends, np.arange(len(taken)), side="right")
        unit += [number] * len(ends)
    inside = group >= 0
    members = np.bincount(group[inside], minlength=len(unit))
    mean = np.bincount(group[inside], parts.work_cost[inside]) / members
    cost = np.round(mean * rng.uniform(0.4, 1.2, len(unit)), 1)
    trade = rng.integers(0, site.trades_count, len(unit))
    return Shared(group, np.array(unit), cost, trade, np.round(0.8 * cost, 1))


def access_members(ties: Shared, at: Placed) -> tuple[IntArray, IntArray]:
    """Return numbers of access (group x 10 + outage of its unit) and the placements in need."""
    group = ties.group[at.component]
    placement = np.flatnonzero(group >= 0)
    return group[placement] * OUTAGES + at.outage[placement] % OUTAGES, placement


def access_uses(ties: Shared, rows: Numbers) -> Uses:
    """Return the hours of a trade over the whole outage that opening takes."""
    access = np.arange(len(ties.unit) * OUTAGES)
    group, own = np.divmod(access, OUTAGES)
    outage = ties.unit[group] * OUTAGES + own
    row = rows.hours(outage, np.zeros_like(outage), ties.trade[group])
    return Uses(row, access, ties.hours[group])


def access_table(ties: Shared, site: Plant) -> pd.DataFrame:
    """Return the table of access sets in outages, by number."""
    group, own = np.divmod(np.arange(len(ties.unit) * OUTAGES), OUTAGES)
    outage = ties.unit[group] * OUTAGES + own
    sets = np.array([f"s{number:04d}" for number in range(len(ties.unit))], dtype=object)
    table = pd.DataFrame({"access_set": sets[group], "period": site.names()[outage]}).astype("str")
    table.insert(0, "access", table["access_set"] + "." + table["period"])
    return table.assign(
        unit="u" + pd.Series(ties.unit[group] + 1).astype("str"), train="",
        pv_cost=ties.cost[group] * site.worth()[outage], is_given=False,
    )  # fmt: skip


def _pairs(parts: Fleet, rng: np.random.Generator) -> IntArray:
    """Return pairs of components of one unit, 5 % of all; none of them must be worked on."""
    free = rng.permutation(np.flatnonzero(~parts.must))
    free = free[np.argsort(parts.unit[free], kind="stable")]
    pairs = free[: len(free) // 2 * 2].reshape(-1, 2)
    pairs = pairs[parts.unit[pairs[:, 0]] == parts.unit[pairs[:, 1]]]
    wanted = max(round(0.025 * parts.count), len(RULES))
    return pairs[np.sort(rng.permutation(len(pairs))[:wanted])]


def link_tables(
    parts: Fleet, at: Placed, rng: np.random.Generator
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return links and their terms, one row a pair and outage; the three rules in turn.

    Apart: never both in one outage. Needs: the first only where the second is. Before: the second
    only where the first is done by then.
    """
    pairs = _pairs(parts, rng)
    names, rules, mosts, terms = [], [], [], []
    for number, (one, two) in enumerate(pairs):
        rule = RULES[number % len(RULES)]
        for outage in range(OUTAGES):
            name = f"{rule}.{number:04d}.{outage + 1:02d}"
            own, other = at.number[one, outage], at.number[two, outage]
            if rule == "before":
                own, other = other, at.number[one, : outage + 1].ravel()
            sign = 1.0 if rule == "apart" else -1.0
            terms += [(name, p, 1.0) for p in own[own >= 0]]
            terms += [(name, p, sign) for p in other[other >= 0]]
            names, rules = [*names, name], [*rules, rule]
            mosts.append(1.0 if rule == "apart" else 0.0)
    links = pd.DataFrame({"link": names, "rule": rules, "most": mosts}).astype(
        {"link": "str", "rule": "str"}
    )
    table = pd.DataFrame(terms, columns=["link", "placement", "factor"]).astype({"link": "str"})
    return links.sort_values("link", ignore_index=True), table.sort_values(
        ["link", "placement"], ignore_index=True
    )
