"""What the solver said, as one small record."""

from dataclasses import dataclass
from typing import Any


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
    """A plan that is known to hold without extension and overtime: its courses and its cost."""

    courses: tuple[int, ...]
    pv_cost: float


@dataclass(frozen=True)
class Solved:
    """A plan: chosen courses, access made, extension and overtime, with bound and gap.

    status is "optimal" (within the gap asked for) or "time limit" (a plan, wider gap); the gap
    is (objective - bound) / objective, proven.
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

    @property
    def gap_share(self) -> float:
        """Return the proven gap as a share of the plan's cost."""
        if self.objective_pv_cost <= 0:
            return 0.0
        return max(self.objective_pv_cost - self.bound_pv_cost, 0.0) / self.objective_pv_cost
