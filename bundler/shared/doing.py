"""What each component that shares a loss does in a plan: its expected failures over time."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import FloatArray
from bundler.courses.costing import Costing
from bundler.courses.lives import works_of
from bundler.courses.risk import course_cells


@dataclass(frozen=True)
class Doing:
    """Expected failures [K] of a component in each cell of its own grid.

    removed_days is the day on which a work ends its use of a stock, infinite if none does;
    freed_count the good items that it frees then.
    """

    failures: FloatArray
    removed_days: float = np.inf
    freed_count: float = 0.0


Doings = Mapping[str, Doing]


def doing(costing: Costing, part: pd.Series, works: pd.DataFrame) -> Doing:
    """Return what a described component does with these works (rows of placements)."""
    own = works.sort_values("effect_days")
    sight = costing.own_sight(part)
    steps = np.arange(len(own)) if len(own) else np.array([-1])
    found, _ = course_cells(sight, works_of(costing.case, part, own, sight.grid_years), steps)
    freeing = own[own["frees_count"] > 0]
    if freeing.empty:
        return Doing(found)
    first = freeing.iloc[0]
    return Doing(found, float(first["effect_days"]), float(first["frees_count"]))


def doings(costing: Costing, parts: Iterable[pd.Series], works: pd.DataFrame) -> dict[str, Doing]:
    """Return what described components do in a plan; `works` are all its placed works."""
    rows_of, none = works.groupby("component").indices, np.zeros(0, dtype=np.int64)
    return {
        str(part["component"]): doing(
            costing, part, works.iloc[rows_of.get(part["component"], none)]
        )
        for part in parts
    }
