"""Small sets of choices made by hand or by chance, for tests of the program and the search."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import product

import numpy as np
import pandas as pd

from bundler.choice import Choices, Tail


@dataclass
class Small:
    """A small problem in plain lists; one placement a course unless it is the empty course.

    works : for each component a list of (cost, period, uses by limit, access or "", missing days).
    idle_costs : cost of the empty course of each component, None where it is not allowed.
    """

    idle_costs: Sequence[float | None]
    works: Sequence[Sequence[tuple[float, str, dict[str, float], str, float]]]
    limits: dict[str, float] = field(default_factory=dict)
    per_day: dict[str, float] = field(default_factory=dict)
    access: dict[str, tuple[float, dict[str, float]]] = field(default_factory=dict)
    day_costs: dict[str, float] = field(default_factory=lambda: {"O": 1e9})
    most_days: float = 0.0
    links: Sequence[tuple[list[tuple[int, int, float]], float]] = ()
    tail: Tail | None = None

    def placements(self) -> list[tuple[int, int]]:
        return [(c, w) for c, own in enumerate(self.works) for w in range(len(own))]


def _frame(rows: list[tuple[object, ...]], *columns: str) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=list(columns))


def choices(small: Small) -> Choices:
    """Return the small problem as the tables that the program reads."""
    number = {pair: i for i, pair in enumerate(small.placements())}
    placed, uses, members = [], [], []
    courses, works = [], []
    for c, own in enumerate(small.works):
        name = f"c{c:02d}"
        if small.idle_costs[c] is not None:
            courses.append((len(courses), name, small.idle_costs[c], 0.0, small.idle_costs[c]))
        for w, (cost, period, used, access, missing) in enumerate(own):
            p = number[c, w]
            placed.append((p, name, period, missing, 1.0))
            uses += [(limit, p, amount) for limit, amount in used.items()]
            if access:
                members.append((access, p))
            works.append((len(courses), p))
            courses.append((len(courses), name, 0.0, cost, cost))
    limits = [
        (name, name, "hours", name, "O", "all", amount, 0.0, small.per_day.get(name, 0.0), "")
        for name, amount in small.limits.items()
    ]
    periods = [(o, o, cost, cost, small.most_days) for o, cost in small.day_costs.items()]
    sets = [(name, name, cost, False, "O") for name, (cost, _) in small.access.items()]
    opened = [(r, s, a) for s, (_, used) in small.access.items() for r, a in used.items()]
    links = [(f"l{i}", "needs", most) for i, (_, most) in enumerate(small.links)]
    terms = [
        (f"l{i}", number[c, w], f) for i, (own, _) in enumerate(small.links) for c, w, f in own
    ]
    return Choices(
        periods=_frame(periods, "period", "unit", "day_cost", "day_pv_cost", "max_extension_days"),
        placements=_frame(placed, "placement", "component", "period", "extension_days", "work_hours"),
        ruled_out=pd.DataFrame(),
        courses=_frame(courses, "course", "component", "risk_pv_cost", "planned_pv_cost", "pv_cost"),
        works=_frame(works, "course", "placement"),
        limits=_frame(limits, "limit", "title", "measure", "resource", "period", "window", "amount",
                      "base_amount", "extension_amount", "overtime").assign(overtime_share=1.0),
        uses=_frame(uses, "limit", "placement", "amount"),
        access=_frame(sets, "access", "access_set", "pv_cost", "is_given", "period").astype({"is_given": bool}),
        access_members=_frame(members, "access", "placement"),
        access_uses=_frame(opened, "limit", "access", "amount"),
        overtimes=_frame([], "overtime", "period", "resource", "most_hours", "pv_cost_per_hour"),
        links=_frame(links, "link", "rule", "most"),
        link_terms=_frame(terms, "link", "placement", "factor"),
        tail=small.tail,
    )  # fmt: skip


def _days(small: Small, chosen: list[tuple[int, int]], period: str) -> float:
    """Return the cheapest extension of a period that the chosen works need."""
    missing = [small.works[c][w][4] for c, w in chosen if small.works[c][w][1] == period]
    return max(missing, default=0.0)


def _extra_days(small: Small, chosen: list[tuple[int, int]], days: float) -> float:
    """Return the days of outage O that the limits ask for; infinite if days do not help."""
    opened = {small.works[c][w][3] for c, w in chosen} - {""}
    for name, amount in small.limits.items():
        used = sum(small.works[c][w][2].get(name, 0.0) for c, w in chosen)
        used += sum(small.access[s][1].get(name, 0.0) for s in opened)
        over = used - amount - small.per_day.get(name, 0.0) * days
        if over > 1e-9:
            days += over / small.per_day[name] if small.per_day.get(name) else np.inf
    return days


def cost_of(small: Small, picks: Sequence[int]) -> float:
    """Return the cost of one choice for each component (-1: none); infinite if it breaks a row."""
    chosen = [(c, w) for c, w in enumerate(picks) if w >= 0]
    costs = [small.idle_costs[c] if w < 0 else small.works[c][w][0] for c, w in enumerate(picks)]
    if any(cost is None for cost in costs):
        return np.inf
    for own, most in small.links:
        if sum(f for c, w, f in own if picks[c] == w) > most + 1e-9:
            return np.inf
    days = {period: _days(small, chosen, period) for period in small.day_costs}
    days["O"] = _extra_days(small, chosen, days["O"])
    if max(days.values(), default=0.0) > small.most_days + 1e-9:
        return np.inf
    opened = {small.works[c][w][3] for c, w in chosen} - {""}
    total = sum(cost for cost in costs if cost is not None)
    total += sum(small.access[name][0] for name in opened)
    return total + sum(small.day_costs[period] * count for period, count in days.items())


def exhaustive(small: Small) -> float:
    """Return the least cost over every combination of choices (infinite if none is allowed)."""
    ranges = [range(-1, len(own)) for own in small.works]
    return min(cost_of(small, picks) for picks in product(*ranges))
