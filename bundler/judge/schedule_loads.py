"""Heads, floor and supplies of a schedule on every half day, against what there is."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd

from bundler.judge.dates import CLOSE_DAYS, Period
from bundler.judge.schedule_days import tests_made
from bundler.judge.schedule_reading import FloatArray, Placed, Timetable, profile
from bundler.judge.site import Site
from bundler.judge.verdict import Breach
from bundler.tables import rows

WEEK_DAYS = 7.0
#: heads, or what else is counted, by which a load may lie over its limit
CLOSE_COUNT = 1e-6

#: stretches of days with the amount held on each: (start, end, amount)
Stretches = list[tuple[float, float, float]]


def _heads(site: Site, placed: list[Placed], resource: str) -> Stretches:
    """Return the heads of a resource that tasks hold: hours spread evenly over their days."""
    return [
        (one.start, one.end, hours / site.direct_hours(one.outage.kind, resource) / one.days)
        for one in placed
        if (hours := one.hours.get(resource, 0.0)) > 0 and one.days > CLOSE_DAYS
    ]


def _base(table: Timetable, outage: Period, resource: str) -> Stretches:
    """Return the heads of base scope, even over the crew days of an outage with those added."""
    site = table.reading.site
    hours = site.base_hours(outage.kind).get(resource, 0.0)
    end = outage.crew_end + table.longer(outage)
    if hours <= 0 or end <= outage.crew_start:
        return []
    days = end - outage.crew_start
    heads = hours / site.direct_hours(outage.kind, resource) / days
    return [(outage.crew_start, end, heads)]


def _worst(edges: FloatArray, used: FloatArray, limit: FloatArray) -> tuple[float, float, float]:
    """Return the day on which a load lies furthest over its limit, the load and the limit."""
    at = int(np.argmax(used - limit))
    return float(edges[at] - edges[0]), float(used[at]), float(limit[at])


def _too_much(
    rule: str, place: str, edges: FloatArray, used: FloatArray, limit: FloatArray
) -> Iterator[Breach]:
    """Yield the worst half day of a load over its limit."""
    if (used > limit + CLOSE_COUNT).any():
        day, load, there = _worst(edges, used, limit)
        text = f"{place}, day {day:g}: {load:.2f} are needed at once, {there:.2f} are there."
        yield Breach(rule, place, text, load - there)


def check_day_heads(table: Timetable) -> Iterator[Breach]:
    """Hold that heads of each trade stay within crew and overtime, and its weeks within the most.

    Overtime adds its share of heads where a load lies above the crew, on crew days; its weeks are
    the fewest stretches of seven days that hold all such days.
    """
    site = table.reading.site
    for outage in table.outages:
        edges, placed = table.edges(outage), table.in_outage(outage)
        for (kind, resource), crew in sorted(site.crews.items()):
            if kind != outage.kind:
                continue
            own = _heads(site, placed, resource)
            if not own:
                continue
            used = profile(edges, own + _base(table, outage, resource))
            yield from _crew(table, outage, (edges, used), crew)


def _crew(
    table: Timetable, outage: Period, load: tuple[FloatArray, FloatArray], crew: Any
) -> Iterator[Breach]:
    settings, (edges, used) = table.reading.site.settings, load
    place = f"{outage.name} {crew.resource}"
    limit = np.full(len(used), float(crew.heads_count))
    if table.reading.site.resources[crew.resource].has_overtime:
        last = outage.crew_end + table.longer(outage)
        on_crew_days = profile(edges, [(outage.crew_start, last, 1.0)])
        limit += crew.heads_count * settings.overtime_share * on_crew_days
    yield from _too_much("schedule heads", place, edges, used, limit)
    above = edges[:-1][used > crew.heads_count + CLOSE_COUNT]
    weeks = _weeks(above)
    if weeks > settings.overtime_weeks and settings.overtime_share > 0:
        text = f"{place}: {weeks} weeks of overtime, {settings.overtime_weeks:g} may be."
        yield Breach("schedule overtime", place, text, weeks - settings.overtime_weeks)


def _weeks(days: FloatArray) -> int:
    """Return the fewest stretches of seven days that hold all these half days."""
    count, until = 0, -np.inf
    for day in days:
        if day >= until - CLOSE_DAYS:
            count, until = count + 1, day + WEEK_DAYS
    return count


def check_day_pools(table: Timetable) -> Iterator[Breach]:
    """Hold that the site's heads suffice while crews or tasks of several outages are there.

    Base scope counts in every outage of the case, tasks in those that are in the schedule.
    """
    site = table.reading.site
    for outage in table.outages:
        edges = table.edges(outage)
        last = edges[-1]
        near = [o for o in site.outages if o.crew_start < last and o.crew_end > outage.start]
        others = [other for other in near if other.name != outage.name]
        crews: Stretches = [
            (other.crew_start, other.crew_end, 1.0) for other in others if other.all_crew_days > 0
        ]
        is_shared = profile(edges, crews) > CLOSE_DAYS
        for row in rows(site.case["resources"]):
            own = _heads(site, table.in_outage(outage), row.resource)
            if pd.isna(row.pool_heads_count) or not own or not is_shared.any():
                continue
            held = _heads(site, list(table.placed), row.resource)
            base = [part for one in near for part in _base(table, one, row.resource)]
            here = (outage.crew_start, outage.crew_end + table.longer(outage), 1.0)
            is_there = profile(edges, [here, *own]) > CLOSE_DAYS
            used = np.where(is_shared & is_there, profile(edges, held + base), 0.0)
            limit = np.full(len(used), float(row.pool_heads_count))
            place = f"site {row.resource} in {outage.name}"
            yield from _too_much("schedule pool", place, edges, used, limit)


def check_day_areas(table: Timetable) -> Iterator[Breach]:
    """Hold that heads in each work area stay within its floor, both shifts together."""
    site, settings = table.reading.site, table.reading.site.settings
    areas = {row.area: row for row in rows(site.case["areas"])}
    for outage in table.outages:
        edges = table.edges(outage)
        places: dict[str, list[Placed]] = {}
        for one in table.in_outage(outage):
            area, train = one.place
            if area in areas:
                name = f"{area}-{train}" if areas[area].is_by_train and train else area
                places.setdefault(name, []).append(one)
        for name, placed in sorted(places.items()):
            area = areas[placed[0].place[0]]
            standing = [
                part
                for row in site.resources.values()
                if row.takes_area
                for part in _heads(site, placed, row.resource)
            ]
            heads = area.usable_m2 / settings.area_per_head_m2 * settings.shifts_count
            used = profile(edges, standing)
            limit = np.full(len(used), heads)
            place = f"{outage.name} {name}"
            yield from _too_much("schedule areas", place, edges, used, limit)


def check_day_supplies(table: Timetable) -> Iterator[Breach]:
    """Hold that tasks take no more of a supply on a day than there is.

    An amount taken once is spread evenly over the work, or over the test where the supply is there
    in a condition only.
    """
    given = {(row.supply, row.kind): row for row in rows(table.reading.site.case["supply_amounts"])}
    for outage in table.outages:
        edges = table.edges(outage)
        for row in rows(table.reading.site.case["supplies"]):
            there = given.get((row.supply, outage.kind))
            amount = 0.0 if there is None else float(there.amount_per_day)
            condition = "" if there is None else str(there.condition)
            used = profile(edges, _taken(table, outage, row.supply, condition))
            limit = np.full(len(used), amount)
            place = f"{outage.name} {row.supply}"
            yield from _too_much("schedule supplies", place, edges, used, limit)


def _taken(table: Timetable, outage: Period, supply: str, condition: str) -> Stretches:
    """Return what works of an outage take of a supply on their days."""
    needs = table.reading.site.case["action_supplies"]
    asked = {(row.family, row.action): row for row in rows(needs[needs["supply"] == supply])}
    found: Stretches = []
    for work in table.works():
        row = asked.get((work.family.family, work.action.action))
        if row is None or work.period.name != outage.name:
            continue
        for one in _takers(table, work, condition):
            amount = row.amount if row.is_daily else row.amount / one.days
            found.append((one.start, one.end, float(amount)))
    return found


def _takers(table: Timetable, work: Any, condition: str) -> list[Placed]:
    """Return the task that takes of a supply: the work, or its test in the condition."""
    if not condition:
        return table.of_work(work, "work")
    return [one for word, one in tests_made(table, work).items() if word == condition]
