"""What can be chosen: each outage as drawn, at other dates, or slid to a station-wide outage."""

import math
from collections.abc import Iterator, Mapping
from itertools import product
from typing import Any

from bundler.calendar import STATION, days_from_planning, end_of_life_days
from bundler.case import Case
from bundler.dates.starts import Start, at, with_spans
from bundler.tables import rows

#: the starts to which an outage may slide, by its name and the station-wide outage it shares
Slides = Mapping[tuple[str, Start], Start]


def _drawn(case: Case) -> Iterator[tuple[Any, Start]]:
    """Return the row and the drawn start of each outage that ends in time to count."""
    table, last = case["outages"], end_of_life_days(case)
    first = days_from_planning(case, table["start_date"])
    due = days_from_planning(case, table["due_date"]).fillna(math.inf)
    for row, day, by in zip(rows(table), first, due, strict=True):
        if day + row.days <= last[row.unit]:
            yield row, Start(row.outage, row.unit, row.kind, row.side, day, day, day + row.days, by)


def _given(case: Case, drawn: Start) -> list[Start]:
    """Return an outage as drawn and then at its further dates."""
    table = case["outage_dates"]
    days = days_from_planning(case, table.loc[table["outage"] == drawn.outage, "start_date"])
    return [drawn, *(at(drawn, day) for day in sorted(set(days) - {drawn.drawn_days}))]


def _tried(row: Any, drawn: Start, wide: Start) -> list[Start]:
    """Return the starts in reach that hold a station-wide outage, the nearest to the drawn first.

    Of two that are as near, the earlier one comes first.
    """
    length = drawn.end_days - drawn.start_days
    low = max(wide.end_days - length, drawn.drawn_days - row.slide_earlier_days)
    high = min(wide.start_days, drawn.drawn_days + row.slide_later_days)
    whole = range(math.ceil(low), math.floor(high) + 1)
    nearest = sorted(whole, key=lambda day: (abs(day - drawn.drawn_days), day))
    return [at(drawn, float(day)) for day in nearest]


def is_shared(start: Start, wide: Start) -> bool:
    """Tell whether a station-wide outage lies wholly in days that cost this unit nothing."""
    return any(low <= wide.start_days and wide.end_days <= high for low, high in start.shared)


def starts_of(case: Case) -> tuple[dict[str, list[Start]], Slides]:
    """Return by outage its given starts, the drawn first, and the starts to which it may slide.

    A slide leads to the day nearest to the drawn start on which the whole station-wide outage
    lies in one stretch of the shared condition. Outages that end too late to count are left out.
    """
    drawn = list(_drawn(case))
    given = {start.outage: _given(case, start) for _, start in drawn}
    wides = [start for starts in given.values() for start in starts if start.unit == STATION]
    tried = {
        (start.outage, wide): _tried(row, start, wide)
        for row, start in drawn
        for wide in wides
        if start.unit != STATION and row.slide_earlier_days + row.slide_later_days > 0
    }
    every = [start for starts in [*given.values(), *tried.values()] for start in starts]
    held = with_spans(case, every)
    slides = {}
    for (outage, wide), starts in tried.items():
        found = [held[start] for start in starts if is_shared(held[start], wide)]
        if found:
            slides[outage, held[wide]] = found[0]
    return {outage: [held[one] for one in starts] for outage, starts in given.items()}, slides


def choices(given: Mapping[str, list[Start]], slides: Slides) -> Iterator[tuple[Start, ...]]:
    """Return every choice of one start for each outage, in the order of the outages.

    All as drawn comes first; an outage slides only to a station-wide outage that starts so.
    """
    wides = [starts for starts in given.values() if starts[0].unit == STATION]
    for chosen in product(*wides):
        open_starts = {one.outage: [one] for one in chosen}
        for outage, starts in given.items():
            if outage not in open_starts:
                slid = [slides[outage, wide] for wide in chosen if (outage, wide) in slides]
                open_starts[outage] = list(dict.fromkeys([*starts, *slid]))
        yield from product(*(open_starts[outage] for outage in given))
