"""A small case in plain lists, with every plan of it costed by plain arrays: no solver."""

from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray, IntArray

PERIODS = ("O0", "O1")


@dataclass
class Limit:
    """A limit of one outage (None: of both) with what relieves it."""

    name: str
    period: int | None
    amount: float
    per_day: float = 0.0
    part: float = 0.0


@dataclass
class Access:
    """An access set of one outage; its use by limit."""

    name: str
    period: int
    cost: float
    is_given: bool
    uses: dict[int, float]


@dataclass
class Work:
    """A placement: its component, outage, missing days, use by limit and access sets."""

    component: int
    period: int
    missing: float
    uses: dict[int, float]
    access: tuple[int, ...]


@dataclass
class Drawn:
    """A case in plain lists; courses of each component are (cost, works)."""

    works: list[Work]
    courses: list[list[tuple[float, tuple[int, ...]]]]
    limits: list[Limit]
    sets: list[Access]
    links: list[tuple[dict[int, float], float]]
    day_cost: list[float]
    most_days: list[float]
    hour_cost: list[float]
    most_hours: list[float]
    constant: float

    @cached_property
    def numbers(self) -> list[list[int]]:
        """Return the number of each course in its table, by component."""
        counts = np.cumsum([0, *map(len, self.courses)])
        return [list(range(counts[c], counts[c + 1])) for c in range(len(self.courses))]

    @cached_property
    def plans(self) -> IntArray:
        """Return every plan: the number of the course of each component [M, N]."""
        return np.array(list(product(*self.numbers)), dtype=np.int64)

    @cached_property
    def costs(self) -> FloatArray:
        """Return what every plan costs [M], infinite where it breaks a row."""
        return self.costs_of(self.plans)

    @property
    def best(self) -> float:
        """Return the least cost of all plans."""
        return float(self.costs.min())

    def costs_of(self, plans: IntArray) -> FloatArray:
        """Return what plans [M, N] cost."""
        flat = [course for own in self.courses for course in own]
        held = np.zeros((len(flat), len(self.works)))
        for q, (_, works) in enumerate(flat):
            held[q, list(works)] = 1.0
        placed = held[plans].sum(axis=1)
        opened = self._opened(placed)
        used = placed @ _matrix([w.uses for w in self.works], len(self.limits))
        used += opened @ _matrix([s.uses for s in self.sets], len(self.limits))
        total = np.array([cost for cost, _ in flat])[plans].sum(axis=1) + self.constant
        total += opened @ np.array([s.cost for s in self.sets])
        for terms, most in self.links:
            asked = sum(factor * placed[:, p] for p, factor in terms.items())
            total = np.where(asked > most + 1e-9, np.inf, total)
        for r, limit in enumerate(self.limits):
            if not self._helps(limit):
                total = np.where(used[:, r] > limit.amount + 1e-9, np.inf, total)
        for period in range(len(PERIODS)):
            total = total + self._relief(period, placed, used)
        return total

    def _opened(self, placed: FloatArray) -> FloatArray:
        """Return which sets that are not given each plan opens [M, S]."""
        found = np.zeros((len(placed), len(self.sets)))
        for s, own in enumerate(self.sets):
            members = [p for p, work in enumerate(self.works) if s in work.access]
            if not own.is_given and members:
                found[:, s] = placed[:, members].max(axis=1)
        return found

    def _helps(self, limit: Limit) -> bool:
        return limit.period is not None and (limit.per_day > 0 or limit.part > 0)

    def _relief(self, period: int, placed: FloatArray, used: FloatArray) -> FloatArray:
        """Return the least cost of days and hours of a period [M], over all corners."""
        rows = [r for r, own in enumerate(self.limits) if own.period == period and self._helps(own)]
        own = [self.limits[r] for r in rows]
        lacks = used[:, rows] - np.array([limit.amount for limit in own])
        missing = np.zeros(len(placed))
        for p, work in enumerate(self.works):
            if work.period == period:
                missing = np.maximum(missing, placed[:, p] * work.missing)
        per_day = np.array([limit.per_day for limit in own])
        part = np.array([limit.part for limit in own])
        most = (self.most_days[period], self.most_hours[period])
        price = (self.day_cost[period], self.hour_cost[period])
        return least_relief(lacks, (per_day, part), missing, most, price)

    @cached_property
    def choices(self) -> Choices:
        """Return the case as the tables that the program reads."""
        return _choices(self)


def _matrix(rows: list[dict[int, float]], width: int) -> FloatArray:
    found = np.zeros((len(rows), width))
    for number, own in enumerate(rows):
        for column, value in own.items():
            found[number, column] = value
    return found


def least_relief(
    lacks: FloatArray,
    helps: tuple[FloatArray, FloatArray],
    missing: FloatArray,
    most: tuple[float, float],
    price: tuple[float, float],
) -> FloatArray:
    """Return the least price of days and hours with lacks <= per_day days + part hours [M].

    helps, most and price are of days and of hours. A linear program in two variables has its least
    at a corner: all crossings of two of its lines.
    """
    (per_day, part), (most_days, most_hours), (day_cost, hour_cost) = helps, most, price
    count, rows = lacks.shape
    lines = [(1.0, 0.0, missing), (1.0, 0.0, np.full(count, most_days))]
    lines += [(0.0, 1.0, np.zeros(count)), (0.0, 1.0, np.full(count, most_hours))]
    lines += [(per_day[r], part[r], lacks[:, r]) for r in range(rows)]
    best = np.full(count, np.inf)
    for first, (a, b, f) in enumerate(lines):
        for c, d, g in lines[first + 1 :]:
            det = a * d - b * c
            if abs(det) < 1e-12:
                continue
            days, hours = (f * d - b * g) / det, (a * g - c * f) / det
            keeps = (days >= missing - 1e-9) & (days <= most_days + 1e-9)
            keeps &= (hours >= -1e-9) & (hours <= most_hours + 1e-9)
            held = np.outer(days, per_day) + np.outer(hours, part)
            keeps &= (lacks <= held + 1e-9).all(axis=1)
            cost = day_cost * days + hour_cost * hours
            best = np.where(keeps, np.minimum(best, cost), best)
    return best


def _frame(rows: list[tuple[object, ...]], *columns: str) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=list(columns))


def _courses(case: Drawn) -> tuple[pd.DataFrame, pd.DataFrame]:
    courses: list[tuple[object, ...]] = []
    works: list[tuple[object, ...]] = []
    for c, own in enumerate(case.courses):
        for cost, placed in own:
            works += [(len(courses), p) for p in placed]
            courses.append((len(courses), f"c{c:02d}", 0.0, cost, cost))
    names = ("course", "component", "risk_pv_cost", "planned_pv_cost", "pv_cost")
    return _frame(courses, *names), _frame(works, "course", "placement")


def _limits(case: Drawn) -> pd.DataFrame:
    rows: list[tuple[object, ...]] = [
        (own.name, own.name, "hours", own.name, "all" if own.period is None else PERIODS[own.period],
         "all", own.amount, own.amount, own.per_day, f"t{own.period}" if own.part > 0 else "",
         own.part if own.part > 0 else 1.0)
        for own in case.limits
    ]  # fmt: skip
    return _frame(
        rows, "limit", "title", "measure", "resource", "period", "window", "amount", "base_amount",
        "extension_amount", "overtime", "overtime_share",
    )  # fmt: skip


def _choices(case: Drawn) -> Choices:
    courses, works = _courses(case)
    limit = [own.name for own in case.limits]
    opens = [s for s in case.sets if not s.is_given]
    return Choices(
        periods=_frame(
            [(o, o, d, d, m) for o, d, m in zip(PERIODS, case.day_cost, case.most_days, strict=True)],
            "period", "unit", "day_cost", "day_pv_cost", "max_extension_days"),
        placements=_frame(
            [(p, f"c{w.component:02d}", PERIODS[w.period], w.missing, 1.0)
             for p, w in enumerate(case.works)],
            "placement", "component", "period", "extension_days", "work_hours"),
        ruled_out=pd.DataFrame(), courses=courses, works=works, limits=_limits(case),
        uses=_frame([(limit[r], p, a) for p, w in enumerate(case.works) for r, a in w.uses.items()],
                    "limit", "placement", "amount"),
        access=_frame([(s.name, s.name, s.cost, s.is_given, PERIODS[s.period]) for s in case.sets],
                      "access", "access_set", "pv_cost", "is_given", "period"),
        access_members=_frame([(case.sets[s].name, p) for p, w in enumerate(case.works)
                               for s in w.access], "access", "placement"),
        access_uses=_frame([(limit[r], s.name, a) for s in opens for r, a in s.uses.items()],
                           "limit", "access", "amount"),
        overtimes=_frame([(f"t{o}", PERIODS[o], "crew", case.most_hours[o], case.hour_cost[o])
                          for o in range(len(PERIODS)) if case.most_hours[o] > 0],
                         "overtime", "period", "resource", "most_hours", "pv_cost_per_hour"),
        links=_frame([(f"l{i}", "needs", most) for i, (_, most) in enumerate(case.links)],
                     "link", "rule", "most"),
        link_terms=_frame([(f"l{i}", p, f) for i, (terms, _) in enumerate(case.links)
                           for p, f in terms.items()], "link", "placement", "factor"),
        shared_pv_cost=case.constant,
    )  # fmt: skip
