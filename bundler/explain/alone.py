"""One component of a plan while all others stand: what each decision costs at any life or age."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.choice import Choices, FloatArray, IntArray
from bundler.courses.costing import Costing
from bundler.courses.described import described
from bundler.courses.factors import along, risk_of_seen
from bundler.courses.lives import at_life, sure_curve
from bundler.courses.risk import course_risk, stretch_risk
from bundler.courses.seen import Seen, all_seen
from bundler.courses.stretches import stretches
from bundler.explain.decision import Decisions, decisions
from bundler.plan.chosen import Chosen
from bundler.standing.left import Standing, left, move, standing
from bundler.standing.room import Room, make_room
from bundler.standing.settle import by_component, courses_by_component
from bundler.standing.site import site_of

#: lives for which room is made in the plan lie within this ratio of the assumed; our choice
NEAR_RATIO = 1.31
#: a course that costs less more than this share of the plan's is no dearer
TIE_SHARE = 1e-6
#: decisions of one component for which room is looked for; our choice
ROOMS_COUNT = 6
#: life ratios at which every course is costed; beyond them the last one counts; our choice
NODES = np.geomspace(0.25, 4.0, 21)


@dataclass(frozen=True)
class Alone:
    """The courses of one component that the rest of the plan leaves possible.

    rows [n] their places in `choices.courses`; steps their works; fixed_pv_cost [n] all but risk;
    risks [n, K] at `NODES`; known_risks [n, K] the same if the life were known to be there (other
    than `risks` where a reading's own uncertainty is in the curve); code [n] the decision of each,
    words by number; now that of the plan; partners the component that moves to make room, by
    decision; labels the decision of each of its courses, also of those that do not fit, by their
    number.
    """

    part: pd.Series
    view: Seen
    rows: IntArray
    steps: IntArray
    fixed_pv_cost: FloatArray
    risks: FloatArray
    known_risks: FloatArray
    code: IntArray
    words: list[str]
    now: int
    partners: dict[int, str]
    labels: dict[int, str]

    def at_lives(self, ratios: FloatArray) -> FloatArray:
        """Return the cost of each course at life ratios [n, m]; within about 0.1 %."""
        held = np.clip(ratios, NODES[0], NODES[-1])
        return along(self.risks, NODES, held) + self.fixed_pv_cost[:, None]

    def at_known_lives(self, ratios: FloatArray) -> FloatArray:
        """Return the cost of each course if its life were known to be at these ratios [n, m]."""
        held = np.clip(ratios, NODES[0], NODES[-1])
        return along(self.known_risks, NODES, held) + self.fixed_pv_cost[:, None]

    def at_life(self, ratio: float, some: IntArray) -> FloatArray:
        """Return the exact cost of some courses with all lives times `ratio`."""
        exposure, works = at_life(self.view.exposure, self.view.works, ratio)
        return course_risk(exposure, works, self.steps[some]) + self.fixed_pv_cost[some]

    def at_age(self, age_years: float, some: IntArray) -> FloatArray:
        """Return the exact cost of some courses if it is this old at the planning date."""
        exposure = replace(self.view.exposure, age_years=age_years)
        return course_risk(exposure, self.view.works, self.steps[some]) + self.fixed_pv_cost[some]


def _known_risks(case: Case, view: Seen, steps: IntArray, risks: FloatArray) -> FloatArray:
    """Return the risks if the life were known: by the sure curve where a reading has one."""
    sure = sure_curve(case, view.part)
    if sure is None:
        return risks
    exposure = replace(view.exposure, curve=sure)
    cut = stretches(exposure, view.works, steps)
    found = [stretch_risk(*at_life(exposure, view.works, float(node)), cut) for node in NODES]
    return np.column_stack(found)


@dataclass(frozen=True)
class _Plan:
    """A plan as it stands, with what making room in it takes."""

    state: Standing
    own: dict[str, IntArray]
    cost: FloatArray
    planned: FloatArray
    alike: dict[str, frozenset[str]]


def _alike(case: Case) -> dict[str, frozenset[str]]:
    """Return for each component those of its family and unit."""
    parts = case["components"]
    groups = parts.groupby(["unit", "family"])["component"].agg(frozenset)
    keys = zip(parts["unit"], parts["family"], strict=True)
    return dict(zip(parts["component"], (groups[key] for key in keys), strict=True))


def _plan(case: Case, choices: Choices, picked: Chosen) -> _Plan:
    chosen = by_component(choices, tuple(picked.courses["course"]))
    return _Plan(
        standing(site_of(choices), chosen),
        courses_by_component(choices),
        choices.courses["pv_cost"].to_numpy(dtype=float),
        choices.courses["planned_pv_cost"].to_numpy(dtype=float),
        _alike(case),
    )


def _wanted(alone: FloatArray, shared: FloatArray, code: IntArray) -> IntArray:
    """Return the courses to make room for: one a decision that has none that fits.

    Only where it could be the cheapest at a life near the assumed one; the cheapest there.

    Parameters
    ----------
    alone : [n, m] risk and work of each course at lives near the assumed one.
    """
    fits = np.isfinite(shared)
    bare = alone + np.where(fits, shared, shared[fits].min())[:, None]
    gain = (bare[fits].min(axis=0) - bare).max(axis=1)
    stopped = [number for number in np.unique(code) if not fits[code == number].any()]
    best = [
        int(rows[int(gain[rows].argmax())])
        for rows in (np.flatnonzero(code == number) for number in stopped)
    ]
    able = sorted((row for row in best if gain[row] > 0), key=lambda row: -gain[row])
    return np.array(able[:ROOMS_COUNT], dtype=np.int64)


def _roomy(
    plan: _Plan, name: str, alone: FloatArray, code: IntArray
) -> tuple[FloatArray, dict[int, str]]:
    """Return the shared cost of each course, with room made for some, and who moves by decision.

    A room that would make the plan cheaper at once is left out: that is no matter of the life,
    but of the plan's gap; and so is one that a like component makes, which only swaps the two.
    """
    courses, alike = plan.own[name], plan.alike[name]
    shared = left(plan.state, name, courses).shared_pv_cost
    place = int(np.flatnonzero(courses == plan.state.course[name])[0])
    now, moved = float(shared[place]), dict[int, str]()
    for row in _wanted(alone, shared, code):
        course = int(courses[row])
        found = make_room(plan.state, name, course, plan.own, plan.cost, alike)
        if found is None:
            continue
        own, beside = np.flatnonzero(code == code[row]), _beside(plan, name, found)
        there = now + found.extra_pv_cost + beside[own] - beside[row]
        here = now + plan.cost[courses[place]]
        if (there + plan.cost[courses[own]]).min() > here + TIE_SHARE * abs(here):
            shared[own] = there
            moved[int(code[row])] = found.moved
    return shared, moved


def _beside(plan: _Plan, name: str, room: Room) -> FloatArray:
    """Return the shared cost of each course of a component once another has made room."""
    was = plan.state.course[room.moved]
    move(plan.state, room.moved, room.course)
    found = left(plan.state, name, plan.own[name]).shared_pv_cost
    move(plan.state, room.moved, was)
    return found


def all_alone(
    case: Case, choices: Choices, costing: Costing, picked: Chosen, told: Decisions | None = None
) -> Iterator[Alone]:
    """Yield every component that has more than one decision left in a plan.

    The plan has to be settled: no component alone has a cheaper course left in it. For a decision
    that does not fit, the cheapest room is made by moving one other component.
    """
    told = told or decisions(case, choices)
    plan = _plan(case, choices, picked)
    views = list(all_seen(costing, choices, described(case)))
    risks = risk_of_seen(views, len(choices.courses), NODES)
    near = np.abs(np.log(NODES)) <= np.log(NEAR_RATIO) + 1e-9
    for rows, view in views:
        name = str(view.part["component"])
        alone = risks[rows][:, near] + plan.planned[rows][:, None]
        every, names = told.codes(rows)
        shared, moved = _roomy(plan, name, alone, every)
        able = np.flatnonzero(np.isfinite(shared))
        code, words = told.codes(rows[able])
        if len(words) < 2:
            continue
        now = int(code[plan.own[name][able] == plan.state.course[name]][0])
        partners = {words.index(names[old]): who for old, who in moved.items()}
        own, steps = risks[rows[able]], view.steps[able]
        yield Alone(
            view.part, view, rows[able], steps, shared[able] + plan.planned[rows[able]], own,
            _known_risks(case, view, steps, own), code, words, now, partners,
            {int(q): names[old] for q, old in zip(plan.own[name], every, strict=True)},
        )  # fmt: skip
