"""Stocks of parts that nobody makes any more, as sets that share what their running out costs."""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.choice import FloatArray
from bundler.courses.costing import Costing
from bundler.courses.exposure import Extra
from bundler.risk.run_out import Harm, Stock, losses_at, out_share, out_stretches, run_out_loss
from bundler.risk.spares import on_grid
from bundler.shared.doing import Doings
from bundler.shared.sets import Grid, grid_of
from bundler.tables import rows


@dataclass(frozen=True)
class RunOutSet:
    """The components of a family whose parts come from one stock until they are renewed.

    freed_count is what the removal of one of them frees.
    """

    name: str
    members: tuple[str, ...]
    grid: Grid
    stock: Stock
    harm: Harm
    freed_count: float

    def pattern(self, plan: Doings) -> tuple[FloatArray, FloatArray]:
        """Return the removal of each member and what it frees [n]."""
        days = np.array([plan[name].removed_days for name in self.members])
        return days, np.array([plan[name].freed_count for name in self.members])

    def with_items(self, count: float) -> "RunOutSet":
        """Return the same components with another number of items at the start."""
        return replace(self, stock=replace(self.stock, items_count=count))

    def loss_by_pattern(self, days: FloatArray) -> FloatArray:
        """Return the loss of each pattern of removals [P] from days [P, n]; infinite: never."""
        freed = np.where(np.isfinite(days), self.freed_count, 0.0)
        result: FloatArray = run_out_loss(self.stock, self.harm, days, freed).sum(axis=1)
        return result

    def loss_pv(self, plan: Doings) -> float:
        """Return what all lose without items, in present value."""
        days, freed = self.pattern(plan)
        return float(run_out_loss(self.stock, self.harm, days[None], freed[None]).sum())

    def by_member(self, plan: Doings) -> dict[str, FloatArray]:
        """Return the real loss by member and cell of its own grid."""
        days, freed = self.pattern(plan)
        since, until = out_stretches(self.stock, days[None], freed[None])
        share = out_share(since, until, self.grid.edges_days)[0]
        years = self.grid.days / 365.25
        middle = (self.grid.edges_days[1:] + self.grid.edges_days[:-1]) / 2
        found = {}
        for row, name in enumerate(self.members):
            is_old = middle < days[row]
            lost = self.harm.cost_per_year[row] * years * share * is_old * self.grid.on_line[row]
            found[name] = on_grid(lost, self.grid.edges_days, self.grid.own_days[row])
        return found

    def charge_pv(self, plan: Doings, member: str) -> float:
        """Return the whole loss: a member's removal is charged all that it leads to."""
        return self.loss_pv(plan)

    def extra(self, plan: Doings, member: str) -> Extra:
        """Return what all lose in all if this member is removed at each point of its grid."""
        row = self.members.index(member)
        own = self.grid.own_days[row]
        days, freed = self.pattern(plan)
        at = np.append(own, np.inf)
        items = np.append(np.full(len(own), self.freed_count), 0.0)
        cost = losses_at(self.stock, self.harm, days, freed, row, (at, items))
        none = np.zeros(len(own) - 1)
        return Extra(none, none, cost)


def run_out_sets(case: Case, costing: Costing, parts: pd.DataFrame) -> list[RunOutSet]:
    """Return every stock that is used up."""
    found = []
    freed = case["actions"].groupby("family")["frees_count"].max()
    for row in rows(case["stocks"][case["stocks"]["use_count_per_year"] > 0]):
        own = parts[parts["family"] == row.family].sort_values("component")
        grid = grid_of(
            [costing.time(part) for _, part in own.iterrows()],
            case.settings.discount_share_per_year,
        )
        cost = row.out_failures_per_year * row.out_days * own["day_value_cost_per_day"]
        stock = Stock(
            float(row.spares_count), row.use_count_per_year, row.use_growth_share_per_year,
            own["end_days"].to_numpy(dtype=float),
        )  # fmt: skip
        harm = Harm(
            grid.edges_days, grid.on_line, cost.to_numpy(dtype=float),
            case.settings.discount_share_per_year,
        )  # fmt: skip
        found.append(
            RunOutSet(
                row.stock, tuple(own["component"]), grid, stock, harm,
                float(freed.get(row.family, 0.0)),
            )
        )  # fmt: skip
    return found
