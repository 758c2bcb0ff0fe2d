"""What each pin costs: what taking it out would save while all other works stand."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.choice import Choices, FloatArray, IntArray
from bundler.courses.build import Courses
from bundler.courses.described import described
from bundler.courses.pins import forbidden, hits
from bundler.courses.unpinned import Unpinned, unpinned
from bundler.explain.texts import course_texts
from bundler.limits.build import build_limits
from bundler.plan.chosen import Chosen
from bundler.standing.left import Standing, left, standing
from bundler.standing.settle import by_component
from bundler.standing.site import site_of
from bundler.tables import rows

NAMES = (
    "component", "action", "outage", "rule", "who", "why", "cost_pv_cost", "instead", "note",
)  # fmt: skip
KEY = ["component", "action", "period"]
#: a saving below this share of what the course costs is none; far above rounding
LEAST_SHARE = 1e-9
ALONE = "while all others stand; a new plan without it can save more"
SAME = "the same"


@dataclass(frozen=True)
class _Whole:
    """The plan beside what its pinned components could do without each pin.

    choices : the chosen courses first, then those without the first pin, the second ...; own
        holds the numbers of these, one array a pin.
    """

    choices: Choices
    own: list[IntArray]


def _placed(choices: Choices, courses: Courses, found: list[Unpinned]) -> tuple[pd.DataFrame, ...]:
    """Return all placements and payments: those of the plan's choices, then those without pins.

    Placements are numbered anew; `old` is their number in the table they come from, `source` that
    table: 0 the choices, then the pins in order.
    """
    tables = [choices.placements, *(each.placements for each in found)]
    paid = [courses.payments, *(each.payments for each in found)]
    numbered = [
        table.assign(source=number, old=table["placement"]) for number, table in enumerate(tables)
    ]
    every = pd.concat(numbered, ignore_index=True)
    first = every.drop_duplicates(KEY).reset_index(drop=True)
    first["placement"] = np.arange(len(first), dtype=np.int64)
    every = every[[*KEY, "source", "old"]].merge(first[[*KEY, "placement"]], on=KEY)
    payments = pd.concat(
        [table.assign(source=number) for number, table in enumerate(paid)], ignore_index=True
    ).rename(columns={"placement": "old"})
    payments = payments.merge(first[["source", "old", "placement"]], on=["source", "old"])
    return first.drop(columns=["source", "old"]), payments.drop(columns=["source", "old"]), every


def _courses(
    choices: Choices, picked: Chosen, found: list[Unpinned], placed: pd.DataFrame
) -> tuple[pd.DataFrame, pd.DataFrame, list[IntArray]]:
    """Return courses and works: the chosen ones, then those without each pin, with their numbers.

    `placed` tells the new number of each placement by source and old number.
    """
    chosen = choices.courses[choices.courses["course"].isin(picked.courses["course"])]
    works = choices.works[choices.works["course"].isin(chosen["course"])]
    steps = works.groupby("course")["placement"].agg(list)
    chosen = chosen.assign(steps=chosen["course"].map(steps))
    tables = [chosen, *(each.courses for each in found)]
    numbered = [table.assign(source=number) for number, table in enumerate(tables)]
    courses = pd.concat(numbered, ignore_index=True)
    courses["course"] = np.arange(len(courses), dtype=np.int64)
    flat = courses[["course", "source", "steps"]].explode("steps").rename(columns={"steps": "old"})
    held = flat.dropna(subset=["old"]).astype({"old": "int64"})
    held = held.merge(placed[["source", "old", "placement"]], on=["source", "old"])
    own = [
        courses.loc[courses["source"] == number, "course"].to_numpy(dtype=np.int64)
        for number in range(1, len(tables))
    ]
    return courses.drop(columns=["source", "steps"]), held[["course", "placement"]], own


def _whole(
    case: Case, choices: Choices, courses: Courses, picked: Chosen, found: list[Unpinned]
) -> _Whole:
    """Return the plan and the courses without pins in one set of choices, with all that binds."""
    placements, payments, numbers = _placed(choices, courses, found)
    table, works, own = _courses(choices, picked, found, numbers)
    bound = build_limits(case, placements, payments, courses.fits, choices.periods)
    both = replace(
        choices,
        placements=placements,
        courses=table,
        works=works,
        limits=bound.rows.limits,
        uses=bound.rows.uses,
        access=bound.access,
        access_members=bound.access_members,
        access_uses=bound.rows.access_uses,
        overtimes=bound.overtimes,
        links=bound.links,
        link_terms=bound.link_terms,
        tail=None,
    )
    return _Whole(both, own)


def _keeps(pin: Any, whole: Choices, courses: IntArray) -> np.ndarray:
    """Return which courses of its component keep a pin."""
    held = whole.works[whole.works["course"].isin(courses)]
    placed = whole.placements.set_index("placement").loc[held["placement"]]
    hit = hits(pin, placed) if pin.rule == "in" else forbidden(pin, placed)
    named = np.isin(courses, held.loc[hit, "course"])
    result: np.ndarray = named if pin.rule == "in" else ~named
    return result


def _told(pin: Any, total: FloatArray, keeps: np.ndarray, words: list[str]) -> dict[str, Any]:
    """Return what one pin costs; the first of `total` is the plan's course, the others without.

    `keeps` tells which keep the pin all the same.
    """
    now, best = float(total[keeps].min()), 1 + int(total[1:].argmin())
    saving = now - float(total[best])
    row = {name: getattr(pin, name) for name in NAMES[:6]}
    if saving > LEAST_SHARE * abs(now):
        return row | {"cost_pv_cost": saving, "instead": words[best], "note": ALONE}
    if -saving > LEAST_SHARE * abs(now):
        more = f"without it the plan costs {-saving:,.0f} more: the work is lawful by this pin only"
        return row | {"cost_pv_cost": 0.0, "instead": words[best], "note": more}
    return row | {"cost_pv_cost": 0.0, "instead": SAME, "note": "the plan does the same without it"}


def _price(
    pin: Any, state: Standing, whole: Choices, own: IntArray, texts: pd.Series
) -> dict[str, Any]:
    """Return what one pin costs; `own` are the courses of its component without it."""
    courses = np.append(state.course[pin.component], own)
    cost = whole.courses["pv_cost"].to_numpy(dtype=float)[courses]
    total = left(state, pin.component, courses).shared_pv_cost + cost
    return _told(pin, total, _keeps(pin, whole, courses), texts.reindex(courses).tolist())


def pin_costs(case: Case, choices: Choices, courses: Courses, picked: Chosen) -> pd.DataFrame:
    """Return what each pin costs in present value, one row a pin.

    cost_pv_cost is what taking it out would save at the lives assumed while all other pins and the
    works of all other components stand: the cheapest course that keeps it, less the cheapest one
    without it that still fits. Never negative, and never more than a new plan without it saves.
    instead is that course in words. What conditions, technical limits, dates or parts bar is not
    offered.
    """
    parts = described(case).set_index("component", drop=False)
    able, told = [], []
    for pin in rows(case["pins"]):
        found = unpinned(case, courses.costing, parts.loc[pin.component], pin)
        if found.stuck:
            row = {name: getattr(pin, name) for name in NAMES[:6]}
            told.append(row | {"cost_pv_cost": 0.0, "instead": "", "note": found.stuck})
        else:
            able.append((pin, found))
    if able:
        whole = _whole(case, choices, courses, picked, [found for _, found in able])
        now = by_component(whole.choices, tuple(range(len(picked.courses))))
        state = standing(site_of(whole.choices), now)
        texts = course_texts(whole.choices)
        told += [
            _price(pin, state, whole.choices, own, texts)
            for (pin, _), own in zip(able, whole.own, strict=True)
        ]
    table = pd.DataFrame(told, columns=list(NAMES)).astype({"cost_pv_cost": "float64"})
    return table.round({"cost_pv_cost": 1}).sort_values(list(NAMES[:3]), ignore_index=True)
