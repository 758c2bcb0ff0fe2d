"""Risk of a course year by year, for the registers and pictures of a plan."""

from collections.abc import Mapping

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR, date_at
from bundler.case import Case
from bundler.choice import FloatArray
from bundler.courses.costing import Costing
from bundler.courses.lives import works_of
from bundler.courses.risk import course_cells


def yearly_risk(
    case: Case,
    costing: Costing,
    parts: pd.DataFrame,
    works: pd.DataFrame,
    more_cost: Mapping[str, FloatArray] | None = None,
) -> pd.DataFrame:
    """Return expected failures and real money at risk for each component and calendar year.

    `works` are the placed works of one course a component (columns of placements), in time
    order; components without rows carry the risk of doing nothing. `more_cost` [K] is what a
    component loses beside its own loss, by cell of its grid.
    """
    by_component = {str(name): own for name, own in works.groupby("component")}
    none = works.iloc[:0]
    tables = []
    years_at: dict[bytes, np.ndarray] = {}
    for _, part in parts.iterrows():
        own = by_component.get(part["component"], none).sort_values("effect_days")
        sight = costing.sight(part)
        steps = np.arange(len(own)) if len(own) else np.array([-1])  # all its works, in order
        found, money = course_cells(sight, works_of(case, part, own, sight.grid_years), steps)
        money = money + (more_cost or {}).get(part["component"], 0.0)
        key = sight.grid_years.tobytes()
        if key not in years_at:
            middle = (sight.grid_years[1:] + sight.grid_years[:-1]) / 2 * DAYS_A_YEAR
            years_at[key] = np.array([date_at(case, days).year for days in middle])
        frame = pd.DataFrame({"year": years_at[key], "failures_count": found, "risk_cost": money})
        frame = frame.groupby("year", as_index=False).sum()
        tables.append(frame.assign(component=part["component"], unit=part["unit"]))
    names = ["component", "unit", "year", "failures_count", "risk_cost"]
    return pd.concat(tables, ignore_index=True)[names]
