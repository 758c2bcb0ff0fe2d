"""Crews, overtime and areas of each period against their limits."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from bundler.judge.dates import CLOSE_DAYS, Period
from bundler.judge.reading import Reading
from bundler.judge.site import Hours, Site
from bundler.judge.spans import Span
from bundler.judge.verdict import Breach, over
from bundler.judge.works import Work
from bundler.tables import rows


@dataclass(frozen=True)
class Demand:
    """Hours of a work or of an access set, the span they may fall in, and the floor they take."""

    period: Period
    span: Span
    hours: Hours
    area: str
    train: str

    def lies_in(self, window: Span) -> bool:
        """Whether the span lies inside a window."""
        low, high = window
        return self.span[0] >= low - CLOSE_DAYS and self.span[1] <= high + CLOSE_DAYS


def demands_of(reading: Reading) -> list[Demand]:
    """Return everything in the plan that takes hours."""
    works = [
        Demand(work.period, work.span, work.hours, work.family.area, work.component.train)
        for work in reading.works
    ]
    sets = [
        Demand(made.period, made.span, made.hours, made.access_set.area, made.train)
        for made in reading.sets
    ]
    return works + sets


def by_period(demands: list[Demand]) -> dict[Period, list[Demand]]:
    """Return the demands of each period."""
    found: dict[Period, list[Demand]] = {}
    for demand in demands:
        found.setdefault(demand.period, []).append(demand)
    return found


def windows_in(period: Period, works: tuple[Work, ...]) -> list[Span]:
    """Return the whole period and each different span of a work placed in it."""
    spans = {work.span for work in works if work.period == period}
    return sorted(spans | {(period.start, period.end)})


def check_crews(reading: Reading) -> Iterator[Breach]:
    """Hold that hours in each window stay within its crews, less base scope, with overtime."""
    for period, demands in by_period(demands_of(reading)).items():
        resources = {name for demand in demands for name in demand.hours}
        for window in windows_in(period, reading.works):
            inside = [demand for demand in demands if demand.lies_in(window)]
            for resource in sorted(resources):
                used = sum(demand.hours.get(resource, 0.0) for demand in inside)
                limit = _crew_hours(reading, period, resource, window)
                if used > 0 and limit is not None and over(used, limit):
                    place = f"{period.name} {resource}"
                    text = (
                        f"{place}, days {window[0] - period.start:g} to "
                        f"{window[1] - period.start:g}: {used:.1f} h are planned, "
                        f"{limit:.1f} h are there."
                    )
                    yield Breach("crews", place, text, used - limit)


def _crew_hours(reading: Reading, period: Period, resource: str, window: Span) -> float | None:
    site = reading.site
    crew = site.crews.get((period.kind, resource))
    if crew is None:
        return None
    days = period.crew_days(*window)
    share = days / period.all_crew_days if period.all_crew_days > 0 else 0.0
    hours = crew.heads_count * site.direct_hours(period.kind, resource)
    gross = hours * (days + reading.extension(period))
    base = site.base_hours(period.kind).get(resource, 0.0)
    overtime = reading.facts.overtime_hours.get((period.name, resource), 0.0)
    settings = site.settings
    band = settings.overtime_share * hours * min(days, 7 * settings.overtime_weeks)
    return float(max(gross - base * share, 0.0) + min(overtime, band))


def check_overtime(reading: Reading) -> Iterator[Breach]:
    """Hold that overtime is used in outages, by trades that may, within its band."""
    for (name, resource), hours in reading.facts.overtime_hours.items():
        limit = _most_overtime(reading.site, name, resource)
        if over(hours, limit) or hours < -CLOSE_DAYS:
            place = f"{name} {resource}"
            text = f"{place}: {hours:.1f} h of overtime are planned, 0 to {limit:.1f} h may be."
            yield Breach("overtime", place, text, max(hours - limit, -hours))


def _most_overtime(site: Site, name: str, resource: str) -> float:
    period = site.periods.get(name)
    row = site.resources.get(resource)
    if period is None or row is None or not period.is_outage or not row.has_overtime:
        return 0.0
    crew = site.crews.get((period.kind, resource))
    if crew is None:
        return 0.0
    days = min(period.all_crew_days, 7 * site.settings.overtime_weeks)
    normal = crew.heads_count * site.direct_hours(period.kind, resource) * days
    return float(site.settings.overtime_share * normal)


def check_areas(reading: Reading) -> Iterator[Breach]:
    """Hold that heads times days in each area stay within its floor."""
    areas = {row.area: row for row in rows(reading.site.case["areas"])}
    for period, demands in by_period(demands_of(reading)).items():
        if not period.is_outage:
            continue
        for window in windows_in(period, reading.works):
            used: dict[str, float] = {}
            limits: dict[str, float] = {}
            for demand in demands:
                if demand.area and demand.lies_in(window):
                    place = floor_of(areas[demand.area], demand.train)
                    used[place] = used.get(place, 0.0) + head_days(reading.site, demand)
                    limits[place] = _floor_days(reading, period, window, areas[demand.area])
            for place, days in used.items():
                if over(days, limits[place]):
                    text = (
                        f"{period.name} {place}, days {window[0] - period.start:g} to "
                        f"{window[1] - period.start:g}: {days:.1f} head days are planned, "
                        f"{limits[place]:.1f} fit."
                    )
                    excess = days - limits[place]
                    yield Breach("areas", f"{period.name} {place}", text, excess)


def floor_of(area: Any, train: str) -> str:
    """Return the name of an area, with the train where there is one for each."""
    return f"{area.area}-{train}" if area.is_by_train and train else str(area.area)


def _floor_days(reading: Reading, period: Period, window: Span, area: Any) -> float:
    settings = reading.site.settings
    heads = area.usable_m2 / settings.area_per_head_m2 * settings.shifts_count
    return float(heads * (period.crew_days(*window) + reading.extension(period)))


def head_days(site: Site, demand: Demand) -> float:
    """Return the head days of those who stand in the work area."""
    return sum(
        hours / site.direct_hours(demand.period.kind, resource)
        for resource, hours in demand.hours.items()
        if site.resources[resource].takes_area
    )
