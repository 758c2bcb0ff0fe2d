"""What levelling found to fit into windows of outages, against what works take there."""

from collections.abc import Iterator
from typing import Any

from bundler.judge.dates import CLOSE_DAYS, Period
from bundler.judge.loads import Demand, by_period, demands_of, floor_of, head_days
from bundler.judge.reading import Reading
from bundler.judge.spans import Span
from bundler.judge.supplies import takings_of
from bundler.judge.verdict import Breach, over
from bundler.tables import rows


def check_levelled(reading: Reading) -> Iterator[Breach]:
    """Hold that works whose span lies inside a levelled window take no more than fits."""
    demands = by_period(demands_of(reading))
    for row in rows(reading.site.case["levelled"]):
        period = reading.site.periods.get(row.outage)
        if period is None:
            continue
        window = (period.start + row.from_days, period.start + row.to_days)
        used = _used(reading, period, row.resource, window, demands.get(period, []))
        if over(used, row.amount):
            place = f"{row.outage} {row.resource}"
            text = (
                f"{place}, days {row.from_days:g} to {row.to_days:g}: {used:.1f} are planned, "
                f"{row.amount:.1f} fit as levelled."
            )
            yield Breach("levelled", place, text, used - row.amount)


def _used(
    reading: Reading, period: Period, resource: str, window: Span, demands: list[Demand]
) -> float:
    """Return what is taken of a resource inside a window: hours, head days, or of a supply."""
    taken = [
        amount
        for work, amount in takings_of(reading).get((period, resource), [])
        if _holds(work.span, window)
    ]
    areas: dict[str, Any] = {row.area: row for row in rows(reading.site.case["areas"])}
    inside = [demand for demand in demands if demand.lies_in(window)]
    hours = [demand.hours.get(resource, 0.0) for demand in inside]
    heads = [
        head_days(reading.site, demand)
        for demand in inside
        if demand.area and f"area.{floor_of(areas[demand.area], demand.train)}" == resource
    ]
    return sum(taken) + sum(hours) + sum(heads)


def _holds(span: Span, window: Span) -> bool:
    return span[0] >= window[0] - CLOSE_DAYS and span[1] <= window[1] + CLOSE_DAYS
