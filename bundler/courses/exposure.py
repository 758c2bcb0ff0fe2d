"""What failures of a component cost over time, and what its works do to its life."""

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bundler.choice import FloatArray, IntArray
from bundler.life.curves import LifeCurve


@dataclass(frozen=True)
class Extra:
    """What a component's failures cost beside its own loss, while others do as they do.

    loss_cost [K] real money more lost by one failure in each cell of its grid, loss_pv_cost the
    same in present value. removal_pv_cost [K+2], if its family uses up a stock: what the stock's
    running out costs in all if this component's use of it ends at each grid point, and last if it
    never ends.
    """

    loss_cost: FloatArray
    loss_pv_cost: FloatArray
    removal_pv_cost: FloatArray | None = None


@dataclass(frozen=True)
class Exposure:
    """What a component's failures cost over time, and how it starts.

    grid_years [K+1] from the planning date; loss_cost [K] real money lost by one failure in each
    cell, 0 while the unit is shut, and loss_pv_cost its present value; standing_cost and
    standing_pv_cost [K] the same for standing failed through each cell; removal_pv_cost as in
    `Extra`.
    """

    grid_years: FloatArray
    loss_cost: FloatArray
    loss_pv_cost: FloatArray
    standing_cost: FloatArray
    standing_pv_cost: FloatArray
    on_failure: str
    curve: LifeCurve
    age_years: float
    removal_pv_cost: FloatArray | None = None


@dataclass(frozen=True)
class Works:
    """The placements of one component: grid index at which each takes effect, what it restores.

    kinds is "I" or "II"; curves holds the curve after the work, None where it stays as it was;
    frees says which works end its use of a stock.
    """

    index: IntArray
    restoration_share: FloatArray
    kinds: tuple[str, ...]
    curves: tuple[LifeCurve | None, ...]
    frees: NDArray[Any] = field(default_factory=lambda: np.zeros(0, dtype=bool))


def with_extra(exposure: Exposure, extra: Extra) -> Exposure:
    """Return an exposure with what its failures cost beside their own loss."""
    return replace(
        exposure,
        loss_cost=exposure.loss_cost + extra.loss_cost,
        loss_pv_cost=exposure.loss_pv_cost + extra.loss_pv_cost,
        removal_pv_cost=extra.removal_pv_cost,
    )


def curve_list(exposure: Exposure, works: Works) -> list[LifeCurve]:
    """Return the curves in use: the component's own first, then one a placement that changes it."""
    return [exposure.curve, *[curve or exposure.curve for curve in works.curves]]
