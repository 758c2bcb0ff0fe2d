"""What failures of a component cost over time, and what its works do to its life."""

from dataclasses import dataclass

from bundler.choice import FloatArray, IntArray
from bundler.life.curves import LifeCurve


@dataclass(frozen=True)
class Exposure:
    """What a component's failures cost over time, and how it starts.

    grid_years [K+1] from the planning date; loss_cost [K] real money lost by one failure in each
    cell, 0 while the unit is shut, and loss_pv_cost its present value; standing_cost and
    standing_pv_cost [K] the same for standing failed through each cell.
    """

    grid_years: FloatArray
    loss_cost: FloatArray
    loss_pv_cost: FloatArray
    standing_cost: FloatArray
    standing_pv_cost: FloatArray
    on_failure: str
    curve: LifeCurve
    age_years: float


@dataclass(frozen=True)
class Works:
    """The placements of one component: grid index at which each takes effect, what it restores.

    kinds is "I" or "II"; curves holds the curve after the work, None where it stays as it was.
    """

    index: IntArray
    restoration_share: FloatArray
    kinds: tuple[str, ...]
    curves: tuple[LifeCurve | None, ...]


def curve_list(exposure: Exposure, works: Works) -> list[LifeCurve]:
    """Return the curves in use: the component's own first, then one a placement that changes it."""
    return [exposure.curve, *[curve or exposure.curve for curve in works.curves]]
