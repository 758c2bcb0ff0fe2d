"""A plan with itself around every component: its works, what they mean for others, its cost."""

from dataclasses import replace

import pandas as pd

from bundler.case import Case
from bundler.choice import Choices
from bundler.compose import choices_of
from bundler.courses.build import Courses
from bundler.recost import recosted
from bundler.shared.around import around
from bundler.shared.shared import Shared
from bundler.solve.answer import Known, Solved
from bundler.standing.settle import Settled
from bundler.standing.whole import holds, same_plan


def works_of(choices: Choices, courses: tuple[int, ...]) -> pd.DataFrame:
    """Return the placed works of a plan."""
    held = choices.works.loc[choices.works["course"].isin(courses), "placement"]
    return choices.placements[choices.placements["placement"].isin(held)]


def keys(works: pd.DataFrame) -> frozenset[tuple[str, str, str]]:
    """Return each work as (component, action, period)."""
    names = ["component", "action", "period"]
    return frozenset(works[names].itertuples(index=False, name=None))


def around_plan(
    case: Case, shared: Shared, choices: Choices, courses: Courses, plan: tuple[int, ...]
) -> tuple[Choices, Courses, tuple[int, ...] | None]:
    """Return the choices with a plan around every component, and the plan's courses in them.

    None where the plan does not hold in them. Where as much is learned as before, only the
    courses of components that share a loss are costed afresh.
    """
    works = works_of(choices, plan)
    there = around(case, shared, courses.fits, works)
    if there.learned == courses.costing.around.learned:
        if not shared.members:
            return choices, courses, plan
        parts = pd.DataFrame([shared.parts[name] for name in shared.members])
        return (*recosted(choices, courses, parts, there), plan)
    choices, courses = choices_of(case, around=there)
    again = same_plan(choices, keys(works))
    return choices, courses, again if holds(choices, again) else None


def as_plan(plan: Solved, found: Settled) -> Solved:
    """Return a plan with the courses and the cost of what it has become; bound and prices stay."""
    return replace(
        plan, objective_pv_cost=found.pv_cost, courses=found.courses, access=found.access,
        bound_pv_cost=min(plan.bound_pv_cost, found.pv_cost),
        extension_days=found.extension_days, overtime_hours=found.overtime_hours,
    )  # fmt: skip


def known_of(plan: Solved) -> Known:
    """Return a plan as one that a search has to beat."""
    return Known(plan.courses, plan.objective_pv_cost, plan.extension_days, plan.overtime_hours)
