"""Placements of an invented station, and every course of at most two of them with its cost."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import gamma, gammainc

from bundler.choice import FloatArray, IntArray
from tests.benchmarks.station_plant import (
    ACTIONS,
    AGE_LEFT,
    COST_RATIO,
    HORIZON_YEARS,
    HOURS_RATIO,
    OUTAGES,
    REAL_RATE,
    YEAR_DAYS,
    Fleet,
    Plant,
)  # fmt: skip

SLOTS = 3


@dataclass(frozen=True)
class Placed:
    """Placements [P] by component, then outage, then slot (0, 1, 2: its kind of work).

    number [N, 10, 3] is the placement there, -1 for none; outage is numbered over all units;
    cost in real money [1,000 $].
    """

    number: IntArray
    component: IntArray
    outage: IntArray
    slot: IntArray
    window: IntArray
    cost: FloatArray
    long_days: FloatArray


@dataclass(frozen=True)
class Followed:
    """Courses [Q] by component: their placements (-1: none), risk and planned cost in pv."""

    component: IntArray
    first: IntArray
    second: IntArray
    risk_pv_cost: FloatArray
    planned_pv_cost: FloatArray

    @property
    def pv_cost(self) -> FloatArray:
        return self.risk_pv_cost + self.planned_pv_cost

    def starts(self) -> IntArray:
        """Return the first course of each component."""
        return np.flatnonzero(np.r_[True, self.component[1:] != self.component[:-1]])

    def best(self, pv_cost: FloatArray) -> IntArray:
        """Return the cheapest course of each component, the first of equals."""
        starts = self.starts()
        counts = np.diff(np.r_[starts, len(pv_cost)])
        least = np.repeat(np.minimum.reduceat(pv_cost, starts), counts)
        at = np.flatnonzero(pv_cost == least)
        return at[np.r_[True, self.component[at][1:] != self.component[at][:-1]]]


def placed(parts: Fleet, site: Plant) -> Placed:
    """Return 20 to 24 placements a component: two kinds of work in each outage, a third in some."""
    able = np.ones((parts.count, OUTAGES, SLOTS), dtype=bool)
    able[:, :, 2] = parts.third
    component, own, slot = np.nonzero(able)
    number = np.full(able.shape, -1, dtype=np.int64)
    number[able] = np.arange(len(component))
    outage = parts.unit[component] * OUTAGES + own
    window = np.minimum(parts.window[component, slot], site.windows_count[outage] - 1)
    is_short = site.end_days[outage] - site.start_days[outage] < 100
    return Placed(
        number, component, outage, slot, window,
        np.round(parts.work_cost[component] * COST_RATIO[slot], 1),
        np.where(is_short, parts.long_days[component, slot], 0.0),
    )  # fmt: skip


def _patterns() -> IntArray:
    """Return nothing, one work, or two with an outage between them, as places in 10 x 3 [n, 2]."""
    places = np.arange(OUTAGES * SLOTS)
    first, second = np.meshgrid(places, places, indexing="ij")
    apart = second // SLOTS - first // SLOTS >= 2
    pairs = np.stack([first[apart], second[apart]], axis=1)
    none = np.full_like(places, -1)
    return np.concatenate([[[-1, -1]], np.stack([places, none], axis=1), pairs])


class _Life:
    """Discounted failures of the courses' components: a Weibull hazard, repaired as bad as old."""

    def __init__(self, parts: Fleet, component: IntArray) -> None:
        self.shape, scale = parts.shape[component], parts.scale_years[component]
        self.height = self.shape * gamma(self.shape) / (REAL_RATE * scale) ** self.shape

    def _grown(self, age: FloatArray) -> FloatArray:
        """Return the integral of hazard(s) exp(-rate s) from 0 to an age: an incomplete gamma."""
        return self.height * gammainc(self.shape, REAL_RATE * age)

    def failures(self, begin: FloatArray, end: FloatArray, age: FloatArray) -> FloatArray:
        """Return discounted failures from begin to end [years] at an age at begin."""
        grown = self._grown(age + end - begin) - self._grown(age)
        return np.exp(REAL_RATE * (age - begin)) * grown


def _risk(parts: Fleet, site: Plant, at: Placed, component: IntArray, works: list[IntArray]):
    """Return what failures cost over the horizon; a work leaves a share of the age."""
    life, age = _Life(parts, component), parts.age_years[component]
    begin, total = np.zeros(len(component)), np.zeros(len(component))
    for work in works:
        none = work < 0
        end = np.where(none, HORIZON_YEARS, site.end_days[at.outage[work]] / YEAR_DAYS)
        total += life.failures(begin, end, age)
        age = (age + end - begin) * np.where(none, 1.0, AGE_LEFT[at.slot[work]])
        begin = end
    total += life.failures(begin, np.full(len(component), HORIZON_YEARS), age)
    return parts.loss_cost[component] * total


def followed(parts: Fleet, site: Plant, at: Placed) -> Followed:
    """Return every course; those of components that must be worked on do not do nothing."""
    patterns = _patterns()
    number = np.c_[at.number.reshape(parts.count, -1), np.full(parts.count, -1)]
    able = (number[:, patterns] >= 0) | (patterns < 0)
    able = able.all(axis=2)
    able[parts.must, 0] = False
    component, pattern = np.nonzero(able)
    first, second = (number[component, patterns[pattern, k]] for k in (0, 1))
    paid = np.r_[at.cost * site.worth()[at.outage], 0.0]
    risk = _risk(parts, site, at, component, [first, second])
    return Followed(component, first, second, risk, paid[first] + paid[second])


def courses_table(parts: Fleet, found: Followed) -> pd.DataFrame:
    """Return the table of courses."""
    return pd.DataFrame(
        {
            "course": np.arange(len(found.component)),
            "component": pd.array(parts.names()[found.component], dtype="str"),
            "risk_pv_cost": found.risk_pv_cost,
            "planned_pv_cost": found.planned_pv_cost,
            "pv_cost": found.pv_cost,
            "is_lean": np.ones(len(found.component), dtype=bool),
        }
    )


def works_table(found: Followed) -> pd.DataFrame:
    """Return the placements of each course."""
    both = np.stack([found.first, found.second], axis=1)
    course, place = np.nonzero(both >= 0)
    return pd.DataFrame({"course": course, "placement": both[course, place]})


def placements_table(parts: Fleet, site: Plant, at: Placed) -> pd.DataFrame:
    """Return the table of placements."""
    start, end = site.start_days[at.outage], site.end_days[at.outage]
    hours = parts.hours.sum(axis=1)[at.component] * HOURS_RATIO[at.slot]
    return pd.DataFrame(
        {
            "placement": np.arange(len(at.component)),
            "component": pd.array(parts.names()[at.component], dtype="str"),
            "action": pd.array(ACTIONS[at.slot], dtype="str"),
            "period": pd.array(site.names()[at.outage], dtype="str"),
            "unit": pd.array(
                np.char.mod("u%d", parts.unit + 1).astype(object)[at.component], dtype="str"
            ),
            "start_days": start,
            "end_days": end,
            "days": end - start,
            "effect_days": end,
            "extension_days": at.long_days,
            "planned_pv_cost": at.cost * site.worth()[at.outage],
            "work_hours": hours,
        }
    )
