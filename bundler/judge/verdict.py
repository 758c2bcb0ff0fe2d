"""What the judge is given and what it says."""

from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

#: what a load may lie over its limit, as a part of the limit
LOAD_SHARE = 1e-6


@dataclass(frozen=True)
class PlanFacts:
    """A plan, bare: what is done when, and what it is said to cost.

    Attributes
    ----------
    works
        One row a work; columns component, action, period.
    access
        One row an access set that is made; columns access_set, unit, train, period.
    extension_days
        Days added to an outage [d].
    overtime_hours
        Hours of overtime of a (period, resource) [h].
    claimed
        Costs that the plan tells, in present value, by their names.
    tail
        What it tells of its costs over scenarios of lives; None where there are none.
    """

    works: pd.DataFrame
    access: pd.DataFrame
    extension_days: Mapping[str, float]
    overtime_hours: Mapping[tuple[str, str], float]
    claimed: Mapping[str, float]
    tail: "TailFacts | None" = None


@dataclass(frozen=True)
class TailFacts:
    """What a plan tells of its costs over scenarios of lives.

    Attributes
    ----------
    scenarios
        One row a scenario and family; columns scenario, family, life_ratio, chance.
    weight_share
        Weight of the tail beside the mean.
    worst_share
        Part of all cases that makes the tail.
    claimed
        mean_pv_cost, worst_pv_cost and weighted_pv_cost, as told.
    """

    scenarios: pd.DataFrame
    weight_share: float
    worst_share: float
    claimed: Mapping[str, float]


@dataclass(frozen=True)
class Breach:
    """One rule that the plan breaks: where, one sentence with numbers, and by how much."""

    rule: str
    place: str
    text: str
    amount: float


def over(used: float, limit: float) -> bool:
    """Tell whether a load lies over its limit by more than the tolerance."""
    return not used <= limit + LOAD_SHARE * max(1.0, abs(limit))
