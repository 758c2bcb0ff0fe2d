"""When the plant conditions of a work hold inside a period."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bundler.case import Case
from bundler.judge.dates import CLOSE_DAYS, Period
from bundler.tables import rows

Span = tuple[float, float]


@dataclass(frozen=True)
class Windows:
    """The rows of the windows table by kind of outage and condition."""

    rows_of: Mapping[tuple[str, str], tuple[Any, ...]]

    def row(self, condition: str, period: Period) -> Any | None:
        """Return the row that holds: the outage's before its kind's, a side's before any side's."""
        fitting = [
            row
            for row in self.rows_of.get((period.kind, condition), ())
            if row.outage in ("", period.name) and row.side in ("", period.side)
        ]
        return max(fitting, key=lambda row: (row.outage != "", row.side != ""), default=None)


def windows_of(case: Case) -> Windows:
    """Return the windows of a case."""
    found: dict[tuple[str, str], tuple[Any, ...]] = {}
    for row in rows(case["windows"]):
        key = (row.kind, row.condition)
        found[key] = (*found.get(key, ()), row)
    return Windows(found)


def words_of(conditions: str, train: str) -> list[str]:
    """Return the conditions a work needs, one by one, with the train in place of the star."""
    return [word.strip().replace("*", train) for word in conditions.split("+") if word.strip()]


def span_of(row: Any, period: Period) -> Span:
    """Return first and last day on which a row of the windows holds, inside the period."""
    anchor = {"start": period.start, "end": period.end}
    low = anchor[row.from_anchor] + row.from_days
    high = anchor[row.to_anchor] + row.to_days
    return max(low, period.start), min(high, period.end)


def common_span(windows: Windows, words: list[str], period: Period) -> Span | None:
    """Return first and last day on which all conditions hold; None if they never do."""
    low, high = period.start, period.end
    for word in words:
        row = windows.row(word, period)
        if row is None:
            return None
        start, end = span_of(row, period)
        low, high = max(low, start), min(high, end)
    return (low, high) if high - low > CLOSE_DAYS else None


def longest_days(windows: Windows, words: list[str], period: Period) -> float:
    """Return the longest single work that all conditions allow [d], or infinity."""
    found = [windows.row(word, period) for word in words]
    limits = [row.longest_days for row in found if row is not None]
    return min((float(days) for days in limits if not pd.isna(days)), default=float("inf"))
