"""Site spares that all units count on, as sets that share what a failure without one costs."""

from dataclasses import dataclass, replace

import pandas as pd

from bundler.case import Case
from bundler.choice import FloatArray
from bundler.courses.costing import Costing
from bundler.courses.exposure import Extra
from bundler.risk.spares import (
    Pool,
    from_grid,
    on_grid,
    share_before,
    spare_loss,
    spare_marginal,
)
from bundler.shared.doing import Doings
from bundler.shared.sets import Grid, grid_of
from bundler.tables import rows

#: mean length of a month [days]
DAYS_A_MONTH = 365.25 / 12


@dataclass(frozen=True)
class SpareSet:
    """The components of a family that take from one stock of spares.

    extra_cost [n, K] is the real money that a failure without an item loses more.
    """

    name: str
    members: tuple[str, ...]
    grid: Grid
    spares_count: int
    before_share: FloatArray
    extra_cost: FloatArray

    def with_spares(self, count: int) -> "SpareSet":
        """Return the same components with another number of items at the start."""
        return replace(self, spares_count=count)

    def _failures(self, plan: Doings) -> FloatArray:
        """Return the failures of the members on the common grid [n, K]."""
        return self.grid.failures(plan, self.members)

    def _pool(self, *, is_real: bool) -> Pool:
        factor = 1.0 if is_real else self.grid.discount
        return Pool(self.spares_count, self.before_share, self.extra_cost * factor)

    def loss_pv(self, plan: Doings) -> float:
        """Return what failures lose more because they find no item, in present value."""
        return float(spare_loss(self._pool(is_real=False), self._failures(plan)).sum())

    def by_member(self, plan: Doings) -> dict[str, FloatArray]:
        """Return the real loss by member and cell of its own grid."""
        lost = spare_loss(self._pool(is_real=True), self._failures(plan))
        return {
            name: on_grid(own, self.grid.edges_days, days)
            for name, own, days in zip(self.members, lost, self.grid.own_days, strict=True)
        }

    def charge_pv(self, plan: Doings, member: str) -> float:
        """Return what a member's failures are charged in all, in present value."""
        return float(plan[member].failures @ self.extra(plan, member).loss_pv_cost)

    def extra(self, plan: Doings, member: str) -> Extra:
        """Return what one failure of a member adds, with the item it takes from the others."""
        row = self.members.index(member)
        own, edges, failures = self.grid.own_days[row], self.grid.edges_days, self._failures(plan)
        real, worth = (
            from_grid(spare_marginal(self._pool(is_real=is_real), failures)[row], edges, own)
            for is_real in (True, False)
        )
        return Extra(real, worth)


def spare_sets(case: Case, costing: Costing, parts: pd.DataFrame) -> list[SpareSet]:
    """Return every stock whose lack costs more than a failure with an item."""
    found = []
    for row in rows(case["stocks"][case["stocks"]["without_days"].notna()]):
        own = parts[parts["family"] == row.family].sort_values("component")
        times = [costing.time(part) for _, part in own.iterrows()]
        grid = grid_of(times, case.settings.discount_share_per_year)
        more = (row.without_days - own["forced_days"]).clip(lower=0.0)
        value = (more * own["day_value_cost_per_day"]).to_numpy(dtype=float)
        restock = row.restock_months * DAYS_A_MONTH
        found.append(
            SpareSet(
                row.stock, tuple(own["component"]), grid, int(row.spares_count),
                share_before(grid.edges_days, restock), value[:, None] * grid.on_line,
            )
        )  # fmt: skip
    return found
