"""What station-wide outages lose in each unit: days on line, and days that lengthen an outage."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bundler.calendar import DAYS_A_YEAR, STATION, end_of_life_days
from bundler.case import Case
from bundler.dates.starts import Start
from bundler.intervals import Stretches, intersection, union
from bundler.tables import rows


@dataclass(frozen=True)
class Prices:
    """What a lost day costs: by unit its value and last day, by kind of outage the standing cost.

    units holds day_value_cost_per_day and the last day [days from planning] of each unit.
    """

    units: dict[str, tuple[float, float]]
    standing_cost_per_day: dict[str, float]
    discount_share_per_year: float


@dataclass(frozen=True)
class Lost:
    """Unit-days that station-wide outages take, by what is lost in them, and what they cost."""

    on_line_days: float = 0.0
    added_days: float = 0.0
    shared_days: float = 0.0
    cost: float = 0.0
    pv_cost: float = 0.0

    def plus(self, other: "Lost") -> "Lost":
        """Return the sum of two losses."""
        return Lost(
            self.on_line_days + other.on_line_days,
            self.added_days + other.added_days,
            self.shared_days + other.shared_days,
            self.cost + other.cost,
            self.pv_cost + other.pv_cost,
        )


def prices_of(case: Case) -> Prices:
    """Return what a lost day costs."""
    last = end_of_life_days(case)
    return Prices(
        {
            row.unit: (row.day_value_cost_per_day, float(last[row.unit]))
            for row in rows(case["units"])
        },
        {row.kind: row.standing_cost_per_day for row in rows(case["outage_kinds"])},
        case.settings.discount_share_per_year,
    )


def meets(first: Start, second: Start) -> bool:
    """Tell whether two outages go on at once for a while."""
    return first.start_days < second.end_days and second.start_days < first.end_days


def length_days(parts: Stretches) -> float:
    """Return the days in all of the stretches."""
    return sum(end - start for start, end in parts)


def _one(prices: Prices, unit: str, wide: Start, own: Sequence[Start]) -> Lost:
    """Return what one station-wide outage loses in one unit; nothing after the unit's last day."""
    value, last = prices.units[unit]
    down = union([(wide.start_days, min(wide.end_days, last))])
    on_line = length_days(down)
    added = shared = cost = 0.0
    for start in own:
        inside = length_days(intersection(down, [start.stretch]))
        free = length_days(intersection(down, start.shared))
        on_line, added, shared = on_line - inside, added + inside - free, shared + free
        cost += (inside - free) * (value + prices.standing_cost_per_day[start.kind])
    return Lost(on_line, added, shared, cost + on_line * value)


def lost(prices: Prices, choice: Sequence[Start]) -> Lost:
    """Return what the station-wide outages of a choice lose in all units.

    A day on line costs the unit's day value v, a day of its outage outside the shared condition
    v + s, s the standing cost of its kind, a day inside it nothing. The present value is that
    cost / (1 + i)^t, t [years] to the middle of the station-wide outage, i the discount rate.
    """
    total = Lost()
    for wide in (start for start in choice if start.unit == STATION):
        years = (wide.start_days + wide.end_days) / 2 / DAYS_A_YEAR
        beside = [start for start in choice if meets(start, wide)]
        for unit in prices.units:
            own = [start for start in beside if start.unit == unit]
            found = _one(prices, unit, wide, own)
            worth = found.cost * (1 + prices.discount_share_per_year) ** -years
            total = total.plus(replace(found, pv_cost=worth))
    return total
