"""The choices in which only some components are free and all others keep their course."""

from dataclasses import replace

import numpy as np

from bundler.choice import Choices, FloatArray, only
from bundler.standing.settle import by_component


def held(choices: Choices, courses: tuple[int, ...], free: frozenset[str]) -> Choices:
    """Return the choices with every component but those in `free` held to its course.

    What no longer can be chosen is left out, so that the program stays small.
    """
    fixed = set(by_component(choices, courses).values())
    table = choices.courses
    return only(choices, table["course"].isin(fixed) | table["component"].isin(free))


def repriced(choices: Choices, component: str, risk_pv_cost: FloatArray) -> Choices:
    """Return the choices in which the courses of one component carry another risk."""
    table = choices.courses.copy()
    own = (table["component"] == component).to_numpy()
    risk = table["risk_pv_cost"].to_numpy(dtype=float).copy()
    risk[own] = np.asarray(risk_pv_cost, dtype=float)
    table["risk_pv_cost"] = risk
    table["pv_cost"] = risk + table["planned_pv_cost"]
    return replace(choices, courses=table)
