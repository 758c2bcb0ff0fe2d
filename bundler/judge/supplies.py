"""What there is only so much of in a day, in each outage against what its works take."""

from collections.abc import Iterator
from typing import Any

from bundler.judge.dates import CLOSE_DAYS, Period
from bundler.judge.loads import windows_in
from bundler.judge.reading import Reading
from bundler.judge.spans import Span, pieces_in
from bundler.judge.verdict import Breach, over
from bundler.judge.works import Work
from bundler.tables import rows

#: a work with what it takes of a supply
Taking = tuple[Work, float]


def check_supplies(reading: Reading) -> Iterator[Breach]:
    """Hold that works take no more of a supply than there is in their window of an outage."""
    given = {(row.supply, row.kind): row for row in rows(reading.site.case["supply_amounts"])}
    for (period, supply), takings in takings_of(reading).items():
        row = given.get((supply, period.kind))
        if row is None and not period.is_outage:
            continue
        for window in _windows(reading, period, row):
            used = sum(amount for work, amount in takings if _inside(work, window))
            limit = _there(reading, period, row, window)
            if used > 0 and over(used, limit):
                place = f"{period.name} {supply}"
                text = (
                    f"{place}, days {window[0] - period.start:g} to "
                    f"{window[1] - period.start:g}: {used:.1f} are taken, {limit:.1f} are there."
                )
                yield Breach("supplies", place, text, used - limit)


def takings_of(reading: Reading) -> dict[tuple[Period, str], list[Taking]]:
    """Return what works take of each supply in each period, on each of their days or once."""
    needs: dict[tuple[str, str], list[Any]] = {}
    for row in rows(reading.site.case["action_supplies"]):
        needs.setdefault((row.family, row.action), []).append(row)
    found: dict[tuple[Period, str], list[Taking]] = {}
    for work in reading.works:
        for row in needs.get((work.family.family, work.action.action), []):
            amount = float(row.amount) * (work.length if row.is_daily else 1.0)
            found.setdefault((work.period, row.supply), []).append((work, amount))
    return found


def _windows(reading: Reading, period: Period, row: Any) -> list[Span]:
    """Return the windows to look at: only the whole where works do not share their own."""
    if row is None or row.condition:
        return [(period.start, period.end)]
    return windows_in(period, reading.works)


def _inside(work: Work, window: Span) -> bool:
    return work.span[0] >= window[0] - CLOSE_DAYS and work.span[1] <= window[1] + CLOSE_DAYS


def _there(reading: Reading, period: Period, row: Any, window: Span) -> float:
    """Return what there is of a supply in a window, nothing where its row is missing."""
    if row is None:
        return 0.0
    if row.condition:
        days = _held(reading, period, row.condition)
    else:
        days = window[1] - window[0] + reading.extension(period)
    return float(row.amount_per_day) * days


def _held(reading: Reading, period: Period, condition: str) -> float:
    """Return the days on which a condition holds in a period."""
    return sum(high - low for low, high in pieces_in(reading.site.windows, [condition], period))
