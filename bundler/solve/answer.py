"""What the solver said, as one small record."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class Relaxed:
    """The answer of the relaxed problem.

    bound_pv_cost is proven: no plan costs less. prices holds the saving of one more unit of each
    row's amount, by (rule, key), zero or above; rows that are equations have none.
    """

    bound_pv_cost: float
    prices: dict[tuple[str, Any], float]
    seconds: float


@dataclass(frozen=True)
class Known:
    """A plan that is known to hold: its courses, its cost, and the relief it takes."""

    courses: tuple[int, ...]
    pv_cost: float
    extension_days: Mapping[str, float] = field(default_factory=dict)
    overtime_hours: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Spread:
    """What a plan costs over the scenarios of lives, in present value.

    scenario_pv_cost [S] of all its costs; mean_pv_cost, and worst_pv_cost of the tail alone;
    weights [S] of the scenarios at which no limit is worth breaking, which prove the bound; method
    says in words how the plan was found.
    """

    scenario_pv_cost: NDArray[np.float64]
    mean_pv_cost: float
    worst_pv_cost: float
    weights: NDArray[np.float64]
    method: str


@dataclass(frozen=True)
class Solved:
    """A plan: chosen courses, access made, extension and overtime, with bound and gap.

    status is "optimal" (within the gap asked for), "rounds" (the program was, and rounds with the
    plan around its components have moved it a little since), "within gap" (so too, but a part of
    the search was ended by the clock, and another machine may find another plan), "time limit" (a
    plan, wider gap) or "weights" (wider gap, as the bound is for fixed weights of scenarios of
    lives); the gap is (objective - bound) / objective, proven. spread is there where lives are
    uncertain; the objective and the bound then are those of (1 - w) mean + w CVaR.
    """

    status: str
    objective_pv_cost: float
    bound_pv_cost: float
    courses: tuple[int, ...]
    access: tuple[str, ...]
    extension_days: dict[str, float]
    overtime_hours: dict[str, float]
    seconds: float
    relaxed: Relaxed
    spread: Spread | None = None
    way: str = ""
    trace: tuple[tuple[float, float, float], ...] = ()

    @property
    def gap_share(self) -> float:
        """Return the proven gap as a share of the plan's cost (of its size, where it is a gain)."""
        missing = max(self.objective_pv_cost - self.bound_pv_cost, 0.0)
        return missing / abs(self.objective_pv_cost) if missing > 0 else 0.0


def ended(plan: Solved, gap_share: float) -> str:
    """Return how a search ended: by its gap alone, within its gap but partly by time, or not."""
    if plan.gap_share > gap_share * (1 + 1e-6) + 1e-8:
        return "time limit"
    return "optimal" if plan.status == "optimal" else "within gap"
