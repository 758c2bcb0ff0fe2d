"""Heads the whole site can hold at once, where outages overlap."""

from collections.abc import Iterator
from itertools import pairwise

import pandas as pd

from bundler.judge.dates import CLOSE_DAYS, Period, date_of
from bundler.judge.loads import Demand, demands_of
from bundler.judge.reading import Reading
from bundler.judge.site import Site
from bundler.judge.spans import Span
from bundler.judge.verdict import Breach, over
from bundler.tables import rows


def check_pools(reading: Reading) -> Iterator[Breach]:
    """Hold that the site's heads suffice wherever crews of two or more outages are there."""
    site = reading.site
    demands = demands_of(reading)
    for stretch, outages in _stretches(site.outages):
        names = {outage.name for outage in outages}
        planned = [demand for demand in demands if demand.period.name in names]
        for row in rows(site.case["resources"]):
            if pd.isna(row.pool_heads_count):
                continue
            used = sum(_head_days(site, demand, row.resource, stretch) for demand in planned)
            if used <= 0:
                continue
            used += sum(_base_days(site, outage, row.resource, stretch) for outage in outages)
            limit = row.pool_heads_count * (stretch[1] - stretch[0])
            if over(used, limit):
                planning = site.settings.planning_date
                place = f"{row.resource} in {' and '.join(sorted(names))}"
                text = (
                    f"{place}, {date_of(planning, stretch[0])} to "
                    f"{date_of(planning, stretch[1])}: {used:.1f} head days are needed, "
                    f"the site holds {limit:.1f}."
                )
                yield Breach("pool", place, text, used - limit)


def _stretches(outages: list[Period]) -> Iterator[tuple[Span, list[Period]]]:
    manned = [outage for outage in outages if outage.all_crew_days > 0]
    edges = {outage.crew_start for outage in manned} | {outage.crew_end for outage in manned}
    for low, high in pairwise(sorted(edges)):
        there = [
            outage
            for outage in manned
            if outage.crew_start <= low + CLOSE_DAYS and outage.crew_end >= high - CLOSE_DAYS
        ]
        if high - low > CLOSE_DAYS and len(there) > 1:
            yield (low, high), there


def _shared_days(span: Span, stretch: Span) -> float:
    return max(0.0, min(span[1], stretch[1]) - max(span[0], stretch[0]))


def _head_days(site: Site, demand: Demand, resource: str, stretch: Span) -> float:
    hours = demand.hours.get(resource, 0.0)
    share = _shared_days(demand.span, stretch) / (demand.span[1] - demand.span[0])
    return hours / site.direct_hours(demand.period.kind, resource) * share


def _base_days(site: Site, outage: Period, resource: str, stretch: Span) -> float:
    hours = site.base_hours(outage.kind).get(resource, 0.0)
    share = (stretch[1] - stretch[0]) / outage.all_crew_days
    return hours / site.direct_hours(outage.kind, resource) * share
