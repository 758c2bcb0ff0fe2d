"""What the site holds once for all units: items for planned work, spares, parts that run out."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import inf
from typing import Any

import numpy as np
import pandas as pd

from bundler.judge.dates import CLOSE_DAYS, YEAR_DAYS, date_of
from bundler.judge.lives import own_value, steps_of
from bundler.judge.reading import Reading
from bundler.judge.risk import (
    STEP_YEARS,
    FloatArray,
    discount,
    edges_of,
    exposed,
    failures_of,
    shut_spans,
)
from bundler.judge.site import Site
from bundler.judge.verdict import Breach
from bundler.judge.works import works_by_component
from bundler.tables import rows


def _restock_days(stock: Any) -> float:
    """Return the days until an item is there again; months are average ones."""
    months = stock.restock_months
    return inf if pd.isna(months) else float(months) * YEAR_DAYS / 12


def _members(site: Site, stock: Any) -> list[Any]:
    return [row for row in site.components.values() if row.family == stock.family]


def check_rotables(reading: Reading) -> Iterator[Breach]:
    """Hold that planned works never have more items of a stock at a time than it holds."""
    planning = reading.site.settings.planning_date
    for stock in rows(reading.site.case["stocks"]):
        takers = [work for work in reading.works if work.action.takes_stock == stock.stock]
        back = _restock_days(stock) - CLOSE_DAYS
        for day in sorted({work.start for work in takers}):
            away = [work for work in takers if work.start <= day < work.start + back]
            if len(away) > stock.spares_count:
                names = ", ".join(work.name for work in away)
                text = (
                    f"{stock.stock} on {date_of(planning, day)}: {len(away)} works have an item "
                    f"({names}), the site holds {stock.spares_count:g}."
                )
                yield Breach("rotables", stock.stock, text, len(away) - stock.spares_count)


def stock_loss_pv(reading: Reading, life_ratios: Mapping[str, float] | None = None) -> float:
    """Return what failures without a spare and parts that ran out cost, in present value.

    `life_ratios` stretches lives by component.
    """
    stocks, ratios = list(rows(reading.site.case["stocks"])), life_ratios or {}
    return sum(_spares_pv(reading, each, ratios) + _run_out_pv(reading, each) for each in stocks)


@dataclass(frozen=True)
class _Taken:
    """Failures of a component: edges [d], those on line in each cell, the sum of all so far."""

    edges: FloatArray
    on_line: FloatArray
    passed: FloatArray

    def between(self, low: FloatArray, high: FloatArray) -> FloatArray:
        """Return the failures from one day to another."""
        result: FloatArray = np.interp(high, self.edges, self.passed)
        return result - np.interp(low, self.edges, self.passed)


def _taken(reading: Reading, component: Any, ratio: float) -> _Taken:
    site = reading.site
    works = works_by_component(reading.works).get(component.component, [])
    shut = shut_spans(site, component.unit)
    edges = edges_of(site, component, works, shut)
    failures = np.zeros(len(edges) - 1)
    for part, own, _ in failures_of(site, component, works, steps_of(site), edges, ratio):
        failures[part] += own
    on_line = failures * exposed(edges, shut)
    return _Taken(edges, on_line, np.append(0.0, np.cumsum(failures)))


def _spares_pv(reading: Reading, stock: Any, ratios: Mapping[str, float]) -> float:
    """Return the further loss by failures that find no item.

    Others have taken a Poisson number of them within the restock time before, also for failures
    while they were shut, which lose nothing themselves.
    """
    if pd.isna(stock.without_days):
        return 0.0
    site, back = reading.site, _restock_days(stock)
    members = {row.component: row for row in _members(site, stock)}
    taken = {name: _taken(reading, row, ratios.get(name, 1.0)) for name, row in members.items()}
    total = 0.0
    for name, own in taken.items():
        middle = (own.edges[1:] + own.edges[:-1]) / 2
        others = [each for other, each in taken.items() if other != name]
        mean = sum((each.between(middle - back, middle) for each in others), np.zeros(len(middle)))
        with_days = own_value(members[name], site.families[stock.family], "forced_days")
        extra = (stock.without_days - with_days) * site.day_value(members[name].unit)
        short = _chance_of_at_least(int(stock.spares_count), mean)
        total += extra * float(np.sum(own.on_line * short * discount(site, middle)))
    return total


def _chance_of_at_least(count: int, mean: FloatArray) -> FloatArray:
    """Return the chance of so many or more of a Poisson number: 1 less those of fewer."""
    left, term = np.ones_like(mean), np.exp(-mean)
    for number in range(count):
        left = left - term
        term = term * mean / (number + 1)
    return np.maximum(left, 0.0)


@dataclass(frozen=True)
class _User:
    """A component of the old design: when it leaves and what it frees, and what a year costs.

    It leaves, and frees its good items, when the work on it can start.
    """

    leaves: float
    freed: float
    shut: list[tuple[float, float]]
    cost_per_year: float

    def is_on_line(self, day: float) -> bool:
        """Tell whether it is there and its unit on line."""
        return day < self.leaves and not any(low < day < high for low, high in self.shut)


def _users(reading: Reading, stock: Any) -> list[_User]:
    works, found = works_by_component(reading.works), []
    for row in _members(reading.site, stock):
        end, value = reading.site.ends[row.unit], reading.site.day_value(row.unit)
        own = [work for work in works.get(row.component, []) if work.action.frees_count > 0]
        is_renewed = bool(own) and own[0].start < end
        leaves = own[0].start if is_renewed else end
        freed = float(own[0].action.frees_count) if is_renewed else 0.0
        cost = stock.out_failures_per_year * stock.out_days * value
        found.append(_User(leaves, freed, shut_spans(reading.site, row.unit), cost))
    return found


def _run_out_pv(reading: Reading, stock: Any) -> float:
    """Return the loss by failures without parts: the stock followed step by step to its end."""
    users = _users(reading, stock)
    if not users or stock.use_count_per_year <= 0:
        return 0.0
    last, left, total = max(user.leaves for user in users), float(stock.spares_count), 0.0
    marks = set(np.arange(0.0, last, STEP_YEARS * YEAR_DAYS).tolist())
    marks |= {user.leaves for user in users}
    marks |= {day for user in users for span in user.shut for day in span if 0 < day < last}
    for low, high in pairwise(sorted(marks)):
        left += sum(user.freed for user in users if user.leaves == low)
        middle, years = (low + high) / 2, (high - low) / YEAR_DAYS
        old = sum(user.leaves > middle for user in users) / len(users)
        growth = (1 + stock.use_growth_share_per_year) ** (middle / YEAR_DAYS)
        use = stock.use_count_per_year * growth * old * years
        out = 1 - left / use if use > left else 0.0
        left = max(0.0, left - use)
        worth = float(discount(reading.site, np.array(high - out * (high - low) / 2)))
        lost = sum(user.cost_per_year for user in users if user.is_on_line(middle))
        total += lost * out * years * worth
    return total
