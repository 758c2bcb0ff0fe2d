"""The courses of some components costed afresh, because others of the plan do something else."""

from dataclasses import replace

import numpy as np
import pandas as pd

from bundler.choice import Choices, only
from bundler.courses.around import Around
from bundler.courses.build import Courses
from bundler.courses.costing import Costing
from bundler.courses.risk import course_risk
from bundler.courses.seen import all_seen
from bundler.solve.fewer import fewer_works, useful


def recosted(
    choices: Choices, courses: Courses, parts: pd.DataFrame, around: Around
) -> tuple[Choices, Courses]:
    """Return the choices with the courses of described components `parts` costed afresh.

    For a plan around them in which as much is learned as before; so placements, limits and the
    courses themselves stay. Which of these courses are of no use at the lives assumed is told
    afresh too.
    """
    old = courses.costing
    costing = Costing(old.case, old.periods, old.fitting, around)
    table = choices.courses.copy()
    risk = table["risk_pv_cost"].to_numpy(dtype=float).copy()
    own = np.zeros(len(table), dtype=bool)
    for rows, view in all_seen(costing, choices, parts):
        risk[rows] = course_risk(view.exposure, view.works, view.steps)
        own[rows] = True
    table["risk_pv_cost"] = risk
    table["pv_cost"] = risk + table["planned_pv_cost"]
    changed = replace(choices, courses=table, shared_pv_cost=around.shared_pv_cost)
    table["is_lean"] = np.where(own, _lean(changed, own), table["is_lean"])
    return changed, replace(courses, courses=table, costing=costing)


def _lean(choices: Choices, own: np.ndarray) -> np.ndarray:
    """Return which of some courses (a mask) are of use at the lives assumed; False elsewhere."""
    few = only(choices, pd.Series(own))
    found = np.zeros(len(own), dtype=bool)
    found[own] = useful(fewer_works(few), few.courses["pv_cost"].to_numpy()).to_numpy()
    return found
