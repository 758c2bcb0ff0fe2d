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
class Removals:
    """Works that end a component's use of a stock [m], by the day they take effect.

    start_days is the day on which each can start, and the use ends.
    """

    effect_days: FloatArray
    start_days: FloatArray
    freed_count: FloatArray


def freeing(placed: pd.DataFrame, component: str) -> pd.DataFrame:
    """Return the works of a component that free a stock, the first of each effect day."""
    own = placed[(placed["component"] == component) & (placed["frees_count"] > 0)]
    return own.sort_values(["effect_days", "start_days"]).drop_duplicates("effect_days")


def removals(placed: pd.DataFrame, component: str) -> Removals:
    """Return when these works end the use of the stock, and what they free."""
    own = freeing(placed, component)
    columns = (own["effect_days"], own["start_days"], own["frees_count"])
    return Removals(*(column.to_numpy(dtype=float) for column in columns))


@dataclass(frozen=True)
class RunOutSet:
    """The components of a family whose parts come from one stock until they are renewed.

    removals of each member: the effect days of works that end its use of the stock, the days on
    which they can start, and the good items that each frees.
    """

    name: str
    members: tuple[str, ...]
    grid: Grid
    stock: Stock
    harm: Harm
    removals: tuple[Removals, ...]

    def pattern(self, plan: Doings) -> tuple[FloatArray, FloatArray]:
        """Return the removal of each member and what it frees [n]."""
        days = np.array([plan[name].removed_days for name in self.members])
        return days, np.array([plan[name].freed_count for name in self.members])

    def with_items(self, count: float) -> "RunOutSet":
        """Return the same components with another number of items at the start."""
        return replace(self, stock=replace(self.stock, items_count=count))

    def loss_by_pattern(self, days: FloatArray, freed: FloatArray) -> FloatArray:
        """Return the loss of each pattern of removals [P] from days and items freed [P, n]."""
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
        """Return 0: a member is charged what another removal than the plan's would add."""
        return 0.0

    def extra(self, plan: Doings, member: str) -> Extra:
        """Return what all lose more than in the plan if this member is removed by each work.

        By the grid point at which the work takes effect; points without such a work hold 0.
        """
        row = self.members.index(member)
        own, moves = self.grid.own_days[row], self.removals[row]
        days, freed = self.pattern(plan)
        able = (np.append(moves.start_days, np.inf), np.append(moves.freed_count, 0.0))
        lost = losses_at(self.stock, self.harm, days, freed, row, able) - self.loss_pv(plan)
        cost, none = np.zeros(len(own) + 1), np.zeros(len(own) - 1)
        cost[np.searchsorted(own, moves.effect_days - 1e-3)] = lost[:-1]
        cost[-1] = lost[-1]
        return Extra(none, none, cost)


def run_out_sets(
    case: Case, costing: Costing, parts: pd.DataFrame, placed: pd.DataFrame
) -> list[RunOutSet]:
    """Return every stock that is used up; `placed` are all works there may be."""
    found = []
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
                tuple(removals(placed, name) for name in own["component"]),
            )
        )  # fmt: skip
    return found
