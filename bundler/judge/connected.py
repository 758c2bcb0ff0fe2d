"""Systems common to several units: the days on which a work on them leaves these as they need."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Any

import pandas as pd

from bundler.case import Case
from bundler.judge.dates import STATION, Period, day_of
from bundler.judge.spans import Span, Windows, span_of
from bundler.tables import rows

#: days on which each kind of work may be done, by family and action
Allowed = Mapping[tuple[str, str], tuple[Span, ...]]


@dataclass(frozen=True)
class _Units:
    """What the units are in on any day: outages, or on line between them, a year at a time."""

    windows: Windows
    outages: list[Period]
    ends: dict[str, float]
    years: list[float]

    def periods(self, unit: str) -> list[Period]:
        """Return the outages of a unit, station-wide ones among them, and the time between."""
        own = [outage for outage in self.outages if outage.unit in (unit, STATION)]
        cuts = {day for outage in own for day in (outage.start, outage.end)}
        cuts |= {0.0, self.ends[unit], *self.years}
        days = sorted(day for day in cuts if 0 <= day <= self.ends[unit])
        between = [
            Period("", unit, "on_line", low, high, False, low, high)
            for low, high in pairwise(days)
            if not any(outage.start < (low + high) / 2 < outage.end for outage in own)
        ]
        return [*own, *between]

    def spans(self, unit: str, condition: str) -> Iterator[Span]:
        """Return the spans in which a condition holds in a unit, seasons left aside."""
        for period in self.periods(unit):
            row = self.windows.row(condition, period)
            if row is not None:
                yield span_of(row, period)

    def allowed(self, need: Any) -> tuple[Span, ...]:
        """Return the days on which a need is met; units past their end are in nobody's way."""
        units = [unit for unit in sorted(self.ends) if unit != STATION]
        units = need.units.split("+") if need.units else units
        spans = {unit: list(self.spans(unit, need.condition)) for unit in units}
        least = len(units) if pd.isna(need.least_count) else int(need.least_count)
        last = max(self.ends.values())
        cuts = {0.0, last, float("inf"), *self.ends.values()}
        cuts |= set(self.windows.month_starts(0.0, last))
        cuts |= {day for own in spans.values() for span in own for day in span}
        found = []
        for low, high in pairwise(sorted(cuts)):
            day = (low + high) / 2
            met = [self._is_met(need, unit, spans[unit], day) for unit in units]
            if sum(met) >= least:
                found.append((low, high))
        return tuple(_joined(found))

    def _is_met(self, need: Any, unit: str, spans: list[Span], day: float) -> bool:
        if day > self.ends[unit]:
            return True
        in_season = self.windows.is_in_season([need.condition], day)
        holds = in_season and any(low < day < high for low, high in spans)
        return holds is (need.rule == "holds")


def _joined(spans: list[Span]) -> list[Span]:
    found: list[Span] = []
    for low, high in spans:
        joins = found and found[-1][1] == low
        found = [*found[:-1], (found[-1][0], high)] if joins else [*found, (low, high)]
    return found


def _both(first: tuple[Span, ...], second: tuple[Span, ...]) -> tuple[Span, ...]:
    pairs = [(max(a, c), min(b, d)) for a, b in first for c, d in second]
    return tuple((low, high) for low, high in pairs if low < high)


def allowed_days(
    case: Case, windows: Windows, periods: dict[str, Period], ends: dict[str, float]
) -> Allowed:
    """Return the days on which each work on a common system leaves its units as they need."""
    planning = case.settings.planning_date
    years = range(planning.year + 1, case.settings.horizon_end_date.year + 1)
    units = _Units(
        windows,
        [period for period in periods.values() if period.is_outage],
        ends,
        [day_of(planning, date(year, 1, 1)) for year in years],
    )
    found: dict[tuple[str, str], tuple[Span, ...]] = {}
    for need in rows(case["common_needs"]):
        days = units.allowed(need)
        for action in rows(case["actions"]):
            if action.family == need.family and need.action in ("", action.action):
                key = (action.family, action.action)
                found[key] = _both(found[key], days) if key in found else days
    return found
