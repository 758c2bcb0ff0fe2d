"""One component of a plan while all others stand: what each decision costs at any life or age."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.choice import Choices, FloatArray, IntArray
from bundler.courses.build import Costing
from bundler.courses.described import described
from bundler.courses.factors import along, risk_at_factors
from bundler.courses.lives import at_life, sure_curve
from bundler.courses.risk import course_risk, stretch_risk
from bundler.courses.seen import Seen, all_seen
from bundler.courses.stretches import stretches
from bundler.explain.decision import Decisions, decisions
from bundler.plan.chosen import Chosen
from bundler.standing.left import left, standing
from bundler.standing.settle import by_component, courses_by_component
from bundler.standing.site import site_of

#: life ratios at which every course is costed; beyond them nothing is told; our choice
NODES = np.geomspace(0.2, 5.0, 25)


@dataclass(frozen=True)
class Alone:
    """The courses of one component that the rest of the plan leaves possible.

    rows [n] their places in `choices.courses`; steps their works; fixed_pv_cost [n] all but risk;
    risks [n, K] at `NODES`; known_risks [n, K] the same if the life were known to be there (other
    than `risks` where a reading's own uncertainty is in the curve); code [n] the decision of each,
    words by number; now that of the plan; chosen the place of the plan's course among the n.
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
    chosen: int

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


def _alone(
    view: Seen, rows: IntArray, shared: FloatArray, told: Decisions, chosen: int
) -> tuple[IntArray, FloatArray, IntArray, list[str], int]:
    """Return what is possible: places, shared cost, decision numbers with words, the plan's."""
    able = np.flatnonzero(np.isfinite(shared))
    code, words = told.codes(rows[able])
    return able.astype(np.int64), shared[able], code, words, int(np.flatnonzero(able == chosen)[0])


def _known_risks(case: Case, view: Seen, steps: IntArray, risks: FloatArray) -> FloatArray:
    """Return the risks if the life were known: by the sure curve where a reading has one."""
    sure = sure_curve(case, view.part)
    if sure is None:
        return risks
    exposure = replace(view.exposure, curve=sure)
    cut = stretches(exposure, view.works, steps)
    found = [stretch_risk(*at_life(exposure, view.works, float(node)), cut) for node in NODES]
    return np.column_stack(found)


def all_alone(
    case: Case, choices: Choices, costing: Costing, picked: Chosen, told: Decisions | None = None
) -> Iterator[Alone]:
    """Yield every component that has more than one decision left in a plan.

    The plan has to be settled: no component alone has a cheaper course left in it.
    """
    told = told or decisions(case, choices)
    site = site_of(choices)
    own = by_component(choices, tuple(picked.courses["course"]))
    state, courses = standing(site, own), courses_by_component(choices)
    risks = risk_at_factors(case, choices, costing.fitting, NODES)
    planned = choices.courses["planned_pv_cost"].to_numpy(dtype=float)
    for rows, view in all_seen(costing, choices, described(case)):
        name = str(view.part["component"])
        shared = left(state, name, courses[name]).shared_pv_cost
        chosen = int(np.flatnonzero(courses[name] == own[name])[0])
        able, kept, code, words, place = _alone(view, rows, shared, told, chosen)
        if len(words) < 2:
            continue
        yield Alone(
            view.part, view, rows[able], view.steps[able], kept + planned[rows[able]],
            risks[rows[able]],
            _known_risks(case, view, view.steps[able], risks[rows[able]]), code, words,
            int(code[place]), place,
        )  # fmt: skip
