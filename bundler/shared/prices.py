"""The courses of components that share a loss, costed afresh while a plan is settled."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray, IntArray
from bundler.courses.costing import Costing
from bundler.courses.exposure import Exposure, with_extra
from bundler.courses.risk import Failing, failing, failing_risk
from bundler.courses.seen import all_seen
from bundler.courses.stretches import Stretches, stretches
from bundler.shared.doing import Doing
from bundler.shared.shared import Shared


@dataclass(frozen=True)
class _Member:
    """One component: the rows of its courses, and what fails in them."""

    rows: IntArray
    exposure: Exposure
    cut: Stretches
    fails: Failing


def _members(shared: Shared, choices: Choices, costing: Costing) -> dict[str, _Member]:
    parts = pd.DataFrame([shared.parts[name] for name in shared.members])
    plain = Costing(costing.case, costing.periods, costing.fitting)
    found = {}
    for rows, view in all_seen(plain, choices, parts):
        cut = stretches(view.exposure, view.works, view.steps)
        fails = failing(view.exposure, view.works, cut)
        found[str(view.part["component"])] = _Member(rows, view.exposure, cut, fails)
    return found


class SharedPrices:
    """What the courses of each member cost while the other members do as they do now.

    Courses are numbered as the rows of `choices.courses`. `plan` is what each member does.
    """

    def __init__(
        self, shared: Shared, choices: Choices, costing: Costing, courses: tuple[int, ...]
    ) -> None:
        self.shared, self.choices = shared, choices
        self.members = _members(shared, choices, costing)
        self.planned = choices.courses["planned_pv_cost"].to_numpy(dtype=float)
        self.works_of = choices.works.groupby("course")["placement"].agg(list).to_dict()
        placed = [p for course in courses for p in self.works_of.get(course, [])]
        self.plan: dict[str, Doing] = shared.plan(choices.placements.iloc[sorted(placed)])

    def _own_risk(self, component: str) -> FloatArray:
        """Return the risk of each course of a member by itself."""
        own = self.members[component]
        return failing_risk(own.exposure, own.cut, own.fails)

    def costs(self, component: str, courses: IntArray) -> FloatArray | None:
        """Return the cost of each course of a member now; None for other components."""
        if component not in self.members:
            return None
        own = self.members[component]
        exposure = with_extra(own.exposure, self.shared.extra(self.plan, component))
        risk = np.full(len(self.choices.courses), np.nan)
        risk[own.rows] = failing_risk(exposure, own.cut, own.fails)
        result: FloatArray = risk[courses] + self.planned[courses]
        return result

    def _doing(self, component: str, course: int) -> Doing:
        placed = self.choices.placements.iloc[sorted(self.works_of.get(course, []))]
        return self.shared.doing(component, placed)

    def saves(self, component: str, now: int, then: int) -> float:
        """Return what all members save in risk and work if one follows another course."""
        own = self.members[component]
        risk = dict(zip(own.rows.tolist(), self._own_risk(component), strict=True))
        saved = risk[now] + self.planned[now] - risk[then] - self.planned[then]
        other = self.plan | {component: self._doing(component, then)}
        sets = self.shared.sets_of(component)
        before = sum(each.loss_pv(self.plan) for each in sets)
        return float(saved + before - sum(each.loss_pv(other) for each in sets))

    def moved(self, component: str, course: int) -> None:
        """Take note that a member follows another course."""
        self.plan[component] = self._doing(component, course)
