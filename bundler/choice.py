"""What a plan chooses from: placements, courses and everything that binds them."""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

IntArray = NDArray[np.int64]
FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Lives:
    """How uncertain lives enter a plan: how many scenarios, from which seed, and what counts.

    weight_share w weighs the tail against the mean, (1 - w) mean + w CVaR; worst_share is the
    part of the scenarios that makes the tail, 1 - alpha.
    """

    scenarios_count: int = 20
    seed: int = 1
    weight_share: float = 0.0
    worst_share: float = 0.2

    def __post_init__(self) -> None:
        if self.scenarios_count < 1:
            raise ValueError(f"{self.scenarios_count} scenarios are asked for; ask for 1 or more.")
        if not 0 <= self.weight_share <= 1:
            raise ValueError(f"The weight of the tail is {self.weight_share:g}; give 0 to 1.")
        if not 0 < self.worst_share <= 1:
            raise ValueError(
                f"The share of worst scenarios is {self.worst_share:g}; give above 0, at most 1."
            )


@dataclass(frozen=True)
class Tail:
    """What courses risk in each scenario of lives, and how much the bad ones count.

    chances [S] of the scenarios; risk_pv_cost [n courses, S] in the order of `courses`.
    """

    lives: Lives
    chances: FloatArray
    risk_pv_cost: FloatArray


@dataclass(frozen=True)
class Choices:
    """All that the program, the judge and the reports need to know of a case.

    Attributes
    ----------
    periods : one row an outage or on-line period; period, unit, kind, start_days, end_days,
        is_outage, day_cost, max_extension_days.
    placements : one row a work that can be placed; placement (0, 1, ...), component, action,
        period, start_days, end_days, days, extension_days, effect_days, planned_pv_cost ...
    ruled_out : one row a work that cannot be placed in an outage, with its reason.
    courses : one row a component and course; course (0, 1, ...), component, risk_pv_cost,
        planned_pv_cost, pv_cost, is_lean (can be the best at the life assumed); sorted by
        component.
    works : course and placement of each work of each course.
    limits : one row a limit; limit, measure, resource, period, amount, extension_amount, overtime.
    uses : limit, placement, amount.
    access : one row an access set in an outage; access, access_set, unit, train, period, pv_cost,
        is_given.
    access_members : access, placement.
    access_uses : limit, access, amount.
    overtimes : overtime, period, resource, most_hours, pv_cost_per_hour.
    links : one row a linear rule over placements; link, rule, most.
    link_terms : link, placement, factor.
    tail : the risk of every course in each scenario of lives; None where lives are as assumed.
    shared_pv_cost : what failures cost together (redundancy, spares) that no course is charged;
        the same for every plan.
    """

    periods: pd.DataFrame
    placements: pd.DataFrame
    ruled_out: pd.DataFrame
    courses: pd.DataFrame
    works: pd.DataFrame
    limits: pd.DataFrame
    uses: pd.DataFrame
    access: pd.DataFrame
    access_members: pd.DataFrame
    access_uses: pd.DataFrame
    overtimes: pd.DataFrame
    links: pd.DataFrame
    link_terms: pd.DataFrame
    tail: Tail | None = None
    shared_pv_cost: float = 0.0


def only(choices: Choices, is_kept: pd.Series) -> Choices:
    """Return the choices with some of the courses (a mask over their rows) and what these use.

    Courses and placements keep their numbers.
    """
    courses, tail = choices.courses[is_kept], choices.tail
    works = choices.works[choices.works["course"].isin(courses["course"])]
    there = set(works["placement"])
    uses, members, terms = choices.uses, choices.access_members, choices.link_terms
    if tail is not None:
        tail = replace(tail, risk_pv_cost=tail.risk_pv_cost[is_kept.to_numpy()])
    return replace(
        choices,
        courses=courses.reset_index(drop=True),
        works=works.reset_index(drop=True),
        placements=choices.placements[choices.placements["placement"].isin(there)],
        uses=uses[uses["placement"].isin(there)],
        access_members=members[members["placement"].isin(there)],
        link_terms=terms[terms["placement"].isin(there)],
        tail=tail,
    )


def lean(choices: Choices) -> Choices:
    """Return the choices without courses that cannot be the best at the lives assumed."""
    return only(choices, choices.courses["is_lean"])
