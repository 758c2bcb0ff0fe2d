"""The life at which a component's decision turns, at the plan's prices."""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray, IntArray
from bundler.courses import costs
from bundler.courses.build import Costing
from bundler.courses.risk import Exposure, Works
from bundler.explain.texts import NOTHING

#: life ratios looked at, a geometric ladder from half to twice the assumed life; our choice
LADDER = np.geomspace(0.5, 2.0, 81)
#: halvings of the step in which a decision turns: to a ten-thousandth of a step
BISECTIONS = 14


@dataclass(frozen=True)
class Sight:
    """All courses of one component, ready to be costed again for another life."""

    part: pd.Series
    exposure: Exposure
    works: Works
    steps: IntArray
    fixed_pv_cost: FloatArray
    first: tuple[str, ...]


def _steps(choices: Choices, courses: pd.DataFrame, own: pd.DataFrame) -> IntArray:
    """Return the courses of one component as positions of its placements, in time order."""
    held = choices.works[choices.works["course"].isin(courses["course"])]
    place = pd.Series(np.arange(len(own)), own["placement"])
    held = held.assign(position=held["placement"].map(place)).sort_values(["course", "position"])
    row = pd.Series(np.arange(len(courses)), courses["course"])
    rank = held.groupby("course").cumcount().to_numpy()
    steps = np.full((len(courses), int(rank.max(initial=0)) + 1), -1, dtype=np.int64)
    steps[held["course"].map(row).to_numpy(dtype=np.int64), rank] = held["position"]
    return steps


def sight(costing: Costing, choices: Choices, part: pd.Series, paid: pd.Series) -> Sight:
    """Return the courses of one component; `paid` is what each placement pays for limits and days.

    The courses keep the order of `choices.courses`.
    """
    name = part["component"]
    own = choices.placements[choices.placements["component"] == name]
    own = own.sort_values(["effect_days", "placement"]).reset_index(drop=True)
    courses = choices.courses[choices.courses["component"] == name]
    steps = _steps(choices, courses, own)
    exposure = costing.sight(part)
    due = own["placement"].map(paid).fillna(0.0).to_numpy()
    fixed = costs.planned_cost(steps, own["planned_pv_cost"].to_numpy() + due)
    words = [*(own["action"].str.replace("_", " ") + " in " + own["period"]), NOTHING]
    first = tuple(words[row[0]] for row in steps)
    works = costs.works_of(part, own, exposure.grid_years)
    return Sight(part, exposure, works, steps, fixed, first)


def priced_cost(costing: Costing, view: Sight, life_ratio: float) -> FloatArray:
    """Return the cost of each course at the plan's prices with lives times `life_ratio`."""
    if life_ratio == 1.0:
        return costing.risk(view.exposure, view.works, view.steps) + view.fixed_pv_cost
    exposure = replace(view.exposure, curve=costs.scaled(view.exposure.curve, life_ratio))
    curves = tuple(curve and costs.scaled(curve, life_ratio) for curve in view.works.curves)
    works = replace(view.works, curves=curves)
    return costing.risk(exposure, works, view.steps) + view.fixed_pv_cost


def decision(costing: Costing, view: Sight, life_ratio: float) -> str:
    """Return the first work of the cheapest course at this life."""
    return view.first[int(np.argmin(priced_cost(costing, view, life_ratio)))]


def _turn(costing: Costing, view: Sight, ratios: FloatArray, was: str) -> tuple[float, str]:
    """Return the first ratio along `ratios` at which the decision turns, and to what."""
    near = 1.0
    for step in ratios:
        far = float(step)
        other = decision(costing, view, far)
        if other == was:
            near = far
            continue
        for _ in range(BISECTIONS):
            middle = (near + far) / 2
            found = decision(costing, view, middle)
            near, far, other = (middle, far, other) if found == was else (near, middle, found)
        return far, other
    return float("nan"), was


def break_even(costing: Costing, view: Sight) -> pd.DataFrame:
    """Return the nearest shorter and longer life at which the decision turns.

    Two rows at most: life_ratio (of the assumed life), decision and what it turns to. The lives
    of others and the prices of the plan stay as they are; no row where nothing turns between
    half and twice the life.
    """
    was = decision(costing, view, 1.0)
    rows = []
    for ratios in (LADDER[LADDER < 1][::-1], LADDER[LADDER > 1]):
        ratio, other = _turn(costing, view, ratios, was)
        if np.isfinite(ratio):
            rows.append((round(ratio, 4), was, other))
    return pd.DataFrame(rows, columns=["life_ratio", "decision", "turns_to"])
