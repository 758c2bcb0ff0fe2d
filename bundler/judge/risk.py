"""Expected loss by failures of every component in present value, on the judge's own grid."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bundler.judge.dates import STATION, YEAR_DAYS, Period
from bundler.judge.lives import own_value, steps_of, stretches_of
from bundler.judge.reading import Reading
from bundler.judge.renewals import failures_in_cells
from bundler.judge.site import Site
from bundler.judge.spans import Span, common_span, words_of
from bundler.judge.works import Work, works_by_component
from bundler.life.curves import Steps

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
    shut = _shut(site, component)
    edges = _edges(site, component, works, shut)
    is_exposed = _exposed(edges, shut)
    loss = _loss(site, component)
    waits = _waits(site, component, edges, is_exposed)
    mode = site.families[component.family].on_failure
    total = 0.0
    for stretch in stretches_of(site, component, works, steps, life_ratio):
        low, high = np.searchsorted(edges, [stretch.start, stretch.until])
        cells = edges[low : high + 1]
        middle = (cells[1:] + cells[:-1]) / 2
        money = _discount(site, middle) * is_exposed[low:high]
        offsets = (cells - stretch.start) / YEAR_DAYS
        curve, lasts = stretch.life.curve(), (stretch.end - stretch.start) / YEAR_DAYS
        failures, standing = failures_in_cells(mode, curve, stretch.age_years, offsets, lasts)
        failures = stretch.share * failures
        if mode == "stand":
            total += float(np.sum(failures * money * loss.at_once))
            total += float(np.sum(standing * money * np.diff(cells) * loss.per_day))
        else:
            each = loss.at_once + loss.per_day * waits[low:high]
            total += float(np.sum(failures * money * each))
    return total


def _discount(site: Site, days: FloatArray) -> FloatArray:
    rate = site.settings.discount_share_per_year
    result: FloatArray = (1 + rate) ** (-days / YEAR_DAYS)
    return result


def _loss(site: Site, component: Any) -> Loss:
    family, settings = site.families[component.family], site.settings
    value = site.day_value(component.unit)
    at_once = (
        settings.forced_repair_ratio * own_value(component, family, "repair_cost")
        + own_value(component, family, "forced_days") * value
        + float(family.forced_outage_chance) * settings.forced_outage_cost
    )
    return Loss(at_once, own_value(component, family, "derate_share") * value)


def _shut(site: Site, component: Any) -> list[Span]:
    if component.unit == STATION:
        return []
    own = (component.unit, STATION)
    return [(outage.start, outage.end) for outage in site.outages if outage.unit in own]


def _edges(site: Site, component: Any, works: list[Work], shut: list[Span]) -> FloatArray:
    end = site.ends[component.unit]
    outages = [outage for outage in site.outages if outage.unit == component.unit]
    marks = [day for span in shut for day in span] + [outage.start for outage in outages]
    marks += [work.period.effect for work in works]
    grid = np.arange(0.0, end, STEP_YEARS * YEAR_DAYS)
    edges = np.unique(np.concatenate([grid, np.array([*marks, end])]))
    return edges[(edges >= 0) & (edges <= end)]


def _exposed(edges: FloatArray, shut: list[Span]) -> NDArray[np.bool_]:
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
    worth = _discount(site, middle)
    days = np.diff(edges) * is_exposed * worth
    passed = np.append(0.0, np.cumsum(days))
    stop = np.searchsorted(edges, next_chance)
    result: FloatArray = (passed[stop] - passed[1:] + days / 2) / worth
    return result


def _can_mend(site: Site, component: Any, outage: Period) -> bool:
    return any(
        common_span(site.windows, words_of(action.conditions, component.train), outage) is not None
        for action in site.actions.get(component.family, {}).values()
    )
