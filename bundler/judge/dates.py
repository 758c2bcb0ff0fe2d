"""The judge's own calendar: days from the planning date, units' ends, outages, on-line periods."""

import math
from calendar import monthrange
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import pandas as pd

from bundler.case import Case
from bundler.tables import rows

YEAR_DAYS = 365.25
#: two days closer than this are the same
CLOSE_DAYS = 1e-6
#: an on-line stretch shorter than this is no period
SHORTEST_DAYS = 30.0
STATION = "station"


@dataclass(frozen=True)
class Period:
    """An outage or an on-line period; days are counted from the planning date."""

    name: str
    unit: str
    kind: str
    start: float
    end: float
    is_outage: bool
    crew_start: float
    crew_end: float
    side: str = ""
    series: str = ""
    freeze: float = math.inf

    @property
    def middle(self) -> float:
        """The day half way."""
        return (self.start + self.end) / 2

    @property
    def effect(self) -> float:
        """The day on which work done here takes effect."""
        return self.end if self.is_outage else self.middle

    def crew_days(self, low: float, high: float) -> float:
        """Days from low to high on which crews are there."""
        return max(0.0, min(high, self.crew_end) - max(low, self.crew_start))

    @property
    def all_crew_days(self) -> float:
        """Days of the whole period on which crews are there."""
        return self.crew_days(self.start, self.end)


def day_of(planning: date, value: Any) -> float:
    """Return the days from the planning date to a date of a table."""
    return float((pd.Timestamp(value).date() - planning).days)


def date_of(planning: date, day: float) -> date:
    """Return the date on which a day falls."""
    return planning + timedelta(days=math.floor(day + CLOSE_DAYS))


def day_after_months(planning: date, months: float) -> float:
    """Return the days to the same day of the month so many calendar months later.

    A month without that day gives its last; part of a month is taken from an average one.
    """
    whole = math.floor(months + 1e-9)
    year, month = divmod(planning.year * 12 + planning.month - 1 + whole, 12)
    day = min(planning.day, monthrange(year, month + 1)[1])
    rest = max(0.0, months - whole) * YEAR_DAYS / 12
    return (date(year, month + 1, day) - planning).days + rest


def ends_of(case: Case) -> dict[str, float]:
    """Return the last day of each unit, and of the station."""
    planning = case.settings.planning_date
    horizon = day_of(planning, case.settings.horizon_end_date)
    ends = {STATION: horizon}
    for unit in rows(case["units"]):
        ends[unit.unit] = horizon if pd.isna(unit.end_date) else day_of(planning, unit.end_date)
    return ends


def periods_of(case: Case, ends: dict[str, float]) -> dict[str, Period]:
    """Return every outage that exists and every on-line period, by name."""
    outages = list(_outages(case, ends))
    found = {outage.name: outage for outage in outages}
    for unit, end in ends.items():
        own = [outage for outage in outages if outage.unit in (unit, STATION)]
        found |= {period.name: period for period in _on_line(case, unit, end, own)}
    return found


def _outages(case: Case, ends: dict[str, float]) -> Iterator[Period]:
    planning = case.settings.planning_date
    kinds = {kind.kind: kind for kind in rows(case["outage_kinds"])}
    for row in rows(case["outages"]):
        start = day_of(planning, row.start_date)
        end = start + row.days
        if start < 0 or end > ends[row.unit] + CLOSE_DAYS:
            continue
        kind = kinds[row.kind]
        yield Period(
            name=row.outage,
            unit=row.unit,
            kind=row.kind,
            start=start,
            end=end,
            is_outage=True,
            crew_start=start + kind.crew_from_days,
            crew_end=end - kind.crew_to_days,
            side=row.side,
            series=row.series,
            freeze=day_of(planning, row.freeze_date),
        )


def _on_line(case: Case, unit: str, end: float, own: list[Period]) -> Iterator[Period]:
    planning = case.settings.planning_date
    years = range(planning.year + 1, case.settings.horizon_end_date.year + 2)
    cuts = {0.0, end, *(day_of(planning, date(year, 1, 1)) for year in years)}
    cuts |= {outage.start for outage in own} | {outage.end for outage in own}
    inside = sorted(cut for cut in cuts if 0 <= cut <= end)
    kind = [kind for kind in rows(case["outage_kinds"]) if kind.kind == "on_line"]
    crew_from, crew_to = (kind[0].crew_from_days, kind[0].crew_to_days) if kind else (0.0, 0.0)
    seen: Counter[int] = Counter()
    for low, high in pairwise(inside):
        is_shut = any(outage.start < (low + high) / 2 < outage.end for outage in own)
        if is_shut or high - low < SHORTEST_DAYS - CLOSE_DAYS:
            continue
        year = date_of(planning, low).year
        seen[year] += 1
        name = f"{unit}-{year}" if seen[year] == 1 else f"{unit}-{year}-{seen[year]}"
        yield Period(name, unit, "on_line", low, high, False, low + crew_from, high - crew_to)
