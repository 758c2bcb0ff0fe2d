"""What each component that shares a loss does in a plan: its expected failures over time."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import FloatArray
from bundler.courses.costing import Costing
from bundler.courses.exposure import Works
from bundler.courses.lives import at_life, works_of
from bundler.courses.risk import course_cells


@dataclass(frozen=True)
class Doing:
    """Expected failures [K] of a component in each cell of its own grid.

    removed_days is the day on which a work ends its use of a stock, because it can start then,
    infinite if none does;
    freed_count the good items that it frees then.
    """

    failures: FloatArray
    removed_days: float = np.inf
    freed_count: float = 0.0


Doings = Mapping[str, Doing]
#: no works at all
IDLE = Works(np.zeros(0, dtype=np.int64), np.zeros(0), (), ())


def doing(costing: Costing, part: pd.Series, works: pd.DataFrame, life_ratio: float = 1.0) -> Doing:
    """Return what a described component does with these works (rows of placements).

    `life_ratio` scales its lives [-].
    """
    sight = costing.own_sight(part)
    if works.empty:
        sight, _ = at_life(sight, IDLE, life_ratio)
        return Doing(course_cells(sight, IDLE, np.array([-1]))[0])
    own = works.sort_values("effect_days")
    steps = np.arange(len(own))
    sight, seen = at_life(sight, works_of(costing.case, part, own, sight.grid_years), life_ratio)
    found, _ = course_cells(sight, seen, steps)
    freeing = own[own["frees_count"] > 0]
    if freeing.empty:
        return Doing(found)
    first = freeing.iloc[0]
    return Doing(found, float(first["start_days"]), float(first["frees_count"]))


def doings(
    costing: Costing, parts: Iterable[pd.Series], works: pd.DataFrame,
    life_ratios: Mapping[str, float] | None = None,
) -> dict[str, Doing]:  # fmt: skip
    """Return what described components do in a plan; `works` are all its placed works.

    `life_ratios` scale their lives, by component; None: the lives assumed.
    """
    rows_of, none = works.groupby("component").indices, np.zeros(0, dtype=np.int64)
    found = {}
    for part in parts:
        name = str(part["component"])
        ratio = 1.0 if life_ratios is None else float(life_ratios[name])
        found[name] = doing(costing, part, works.iloc[rows_of.get(name, none)], ratio)
    return found
