"""Everything about one component that a person asks for: life, courses, prices."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.calendar import periods
from bundler.case import Case
from bundler.choice import Choices
from bundler.compose import choices_of
from bundler.courses.around import Around
from bundler.courses.described import described
from bundler.courses.lives import renewed_curve
from bundler.courses.placed import place
from bundler.explain.texts import course_texts, first_works, paid_for_days
from bundler.life.curves import LifeCurve
from bundler.life.derived import failure_chance
from bundler.risk.replacement import best_overhaul_age, best_replacement_age
from bundler.shared.around import around, first_around
from bundler.shared.shared import shared_of


@dataclass(frozen=True)
class ComponentView:
    """One component: described row, cost of a failure, courses, and what is ruled out.

    best_age_years is the long-run best age for its cheapest full renewal if outages were free
    and always there; infinite where none is, NaN where no work renews it.
    """

    part: pd.Series
    failure_cost: float
    chance_5_years: float
    best_age_years: float
    courses: pd.DataFrame
    ruled_out: pd.DataFrame


def _paid(choices: Choices, prices: pd.DataFrame | None) -> pd.Series:
    """Return what each placement pays for limits at the prices of a finished plan, if any."""
    if prices is None or prices.empty:
        return pd.Series(dtype="float64")
    price = prices.set_index("limit")["saved_pv_cost_per_unit"]
    uses = choices.uses[choices.uses["limit"].isin(price.index)]
    return (uses["amount"] * uses["limit"].map(price)).groupby(uses["placement"]).sum()


def _paid_by_course(choices: Choices, name: str, paid: pd.Series) -> pd.Series:
    """Return what each course of a component pays in all, in the order of its courses."""
    own = choices.courses.loc[choices.courses["component"] == name, "course"]
    held = choices.works[choices.works["course"].isin(own)]
    sums = held["placement"].map(paid).fillna(0.0).groupby(held["course"]).sum()
    return own.map(sums).fillna(0.0)


def _listed(choices: Choices, name: str, days: pd.Series, limits: pd.Series) -> pd.DataFrame:
    """Return the cheapest course for each first work, in words, cheapest by itself first.

    own_pv_cost holds added days that it alone would need; priced_pv_cost also what it would pay
    for limits at a plan's prices.
    """
    own = choices.courses[choices.courses["component"] == name].copy()
    own["days_pv_cost"] = _paid_by_course(choices, name, days)
    own["own_pv_cost"] = own["pv_cost"] + own["days_pv_cost"]
    own["priced_pv_cost"] = own["own_pv_cost"] + _paid_by_course(choices, name, limits)
    own["text"] = own["course"].map(course_texts(choices))
    own["first"] = own["course"].map(first_works(choices))
    own = own.sort_values(["own_pv_cost", "course"]).drop_duplicates("first")
    return own.reset_index(drop=True)


def _best_age(case: Case, part: pd.Series, curve: LifeCurve, failure_cost: float) -> float:
    """Return the long-run best age for the cheapest work that renews a component [years]."""
    actions = case["actions"]
    own = actions[(actions["family"] == part["family"]) & (actions["restoration_share"] == 1)]
    if own.empty or failure_cost <= 0:
        return float("nan")
    cost = float(own["cost"].min())
    if part["on_failure"] == "repair":
        return best_overhaul_age(curve, cost, failure_cost)
    return best_replacement_age(curve, cost, failure_cost + cost)


def _around(case: Case, parts: pd.DataFrame, works: pd.DataFrame | None) -> Around:
    """Return what a plan's works mean for each component; without a plan, that of no works."""
    times = periods(case)
    shared = shared_of(case, times, parts)
    if works is None:
        return first_around(shared)
    ready = place(case, times)
    names = ["component", "action", "period"]
    held = ready.placed.merge(works[names].astype(str), on=names)
    return around(case, shared, ready.fits, held)


def view_component(
    case: Case,
    name: str,
    prices: pd.DataFrame | None = None,
    works: pd.DataFrame | None = None,
) -> ComponentView:
    """Return the view of one component.

    `prices` and `works` (component, action, period) are tables of a finished plan, if there is
    one: losses that components share are those of the plan.
    """
    parts = described(case)
    choices, courses = choices_of(case, frozenset({name}), around=_around(case, parts, works))
    part = parts[parts["component"] == name].iloc[0]
    costing = courses.costing
    own_days = paid_for_days(choices, {}).set_index("placement")["paid_pv_cost"]
    exposure = costing.sight(part)
    loss = exposure.loss_cost
    out = choices.ruled_out[choices.ruled_out["component"] == name]
    on_line = loss > loss.max() / 2  # cells in which the unit is on line throughout
    failure = float(loss[on_line].mean()) if on_line.any() else 0.0
    return ComponentView(
        part,
        failure,
        float(failure_chance(exposure.curve, np.array(part["age_years"]), np.array(5.0))),
        _best_age(case, part, renewed_curve(case, part), failure),
        _listed(choices, name, own_days, _paid(choices, prices)),
        out.reset_index(drop=True),
    )
