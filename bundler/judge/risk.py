"""Expected loss by failures of every component in present value, on the judge's own grid."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bundler.case import Case
from bundler.judge.dates import STATION, YEAR_DAYS, Period
from bundler.judge.lives import own_value, steps_of, stretches_of
from bundler.judge.reading import Reading
from bundler.judge.renewals import failures_in_cells
from bundler.judge.site import Site
from bundler.judge.spans import Span
from bundler.judge.works import Work, works_by_component
from bundler.life.curves import Steps
from bundler.tables import rows

FloatArray = NDArray[np.float64]
STEP_YEARS = 1 / 24


@dataclass(frozen=True)
class Loss:
    """Money lost by one failure: at once, and for each day it stands."""

    at_once: float
    per_day: float


def risk_pv(reading: Reading) -> float:
    """Return the present value of the expected loss of all components."""
    works = works_by_component(reading.works)
    steps = steps_of(reading.site)
    return sum(
        component_risk_pv(reading.site, component, works.get(component.component, []), steps)
        for component in reading.site.components.values()
    )


def component_risk_pv(
    site: Site, component: Any, works: list[Work], steps: dict[str, Steps], life_ratio: float = 1.0
) -> float:
    """Return the present value of a component's expected loss; works are in time order.

    `life_ratio` stretches its lives.
    """
    shut = shut_spans(site, component.unit)
    edges = edges_of(site, component, works, shut)
    is_exposed = exposed(edges, shut)
    loss = _loss(site, component)
    waits = _waits(site, component, edges, is_exposed)
    money = discount(site, (edges[1:] + edges[:-1]) / 2) * is_exposed
    each = loss.at_once + loss.per_day * waits
    stands = loss.per_day * np.diff(edges)
    total = 0.0
    for part, failures, standing in failures_of(site, component, works, steps, edges, life_ratio):
        if site.families[component.family].on_failure == "stand":
            total += float(np.sum(failures * money[part] * loss.at_once))
            total += float(np.sum(standing * money[part] * stands[part]))
        else:
            total += float(np.sum(failures * money[part] * each[part]))
    return total


def failures_of(
    site: Site,
    component: Any,
    works: list[Work],
    steps: dict[str, Steps],
    edges: FloatArray,
    life_ratio: float = 1.0,
) -> Iterator[tuple[slice, FloatArray, FloatArray]]:
    """Yield for each stretch its cells, the failures in them, and the chance to stand failed.

    Works are in time order and take effect on edges; stretches may overlap and then add up.
    """
    mode = site.families[component.family].on_failure
    for stretch in stretches_of(site, component, works, steps, life_ratio):
        low, high = np.searchsorted(edges, [stretch.start, stretch.until])
        offsets = (edges[low : high + 1] - stretch.start) / YEAR_DAYS
        curve, lasts = stretch.life.curve(), (stretch.end - stretch.start) / YEAR_DAYS
        failures, standing = failures_in_cells(mode, curve, stretch.age_years, offsets, lasts)
        yield slice(low, high), stretch.share * failures, standing


@lru_cache(maxsize=4)
def held_by_groups(case: Case) -> frozenset[str]:
    """Return the components whose lost output a redundancy group tells, in place of their own."""
    states, table = set(case["group_states"]["group"]), case["group_members"]
    members = {(row.family, row.train) for row in rows(table) if row.group in states}
    return frozenset(
        row.component
        for row in rows(case["components"])
        if not members.isdisjoint({(row.family, ""), (row.family, row.train)})
    )


def discount(site: Site, days: FloatArray) -> FloatArray:
    """Return the present value of 1 lost so many days from the planning date [-]."""
    rate = site.settings.discount_share_per_year
    result: FloatArray = (1 + rate) ** (-days / YEAR_DAYS)
    return result


def _loss(site: Site, component: Any) -> Loss:
    family, settings = site.families[component.family], site.settings
    is_held = component.component in held_by_groups(site.case)
    value = 0.0 if is_held else site.day_value(component.unit)
    at_once = (
        settings.forced_repair_ratio * own_value(component, family, "repair_cost")
        + own_value(component, family, "forced_days") * value
        + float(family.forced_outage_chance) * settings.forced_outage_cost
    )
    return Loss(at_once, own_value(component, family, "derate_share") * value)


def shut_spans(site: Site, unit: str) -> list[Span]:
    """Return the outages in which a unit loses nothing; what is common to all has none."""
    if unit == STATION:
        return []
    own = (unit, STATION)
    return [(outage.start, outage.end) for outage in site.outages if outage.unit in own]


def edges_of(site: Site, component: Any, works: list[Work], shut: list[Span]) -> FloatArray:
    """Return the edges of the judge's cells for a component, at every day that matters to it."""
    end = site.ends[component.unit]
    outages = [outage for outage in site.outages if outage.unit == component.unit]
    marks = [day for span in shut for day in span] + [outage.start for outage in outages]
    marks += [work.period.effect for work in works]
    grid = np.arange(0.0, end, STEP_YEARS * YEAR_DAYS)
    edges = np.unique(np.concatenate([grid, np.array([*marks, end])]))
    return edges[(edges >= 0) & (edges <= end)]


def exposed(edges: FloatArray, shut: list[Span]) -> NDArray[np.bool_]:
    """Tell for each cell whether the unit is on line in it."""
    middle = (edges[1:] + edges[:-1]) / 2
    is_shut = np.zeros(len(middle), dtype=bool)
    for low, high in shut:
        is_shut |= (middle > low) & (middle < high)
    return ~is_shut


def _waits(
    site: Site, component: Any, edges: FloatArray, is_exposed: NDArray[np.bool_]
) -> FloatArray:
    """Return the days on line from each cell's middle to the next chance of mending.

    Discounted to the cell, so that a derate far ahead counts less.
    """
    starts = [
        outage.start
        for outage in site.outages
        if outage.unit == component.unit and _can_mend(site, component, outage)
    ]
    middle = (edges[1:] + edges[:-1]) / 2
    chances = np.array([*sorted(starts), site.ends[component.unit]])
    next_chance = chances[np.minimum(np.searchsorted(chances, middle), len(chances) - 1)]
    worth = discount(site, middle)
    days = np.diff(edges) * is_exposed * worth
    passed = np.append(0.0, np.cumsum(days))
    stop = np.searchsorted(edges, next_chance)
    result: FloatArray = (passed[stop] - passed[1:] + days / 2) / worth
    return result


def _can_mend(site: Site, component: Any, outage: Period) -> bool:
    return any(
        site.span(component, action, outage) is not None
        for action in site.actions.get(component.family, {}).values()
    )
