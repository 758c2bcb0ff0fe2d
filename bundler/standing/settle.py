"""A plan in which no component alone has a cheaper course left; never dearer than before."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from bundler.choice import Choices, FloatArray, IntArray
from bundler.standing.left import Standing, left, move, period_relief, standing
from bundler.standing.site import Site, site_of

#: a move counts when it saves this share of the plan's cost; far above rounding
LEAST_SHARE = 1e-9
#: passes over all components; every pass that moves something makes the plan cheaper
PASSES = 20


@dataclass(frozen=True)
class Settled:
    """A plan: courses, access made, extension and overtime, its cost, and how many moved."""

    courses: tuple[int, ...]
    access: tuple[str, ...]
    extension_days: dict[str, float]
    overtime_hours: dict[str, float]
    pv_cost: float
    moves_count: int


def courses_by_component(choices: Choices) -> dict[str, IntArray]:
    """Return the numbers of the courses of each component."""
    groups = choices.courses.groupby("component")["course"]
    return {str(name): own.to_numpy(dtype=np.int64) for name, own in groups}


def by_component(choices: Choices, courses: tuple[int, ...]) -> dict[str, int]:
    """Return the chosen course of each component."""
    own = choices.courses[choices.courses["course"].isin(courses)]
    return {str(name): int(q) for name, q in zip(own["component"], own["course"], strict=True)}


class Prices(Protocol):
    """What the courses of some components cost while all others do as they do now.

    costs are None for a component whose courses cost what their table says.
    """

    def costs(self, component: str, courses: IntArray) -> FloatArray | None:
        """Return the cost of each course now."""

    def saves(self, component: str, now: int, then: int) -> float:
        """Return what all save in risk and work if it follows `then` instead of `now`."""

    def moved(self, component: str, course: int) -> None:
        """Take note that it follows another course."""


def _pass(
    state: Standing, own: dict[str, IntArray], cost: FloatArray, least: float,
    prices: Prices | None,
) -> int:  # fmt: skip
    """Let each component in turn take its cheapest course; return how many moved."""
    moved = 0
    for name, courses in own.items():
        now = int(np.flatnonzero(courses == state.course[name])[0])
        shared = left(state, name, courses).shared_pv_cost
        told = prices.costs(name, courses) if prices else None
        total = shared + (cost[courses] if told is None else told)
        best = int(np.argmin(total))
        if total[best] >= total[now] - least:
            continue
        if prices is not None and told is not None:
            saved = prices.saves(name, int(courses[now]), int(courses[best]))
            if saved + shared[now] - shared[best] <= least:
                continue
            prices.moved(name, int(courses[best]))
        move(state, name, int(courses[best]))
        moved += 1
    return moved


def _relieved(state: Standing) -> tuple[dict[str, float], dict[str, float], float]:
    """Return the days, the hours and the cost of relief of every period."""
    site = state.site
    days, hours, cost = {}, {}, 0.0
    none = np.zeros(len(state.used))
    longest = np.zeros(len(site.names))
    np.maximum.at(longest, site.period, site.missing_days * (state.placed > 0.5))
    for number, name in enumerate(site.names):
        found = period_relief(state, number, none, float(longest[number]))
        cost += found.pv_cost
        if found.days > TINY:
            days[name] = round(found.days, 6)
        for band, amount in zip(site.bands[number], found.hours, strict=True):
            if amount > TINY:
                hours[band] = round(float(amount), 6)
    return days, hours, cost


#: days and hours below this are none
TINY = 1e-6


def _told(state: Standing, cost: FloatArray, moves: int, constant: float) -> Settled:
    site: Site = state.site
    days, hours, relief_cost = _relieved(state)
    made = state.members_count > 0.5
    chosen = tuple(sorted(state.course.values()))
    total = float(cost[list(chosen)].sum()) + float(site.access_cost[made].sum()) + relief_cost
    total += constant
    access = tuple(name for name, is_made in zip(site.sets, made, strict=True) if is_made)
    return Settled(chosen, access, days, hours, total, moves)


def as_it_stands(choices: Choices, courses: tuple[int, ...]) -> Settled:
    """Return a plan as it is, with the relief it needs; its cost is infinite if none would do."""
    state = standing(site_of(choices), by_component(choices, courses))
    cost = choices.courses["pv_cost"].to_numpy(dtype=float)
    return _told(state, cost, 0, choices.shared_pv_cost)


def settle(
    choices: Choices,
    courses: tuple[int, ...],
    prices: Prices | None = None,
    passes: int = PASSES,
) -> Settled:
    """Return the plan settled: component by component takes the best course the others leave.

    With `prices` those that share a loss are costed afresh as the others move; the cost told is
    still that of the table. Deterministic: components in order of their names, until a pass moves
    nothing or after so many passes.
    """
    site = site_of(choices)
    state = standing(site, by_component(choices, courses))
    cost = choices.courses["pv_cost"].to_numpy(dtype=float)
    own, moves = courses_by_component(choices), 0
    least = LEAST_SHARE * float(np.abs(cost[list(state.course.values())]).sum())
    for _ in range(passes):
        moved = _pass(state, own, cost, least, prices)
        moves += moved
        if moved == 0:
            break
    return _told(state, cost, moves, choices.shared_pv_cost)
