"""The life at which a component's decision turns, at the plan's prices."""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray, IntArray
from bundler.courses import costs
from bundler.courses.build import Costing
from bundler.courses.risk import Exposure, Works, course_risk

#: life ratios looked at, a geometric ladder from half to twice the assumed life; our choice
LADDER = np.geomspace(0.5, 2.0, 81)


@dataclass(frozen=True)
class Sight:
    """All courses of one component, ready to be costed again for another life."""

    part: pd.Series
    exposure: Exposure
    works: Works
    steps: IntArray
    fixed_pv_cost: FloatArray
    first: tuple[str, ...]


def sight(costing: Costing, choices: Choices, part: pd.Series, paid: pd.Series) -> Sight:
    """Return the courses of one component; `paid` what each placement pays at the plan's prices."""
    name = part["component"]
    own = choices.placements[choices.placements["component"] == name]
    own = own.sort_values("placement").reset_index(drop=True)
    courses = choices.courses[choices.courses["component"] == name]
    held = choices.works[choices.works["course"].isin(courses["course"])]
    place = {p: i for i, p in enumerate(own["placement"])}
    groups = {q: [place[p] for p in rows] for q, rows in held.groupby("course")["placement"]}
    most = max([len(steps) for steps in groups.values()], default=1)
    steps = np.full((len(courses), most), -1, dtype=np.int64)
    for row, course in enumerate(courses["course"]):
        found = sorted(groups.get(course, []), key=lambda i: own.at[i, "effect_days"])
        steps[row, : len(found)] = found
    exposure = costing.sight(part)
    due = own["placement"].map(paid).fillna(0.0).to_numpy()
    fixed = costs.planned_cost(steps, own["planned_pv_cost"].to_numpy() + due)
    words = (own["action"] + " in " + own["period"]).to_numpy()
    first = tuple(words[row[0]] if row[0] >= 0 else "no work" for row in steps)
    return Sight(
        part, exposure, costs.works_of(part, own, exposure.grid_years), steps, fixed, first
    )


def scaled_risk(view: Sight, life_ratio: float) -> FloatArray:
    """Return the risk of each course with every life of the component times `life_ratio`."""
    exposure = replace(view.exposure, curve=costs.scaled(view.exposure.curve, life_ratio))
    curves = tuple(curve and costs.scaled(curve, life_ratio) for curve in view.works.curves)
    return course_risk(exposure, replace(view.works, curves=curves), view.steps)


def decision(view: Sight, life_ratio: float) -> str:
    """Return the first work of the cheapest course at this life."""
    total = scaled_risk(view, life_ratio) + view.fixed_pv_cost
    return view.first[int(np.argmin(total))]


def _turn(view: Sight, ratios: FloatArray, was: str) -> tuple[float, str]:
    """Return the first ratio along `ratios` at which the decision turns, and to what."""
    near = 1.0
    for far in ratios:
        other = decision(view, float(far))
        if other == was:
            near = float(far)
            continue
        for _ in range(20):
            middle = (near + float(far)) / 2
            if decision(view, middle) == was:
                near = middle
            else:
                far, other = middle, decision(view, middle)
        return float(far), other
    return float("nan"), was


def break_even(view: Sight) -> pd.DataFrame:
    """Return the nearest shorter and longer life at which the decision turns.

    Two rows at most: life_ratio (of the assumed life) and what it turns to. The other lives of
    the plan and its prices stay as they are; no row where nothing turns between half and twice
    the life.
    """
    was = decision(view, 1.0)
    rows = []
    for ratios in (LADDER[LADDER < 1][::-1], LADDER[LADDER > 1]):
        ratio, other = _turn(view, ratios, was)
        if np.isfinite(ratio):
            rows.append((round(ratio, 4), was, other))
    return pd.DataFrame(rows, columns=["life_ratio", "decision", "turns_to"])
