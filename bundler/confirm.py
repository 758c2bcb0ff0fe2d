"""A decision taken again by the integer program, with one life changed and all others standing."""

from dataclasses import dataclass, replace

import numpy as np

from bundler.choice import Choices, FloatArray
from bundler.courses.lives import at_life
from bundler.courses.risk import course_risk
from bundler.explain.alone import Alone
from bundler.explain.life_tests import life_turns
from bundler.program.build import build_program
from bundler.solve.highs import Options, run
from bundler.standing.held import held, repriced

#: how far from a turn the program is asked, on both sides, as a share of the life; our choice
ASIDE_SHARE = 0.001
EXACT = Options(time_limit_seconds=60.0, gap_share=0.0)


@dataclass(frozen=True)
class Again:
    """What the integer program decides just before and just after a turn."""

    before: str
    after: str


def _touched(choices: Choices, component: str) -> Choices:
    """Return the choices with only the limits that the works of one component can reach.

    Those they use, and all of the periods they can go into; the others stay as they are.
    """
    own = choices.placements[choices.placements["component"] == component]
    used = choices.uses.loc[choices.uses["placement"].isin(own["placement"]), "limit"]
    limits = choices.limits
    near = limits["limit"].isin(set(used)) | limits["period"].isin(set(own["period"]))
    kept = limits[near]
    return replace(
        choices,
        limits=kept,
        uses=choices.uses[choices.uses["limit"].isin(kept["limit"])],
        access_uses=choices.access_uses[choices.access_uses["limit"].isin(kept["limit"])],
    )


def choice_again(
    choices: Choices, courses: tuple[int, ...], component: str, risk_pv_cost: FloatArray
) -> int:
    """Return the course that the program gives a component at another risk of its courses.

    All other components keep their course; limits, access, days and overtime are free. Raises
    as the solver does.
    """
    small = held(repriced(choices, component, risk_pv_cost), courses, frozenset({component}))
    program = build_program(_touched(small, component))
    run(program, EXACT, is_integer=True)
    own = small.courses.loc[small.courses["component"] == component, "course"]
    return int(max(own, key=lambda course: program.x[course].varValue or 0.0))


def _decision(choices: Choices, courses: tuple[int, ...], own: Alone, risk: FloatArray) -> str:
    """Return the decision of the program in words."""
    course = choice_again(choices, courses, str(own.part["component"]), risk)
    place = np.flatnonzero(choices.courses["course"].to_numpy()[own.rows] == course)
    return own.words[int(own.code[int(place[0])])]


def _risk_at_life(own: Alone, ratio: float) -> FloatArray:
    exposure, works = at_life(own.view.exposure, own.view.works, ratio)
    return course_risk(exposure, works, own.view.steps)


def again_at_life(choices: Choices, courses: tuple[int, ...], own: Alone, ratio: float) -> Again:
    """Return what the program decides just short of a life ratio and just past it."""
    away = 1.0 if ratio > 1 else -1.0
    near, far = (ratio * (1 + side * away * ASIDE_SHARE) for side in (-1, 1))
    return Again(
        _decision(choices, courses, own, _risk_at_life(own, near)),
        _decision(choices, courses, own, _risk_at_life(own, far)),
    )


def confirms(choices: Choices, courses: tuple[int, ...], own: Alone) -> bool:
    """Return whether the program keeps the decision just short of each turn and turns past it."""
    for turn in life_turns(own):
        if turn.code >= 0:
            again = again_at_life(choices, courses, own, turn.at)
            if (again.before, again.after) != (own.words[own.now], own.words[turn.code]):
                return False
    return True
