"""When the plant conditions of a work hold inside a period."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Any

import pandas as pd

from bundler.case import Case
from bundler.judge.dates import CLOSE_DAYS, Period, date_of
from bundler.tables import rows

Span = tuple[float, float]
ALWAYS: tuple[Span, ...] = ((float("-inf"), float("inf")),)


@dataclass(frozen=True)
class Windows:
    """The rows of the windows table by kind of outage and condition, and the seasons."""

    rows_of: Mapping[tuple[str, str], tuple[Any, ...]]
    months_of: Mapping[str, frozenset[int]]
    planning: date

    def row(self, condition: str, period: Period) -> Any | None:
        """Return the row that holds: the outage's before its kind's, a side's before any side's."""
        fitting = [
            row
            for row in self.rows_of.get((period.kind, condition), ())
            if row.outage in ("", period.name) and row.side in ("", period.side)
        ]
        return max(fitting, key=lambda row: (row.outage != "", row.side != ""), default=None)

    def is_in_season(self, words: Sequence[str], day: float) -> bool:
        """Tell whether a day lies in the seasons of all conditions."""
        month = date_of(self.planning, day).month
        return all(month in self.months_of[word] for word in words if word in self.months_of)

    def month_starts(self, low: float, high: float) -> Iterator[float]:
        """Return the first days of months from one day to another."""
        first = date_of(self.planning, low)
        count = first.year * 12 + first.month - 1
        while (day := self._day(count)) <= high:
            if day >= low:
                yield day
            count += 1

    def _day(self, count: int) -> float:
        return float((date(count // 12, count % 12 + 1, 1) - self.planning).days)

    def season_end(self, words: Sequence[str], day: float) -> float:
        """Return the end of the season in which a day is the last, infinity if it has none."""
        if not any(word in self.months_of for word in words):
            return float("inf")
        for end in self.month_starts(day, day + 400):
            if not self.is_in_season(words, end):
                return end
        return float("inf")


def windows_of(case: Case) -> Windows:
    """Return the windows of a case."""
    found: dict[tuple[str, str], tuple[Any, ...]] = {}
    for row in rows(case["windows"]):
        key = (row.kind, row.condition)
        found[key] = (*found.get(key, ()), row)
    months = {
        row.condition: _months(int(row.season_from_month), int(row.season_to_month))
        for row in rows(case["conditions"])
        if not pd.isna(row.season_from_month) and not pd.isna(row.season_to_month)
    }
    return Windows(found, months, case.settings.planning_date)


def _months(first: int, last: int) -> frozenset[int]:
    """Return the months from first to last, over new year if it has to be."""
    return frozenset((first - 1 + more) % 12 + 1 for more in range((last - first) % 12 + 1))


def words_of(conditions: str, train: str) -> list[str]:
    """Return the conditions a work needs, one by one, with the train in place of the star."""
    return [word.strip().replace("*", train) for word in conditions.split("+") if word.strip()]


def span_of(row: Any, period: Period) -> Span:
    """Return first and last day on which a row of the windows holds, inside the period."""
    anchor = {"start": period.start, "end": period.end}
    low = anchor[row.from_anchor] + row.from_days
    high = anchor[row.to_anchor] + row.to_days
    return max(low, period.start), min(high, period.end)


def is_inside(spans: Sequence[Span], day: float) -> bool:
    """Tell whether a day lies in one of the spans."""
    return any(low < day < high for low, high in spans)


def pieces_in(
    windows: Windows, words: list[str], period: Period, allowed: Sequence[Span] = ALWAYS
) -> list[Span]:
    """Return the spans of the period in which all conditions hold, on days that are allowed.

    Every day on which anything can change cuts the period; what holds in the middle of a cut
    piece holds in all of it.
    """
    held = [windows.row(word, period) for word in words]
    if None in held:
        return []
    spans = [(period.start, period.end), *(span_of(row, period) for row in held)]
    cuts = {day for span in (*spans, *allowed) for day in span}
    if any(word in windows.months_of for word in words):
        cuts |= set(windows.month_starts(period.start, period.end))
    inside = sorted(day for day in cuts if period.start <= day <= period.end)
    found: list[Span] = []
    for low, high in pairwise(inside):
        middle = (low + high) / 2
        fits = all(a < middle < b for a, b in spans) and is_inside(allowed, middle)
        if fits and windows.is_in_season(words, middle):
            joins = found and found[-1][1] == low
            found = [*found[:-1], (found[-1][0], high)] if joins else [*found, (low, high)]
    return found


def common_span(
    windows: Windows, words: list[str], period: Period, allowed: Sequence[Span] = ALWAYS
) -> Span | None:
    """Return first and last day of the longest piece in which all conditions hold, or None."""
    pieces = pieces_in(windows, words, period, allowed)
    low, high = max(pieces, key=lambda one: (one[1] - one[0], -one[0]), default=(0.0, 0.0))
    return (low, high) if high - low > CLOSE_DAYS else None


def longest_days(windows: Windows, words: list[str], period: Period) -> float:
    """Return the longest single work that all conditions allow [d], or infinity."""
    found = [windows.row(word, period) for word in words]
    limits = [row.longest_days for row in found if row is not None]
    return min((float(days) for days in limits if not pd.isna(days)), default=float("inf"))
