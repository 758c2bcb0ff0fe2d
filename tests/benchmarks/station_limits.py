"""Limits of an invented station: trade hours, areas, budgets and pools, and what uses them."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import FloatArray, IntArray
from tests.benchmarks.station_courses import Placed
from tests.benchmarks.station_plant import (
    HOURS_A_DAY,
    HOURS_RATIO,
    TRADES_EACH,
    WINDOW_SHARES,
    YEAR_DAYS,
    Fleet,
    Plant,
)  # fmt: skip

WINDOWS, POOLED = len(WINDOW_SHARES), 3


@dataclass(frozen=True)
class Uses:
    """Who (placement or access set) uses how much of which row, by the number of the row.

    Hours of a trade in a window of an outage come first, then areas, fiscal years and pools.
    """

    row: IntArray
    item: IntArray
    amount: FloatArray


@dataclass(frozen=True)
class Numbers:
    """How rows are numbered, with the pairs of outages of different units that overlap.

    overlap [n, 3]: the two outages and the days on which both are on.
    """

    site: Plant
    overlap: FloatArray

    @property
    def areas_from(self) -> int:
        return self.site.outages_count * WINDOWS * self.site.trades_count

    @property
    def years_from(self) -> int:
        return self.areas_from + self.site.outages_count * self.site.areas_count

    @property
    def pools_from(self) -> int:
        return self.years_from + int(self.site.end_days.max() / YEAR_DAYS) + 2

    @property
    def count(self) -> int:
        return self.pools_from + len(self.overlap) * POOLED

    def hours(self, outage: IntArray, window: IntArray, trade: IntArray) -> IntArray:
        return (outage * WINDOWS + window) * self.site.trades_count + trade


def numbers(site: Plant) -> Numbers:
    """Return the numbering of rows."""
    start, end = site.start_days, site.end_days
    first, second = np.triu_indices(site.outages_count, 1)
    days = np.minimum(end[first], end[second]) - np.maximum(start[first], start[second])
    there = days > 5
    return Numbers(site, np.stack([first[there], second[there], days[there]], axis=1))


def _joined(parts: list[tuple[IntArray, IntArray, FloatArray]]) -> Uses:
    row, item, amount = (np.concatenate(column) for column in zip(*parts, strict=True))
    kept = amount > 0
    order = np.lexsort((item[kept], row[kept]))
    return Uses(row[kept][order], item[kept][order], amount[kept][order])


def _pooled(rows: Numbers, at: Placed, trade: IntArray, hours: FloatArray):
    """Return the head-days that each placement takes of the pools while outages overlap."""
    site, item = rows.site, np.arange(len(at.component))
    for pair, (first, second, days) in enumerate(rows.overlap):
        for outage in (int(first), int(second)):
            own = (at.outage == outage) & (trade < POOLED)
            share = days / (site.end_days[outage] - site.start_days[outage])
            amount = np.round(hours[own] / HOURS_A_DAY * share, 2)
            yield rows.pools_from + pair * POOLED + trade[own], item[own], amount


def placement_uses(parts: Fleet, at: Placed, rows: Numbers) -> Uses:
    """Return what placements use. A work in a window uses the hours of every wider one too."""
    item, found = np.arange(len(at.component)), []
    for k in range(TRADES_EACH):
        trade = parts.trade[at.component, k]
        hours = np.round(parts.hours[at.component, k] * HOURS_RATIO[at.slot], 2)
        for window in range(WINDOWS):
            inside = at.window >= window
            row = rows.hours(at.outage[inside], np.array(window), trade[inside])
            found.append((row, item[inside], hours[inside]))
        area = rows.areas_from + at.outage * rows.site.areas_count + parts.area[at.component]
        found.append((area, item, np.round(hours / HOURS_A_DAY, 2)))
        found += _pooled(rows, at, trade, hours)
    year = rows.years_from + (rows.site.start_days[at.outage] // YEAR_DAYS).astype(np.int64)
    found.append((year, item, at.cost))
    return _summed(_joined(found))


def _summed(uses: Uses) -> Uses:
    """Return the uses with one amount a row and item."""
    first = np.r_[True, (uses.row[1:] != uses.row[:-1]) | (uses.item[1:] != uses.item[:-1])]
    at = np.flatnonzero(first)
    return Uses(uses.row[at], uses.item[at], np.add.reduceat(uses.amount, at))


def total(uses: Uses, chosen: np.ndarray, count: int) -> FloatArray:
    """Return what chosen items (a mask) use of each row."""
    return np.bincount(uses.row, uses.amount * chosen[uses.item], minlength=count)


def largest(uses: Uses, is_able: np.ndarray, count: int) -> FloatArray:
    """Return the most that one of the able items (a mask) uses of each row."""
    found = np.zeros(count)
    own = is_able[uses.item]
    np.maximum.at(found, uses.row[own], uses.amount[own])
    return found


def amounts(wanted: FloatArray, least: FloatArray, rng: np.random.Generator) -> FloatArray:
    """Return what each row holds: about half of what is wanted of it, but never below `least`."""
    half = 0.5 * wanted * rng.uniform(0.8, 1.2, len(wanted))
    result: FloatArray = np.round(np.maximum(half, least), 1) + 0.1
    return result


def _names(rows: Numbers) -> dict[str, np.ndarray]:
    """Return name, measure, resource and period of every row, in the order of their numbers."""
    site, outages = rows.site, rows.site.names()
    found = [
        (f"{o}.t{t:02d}.w{w}", "hours", f"t{t:02d}", o)
        for o in outages
        for w in range(WINDOWS)
        for t in range(site.trades_count)
    ]
    found += [
        (f"{o}.area{a}", "head_days", f"area{a}", o)
        for o in outages
        for a in range(site.areas_count)
    ]
    years = range(rows.pools_from - rows.years_from)
    found += [(f"budget.{y:02d}", "cost", "budget", f"{y:02d}") for y in years]
    pairs = ["+".join(outages[[int(a), int(b)]]) for a, b, _ in rows.overlap]
    pools = [(pair, t) for pair in pairs for t in range(POOLED)]
    found += [(f"site.t{t:02d}.{pair}", "head_days", f"t{t:02d}", pair) for pair, t in pools]
    columns = zip(*found, strict=True)
    keys = ("limit", "measure", "resource", "period")
    return {key: np.array(own, dtype=object) for key, own in zip(keys, columns, strict=True)}


def limits_table(rows: Numbers, amount: FloatArray) -> pd.DataFrame:
    """Return the table of limits in the order of their numbers.

    A day of extension adds a day's hours of each trade; overtime its part in each window.
    """
    table = pd.DataFrame(_names(rows)).astype("str")
    outage, window = np.divmod(np.arange(rows.areas_from) // rows.site.trades_count, WINDOWS)
    days = (rows.site.end_days - rows.site.start_days)[outage] * WINDOW_SHARES[window]
    more, share = np.zeros(rows.count), np.ones(rows.count)
    more[: rows.areas_from] = np.round(amount[: rows.areas_from] / days, 2)
    share[: rows.areas_from] = WINDOW_SHARES[window]
    is_hours = table["measure"] == "hours"
    band = (table["period"] + "." + table["resource"]).where(is_hours, "")
    return table.assign(
        title=table["limit"], window="", amount=amount, base_amount=0.0, extension_amount=more,
        overtime=band, overtime_share=share, step="1 more", step_amount=1.0,
    )  # fmt: skip


def uses_table(names: np.ndarray, uses: Uses, item: str, items: np.ndarray) -> pd.DataFrame:
    """Return the table of what items use of the rows."""
    return pd.DataFrame(
        {
            "limit": pd.array(names[uses.row], dtype="str"),
            item: items[uses.item],
            "amount": uses.amount,
        }
    )
