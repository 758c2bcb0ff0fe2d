"""A decision taken again by the integer program, with one life changed and all others standing."""

from dataclasses import dataclass, replace

import pandas as pd

from bundler.choice import Choices, FloatArray, only
from bundler.courses.lives import at_life
from bundler.courses.risk import course_risk
from bundler.explain.alone import Alone
from bundler.explain.life_tests import life_turns
from bundler.explain.turning import Turn
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


def _partners(choices: Choices, component: str) -> set[str]:
    """Return the components that have a work in a period it could go into, or a link with it."""
    placed = choices.placements
    own = placed[placed["component"] == component]
    links = choices.link_terms.merge(placed[["placement", "component"]], on="placement")
    shared = set(links.loc[links["component"] == component, "link"])
    linked = links.loc[links["link"].isin(shared), "component"]
    there = placed.loc[placed["period"].isin(set(own["period"])), "component"]
    return {component, *linked, *there}


def _touched(choices: Choices, component: str) -> Choices:
    """Return held choices with only what one component's works can reach.

    Kept are the limits that it can use and all of the periods it can go into, and the components
    at work there; what the others use is taken off the limits and links.
    """
    own = choices.placements[choices.placements["component"] == component]
    used = set(choices.uses.loc[choices.uses["placement"].isin(own["placement"]), "limit"])
    is_near = choices.limits["limit"].isin(used) | choices.limits["period"].isin(set(own["period"]))
    near = choices.courses["component"].isin(_partners(choices, component))
    small = only(choices, near)
    there = small.placements["placement"]
    limits, links = choices.limits[is_near], choices.links
    gone = choices.uses[~choices.uses["placement"].isin(there)]
    members = choices.access_members
    opened = set(members["access"]) - set(small.access_members["access"])
    gone = pd.concat([gone, choices.access_uses[choices.access_uses["access"].isin(opened)]])
    taken = limits["limit"].map(gone.groupby("limit")["amount"].sum()).fillna(0.0)
    apart = choices.link_terms[~choices.link_terms["placement"].isin(there)]
    held_by = links["link"].map(apart.groupby("link")["factor"].sum()).fillna(0.0)
    return replace(
        small,
        limits=limits.assign(amount=limits["amount"] - taken),
        links=links.assign(most=links["most"] - held_by),
        uses=small.uses[small.uses["limit"].isin(limits["limit"])],
        access_uses=small.access_uses[small.access_uses["limit"].isin(limits["limit"])],
    )


def choice_again(
    choices: Choices,
    courses: tuple[int, ...],
    component: str,
    risk_pv_cost: FloatArray,
    partner: str = "",
) -> int:
    """Return the course that the program gives a component at another risk of its courses.

    All other components but the partner keep their course; limits, access, days and overtime are
    free. Raises as the solver does.
    """
    free = frozenset({component, partner})
    small = held(repriced(choices, component, risk_pv_cost), courses, free)
    program = build_program(small if partner else _touched(small, component))
    run(program, EXACT, is_integer=True)
    own = small.courses.loc[small.courses["component"] == component, "course"]
    return int(max(own, key=lambda course: program.x[course].varValue or 0.0))


def _decision(
    choices: Choices, courses: tuple[int, ...], own: Alone, risk: FloatArray, partner: str
) -> str:
    """Return the decision of the program in words."""
    return own.labels[choice_again(choices, courses, str(own.part["component"]), risk, partner)]


def _risk_at_life(own: Alone, ratio: float) -> FloatArray:
    exposure, works = at_life(own.view.exposure, own.view.works, ratio)
    return course_risk(exposure, works, own.view.steps)


def again_at_life(choices: Choices, courses: tuple[int, ...], own: Alone, turn: Turn) -> Again:
    """Return what the program decides just short of a turn by its life and just past it.

    Where the turn takes another component that makes room, that one is free as well.
    """
    away, partner = 1.0 if turn.at > 1 else -1.0, own.partners.get(turn.code, "")
    near, far = (turn.at * (1 + side * away * ASIDE_SHARE) for side in (-1, 1))
    return Again(
        _decision(choices, courses, own, _risk_at_life(own, near), partner),
        _decision(choices, courses, own, _risk_at_life(own, far), partner),
    )


def confirms(choices: Choices, courses: tuple[int, ...], own: Alone) -> bool:
    """Return whether the program keeps the decision just short of each turn and turns past it."""
    for turn in life_turns(own):
        if turn.code >= 0:
            again = again_at_life(choices, courses, own, turn)
            if (again.before, again.after) != (own.words[own.now], own.words[turn.code]):
                return False
    return True
