"""The choices in which only some components are free and all others keep their course."""

from dataclasses import replace

import numpy as np

from bundler.choice import Choices, FloatArray
from bundler.standing.settle import by_component


def held(choices: Choices, courses: tuple[int, ...], free: frozenset[str]) -> Choices:
    """Return the choices with every component but those in `free` held to its course.

    What no longer can be chosen is left out, so that the program stays small.
    """
    fixed = set(by_component(choices, courses).values())
    is_left = choices.courses["course"].isin(fixed) | choices.courses["component"].isin(free)
    own = choices.courses[is_left]
    works = choices.works[choices.works["course"].isin(own["course"])]
    there = set(works["placement"])
    uses, members, terms = choices.uses, choices.access_members, choices.link_terms
    return replace(
        choices,
        courses=own.reset_index(drop=True),
        works=works.reset_index(drop=True),
        placements=choices.placements[choices.placements["placement"].isin(there)],
        uses=uses[uses["placement"].isin(there)],
        access_members=members[members["placement"].isin(there)],
        link_terms=terms[terms["placement"].isin(there)],
    )


def repriced(choices: Choices, component: str, risk_pv_cost: FloatArray) -> Choices:
    """Return the choices in which the courses of one component carry another risk."""
    table = choices.courses.copy()
    own = (table["component"] == component).to_numpy()
    risk = table["risk_pv_cost"].to_numpy(dtype=float).copy()
    risk[own] = np.asarray(risk_pv_cost, dtype=float)
    table["risk_pv_cost"] = risk
    table["pv_cost"] = risk + table["planned_pv_cost"]
    return replace(choices, courses=table)
