"""The dates of outages with the days that the plan adds, and what station-wide outages lose."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, pairwise

import pandas as pd

from bundler.judge.dates import CLOSE_DAYS, STATION, YEAR_DAYS, Period, date_of, day_of
from bundler.judge.reading import Reading
from bundler.judge.site import Site
from bundler.judge.spans import Span, pieces_in
from bundler.judge.verdict import Breach
from bundler.tables import rows


def check_outage_dates(reading: Reading) -> Iterator[Breach]:
    """Hold due dates, one outage of a unit at a time, barred days, and the most units out."""
    outages = [replace(one, end=one.end + reading.extension(one)) for one in reading.site.outages]
    yield from _late(reading, outages)
    yield from _at_the_same_time(outages)
    yield from _on_barred_days(reading.site, outages)
    yield from _too_many_out(reading, outages)


def _late(reading: Reading, outages: list[Period]) -> Iterator[Breach]:
    planning = reading.site.settings.planning_date
    due_of = {row.outage: row.due_date for row in rows(reading.site.case["outages"])}
    for one in outages:
        due = due_of[one.name]
        late = 0.0 if pd.isna(due) else one.end - day_of(planning, due)
        if late > CLOSE_DAYS:
            text = f"{one.name}: it ends {late:.2f} days after {due.date()}, by which it is due."
            yield Breach("due_date", one.name, text, late)


def _together(first: Period, second: Period) -> float:
    """Return the days on which two outages go on at once [d]."""
    return max(0.0, min(first.end, second.end) - max(first.start, second.start))


def _at_the_same_time(outages: list[Period]) -> Iterator[Breach]:
    for first, second in combinations(sorted(outages, key=lambda one: (one.start, one.name)), 2):
        days = _together(first, second) if first.unit == second.unit else 0.0
        if days > CLOSE_DAYS:
            text = f"{first.name} and {second.name}: {first.unit} is in both for {days:.2f} days."
            yield Breach("outages_apart", f"{first.name} {second.name}", text, days)


def _held(site: Site, condition: str, name: str) -> list[Span]:
    """Return when a condition holds in an outage as it is drawn."""
    return pieces_in(site.windows, [condition], site.periods[name]) if condition else []


def _on_barred_days(site: Site, outages: list[Period]) -> Iterator[Breach]:
    for wide in (one for one in outages if one.unit == STATION):
        for own in (one for one in outages if one.unit != STATION):
            barred = _held(site, site.kinds[own.kind].barred_condition, own.name)
            days = sum(max(0.0, min(wide.end, b) - max(wide.start, a)) for a, b in barred)
            if days > CLOSE_DAYS:
                text = f"{wide.name}: {days:.2f} of its days are barred in {own.name}."
                yield Breach("barred", f"{wide.name} {own.name}", text, days)


def _too_many_out(reading: Reading, outages: list[Period]) -> Iterator[Breach]:
    """Count units between each two days on which an outage starts or ends."""
    settings = reading.site.settings
    own = [one for one in outages if one.unit != STATION]
    cuts = sorted({day for one in own for day in (one.start, one.end)})
    found: list[tuple[float, float, list[str]]] = []
    for low, high in pairwise(cuts):
        out = [one for one in own if one.start <= low and high <= one.end]
        if len({one.unit for one in out}) > settings.most_units_out_count:
            found.append((low, high - low, sorted(one.name for one in out)))
    days = sum(length for _, length, _ in found)
    if days > CLOSE_DAYS:
        first, _, names = max(found, key=lambda one: one[1])
        text = (
            f"{', '.join(names)}: out at once from {date_of(settings.planning_date, first)}, but "
            f"{settings.most_units_out_count} units may be; too many are for {days:.2f} days."
        )
        yield Breach("units_out", " ".join(names), text, days)


def dates_pv(reading: Reading) -> float:
    """Return the present value of what station-wide outages lose at their dates [money].

    Days that the plan adds are not in it. Each piece between two days on which a unit's state
    changes costs what its middle does, discounted from the middle of the station-wide outage.
    """
    site, total = reading.site, 0.0
    for wide in (one for one in site.outages if one.unit == STATION):
        cost = sum(_lost(site, unit, wide) for unit in sorted(site.units))
        years = wide.middle / YEAR_DAYS
        total += cost / (1 + site.settings.discount_share_per_year) ** years
    return total


def _lost(site: Site, unit: str, wide: Period) -> float:
    """Return what one unit loses in a station-wide outage, in real money."""
    last, value = site.ends[unit], float(site.units[unit].day_value_cost_per_day)
    own = [one for one in site.outages if one.unit == unit]
    free = [
        span for one in own for span in _held(site, site.kinds[one.kind].shared_condition, one.name)
    ]
    edges = {wide.start, wide.end, last, *(day for one in own for day in (one.start, one.end))}
    edges |= {day for span in free for day in span}
    cost = 0.0
    for low, high in pairwise(sorted(day for day in edges if wide.start <= day <= wide.end)):
        middle = (low + high) / 2
        if middle > last or any(a < middle < b for a, b in free):
            continue
        stopped = [one.kind for one in own if one.start < middle < one.end]
        standing = sum(float(site.kinds[kind].standing_cost_per_day) for kind in stopped)
        cost += (high - low) * (value + standing)
    return cost
