"""Lines of a group that are out of service on the days of a schedule, against those that may be."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from bundler.judge.dates import CLOSE_DAYS, STATION, Period
from bundler.judge.schedule_days import in_span
from bundler.judge.schedule_reading import FloatArray, Timetable, profile
from bundler.judge.spans import span_of
from bundler.judge.verdict import Breach
from bundler.tables import rows

#: what makes one line, by the word of the group
LINES = {"component": "component", "position": "position_count", "train": "train"}


def check_lines_out(table: Timetable) -> Iterator[Breach]:
    """Hold that enough lines of every group stay in service on every day of an outage.

    A line is out while any of its components is worked on, from the first day of the work to the
    last of a test in the same span. Works of other outages count where they are in the schedule.
    """
    site = table.reading.site
    for group in rows(site.case["groups"]):
        needs = site.case["group_needs"]
        asked = list(rows(needs[needs["group"] == group.group]))
        if not asked:
            continue
        for place, lines in _places(table, group).items():
            for outage in table.outages:
                yield from _in_outage(table, (f"{group.name} of {place}", asked), lines, outage)


def _places(table: Timetable, group: Any) -> dict[str, dict[str, Any]]:
    """Return by place of a group the line of each of its components."""
    site = table.reading.site
    members = site.case["group_members"]
    families = {(row.family, row.train) for row in rows(members[members["group"] == group.group])}
    found: dict[str, dict[str, Any]] = {}
    for part in site.components.values():
        if {(part.family, ""), (part.family, part.train)} & families:
            train = f"{part.unit} train {part.train}"
            place = {"station": STATION, "train": train}.get(group.match, str(part.unit))
            found.setdefault(place, {})[part.component] = getattr(part, LINES[group.line_by])
    return found


def _in_outage(
    table: Timetable, which: tuple[str, list[Any]], lines: dict[str, Any], outage: Period
) -> Iterator[Breach]:
    edges = table.edges(outage)
    out: dict[Any, FloatArray] = {}
    is_own = False
    for work in table.works():
        name = work.component.component
        if name in lines:
            is_own |= work.period.name == outage.name
            days = [(one.start, one.end, 1.0) for one in in_span(table, work)]
            before = out.get(lines[name], np.zeros(len(edges) - 1))
            out[lines[name]] = np.maximum(before, profile(edges, days) > CLOSE_DAYS)
    if not is_own:
        return
    count: FloatArray = np.sum(list(out.values()), axis=0)
    units = {table.reading.site.components[name].unit for name in lines}
    limit = len(set(lines.values())) - _kept(table, which[1], units, edges)
    if (count > np.maximum(limit, 0.0)).any():
        at = int(np.argmax(count - np.maximum(limit, 0.0)))
        text = (
            f"{which[0]}, day {edges[at] - outage.start:g} of {outage.name}: {count[at]:g} lines "
            f"are out of service at once, {max(limit[at], 0):g} may be."
        )
        yield Breach("schedule lines", which[0], text, float(count[at] - limit[at]))


def _kept(table: Timetable, asked: list[Any], units: set[str], edges: FloatArray) -> FloatArray:
    """Return how many lines have to stay in service in each part of the day [n].

    The most that any period of the units asks for; a row with a condition counts in the place of
    the others while it holds.
    """
    middle, site = (edges[1:] + edges[:-1]) / 2, table.reading.site
    found: FloatArray = np.zeros(len(middle))
    for period in site.periods.values():
        if period.unit not in units or period.end <= edges[0] or period.start >= edges[-1]:
            continue
        plain, special = np.zeros(len(middle)), np.full(len(middle), -1.0)
        for row in (row for row in asked if row.kind == period.kind):
            window = site.windows.row(row.condition, period) if row.condition else None
            if row.condition and window is None:
                continue
            low, high = (period.start, period.end) if window is None else span_of(window, period)
            held = (low < middle) & (middle < high)
            target = special if row.condition else plain
            target[held] = np.maximum(target[held], row.in_service_count)
        found = np.maximum(found, np.where(special >= 0, special, plain))
    return found
