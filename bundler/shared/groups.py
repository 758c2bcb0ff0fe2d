"""Groups of lines that stand in for each other, as sets that share the output they lose."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.calendar import STATION
from bundler.case import Case
from bundler.choice import FloatArray, IntArray
from bundler.courses.costing import Costing
from bundler.courses.exposure import Extra
from bundler.risk.loss import on_line_share_by_cell
from bundler.risk.redundancy import (
    expected_lost,
    lost_by_count,
    marginal_lost,
    unavailability,
)
from bundler.risk.spares import from_grid, on_grid
from bundler.shared.doing import Doings
from bundler.shared.seasons import summer_share
from bundler.shared.sets import Grid, grid_of
from bundler.tables import rows

#: the columns that tell one group from the next, by `groups.match`
MATCHES = {"station": [], "unit": ["unit"], "train": ["unit", "train"]}
#: the column that tells one line from the next, by `groups.line_by`
LINES = {"component": "component", "position": "position_count", "train": "train"}


@dataclass(frozen=True)
class GroupSet:
    """One group: its members, their lines, and the money lost a day by lines out of service.

    lines [m]; lost_cost_per_day [n + 1, K] real money by lines out, 0 while the unit is shut.
    """

    name: str
    members: tuple[str, ...]
    grid: Grid
    lines: IntArray
    lost_cost_per_day: FloatArray
    repair_days: float
    beta_share: float

    def _failures(self, plan: Doings) -> FloatArray:
        """Return the failures of the members on the common grid [m, K]."""
        return self.grid.failures(plan, self.members)

    def out_chances(self, plan: Doings) -> FloatArray:
        """Return the chance that each member is out of service [m, K]."""
        return unavailability(self._failures(plan), self.grid.days, self.repair_days)

    def loss_by_cell(self, plan: Doings) -> FloatArray:
        """Return the real money lost in each cell of the common grid [K]."""
        u = self.out_chances(plan)
        lost = expected_lost(u, self.lines, self.lost_cost_per_day, self.beta_share)
        return lost * self.grid.days

    def loss_pv(self, plan: Doings) -> float:
        """Return what the group loses, in present value."""
        return float(self.loss_by_cell(plan) @ self.grid.discount)

    def _marginal(self, plan: Doings) -> FloatArray:
        """Return the real money that one failure more of each member loses [m, K]."""
        u = self.out_chances(plan)
        marginal = marginal_lost(u, self.lines, self.lost_cost_per_day, self.beta_share)
        return marginal * self.repair_days

    def by_member(self, plan: Doings) -> dict[str, FloatArray]:
        """Return the loss by member and cell of its own grid, by what they are charged."""
        charged = self._failures(plan) * self._marginal(plan)
        total = charged.sum(axis=0)
        share = np.divide(charged, total, out=np.zeros_like(charged), where=total > 0)
        return {
            name: on_grid(own, self.grid.edges_days, days)
            for name, own, days in zip(
                self.members, share * self.loss_by_cell(plan), self.grid.own_days, strict=True
            )
        }

    def charge_pv(self, plan: Doings, member: str) -> float:
        """Return what a member's failures are charged in all, in present value."""
        return float(plan[member].failures @ self.extra(plan, member).loss_pv_cost)

    def extra(self, plan: Doings, member: str) -> Extra:
        """Return what one failure of a member adds while the others stand."""
        row = self.members.index(member)
        own, edges = self.grid.own_days[row], self.grid.edges_days
        real = self._marginal(plan)[row]
        return Extra(from_grid(real, edges, own), from_grid(real * self.grid.discount, edges, own))


def instances(case: Case, group: str) -> Iterator[tuple[str, str, pd.DataFrame]]:
    """Yield the name, the unit and the members of each group that a row of `groups` stands for.

    Members are rows of components with their line, 0 to n - 1.
    """
    row = next(rows(case["groups"][case["groups"]["group"] == group]))
    members = case["group_members"]
    own = members[members["group"] == group].rename(columns={"train": "only"})
    parts = case["components"].merge(own[["family", "only"]], on="family")
    parts = parts[(parts["only"] == "") | (parts["only"] == parts["train"])]
    parts = parts.drop_duplicates("component").sort_values("component")
    on = MATCHES[row.match]
    for key, held in parts.groupby(on, sort=True) if on else [((), parts)]:
        line = held[LINES[row.line_by]]
        lines = held.assign(line=pd.factorize(line, sort=True)[0])
        unit = str(key[0]) if on else STATION
        yield ".".join([*map(str, key), group]), unit, lines


def value_cost_per_mw_day(case: Case, unit: str) -> float:
    """Return the money lost with one MW in one day."""
    units = case["units"]
    if unit == STATION:
        return case.settings.station_value_cost_per_day / float(units["capacity_mw"].mean())
    own = units[units["unit"] == unit]
    return float((own["day_value_cost_per_day"] / own["capacity_mw"]).iloc[0])


def _lost(case: Case, group: str, count: int, edges_days: FloatArray) -> FloatArray:
    """Return the MW lost with 0 to n lines out in each cell [n + 1, K]."""
    states = case["group_states"]
    own = states[states["group"] == group]
    summer, winter = (
        lost_by_count(dict(zip(own["out_count"], own[name], strict=True)), count)[:, None]
        for name in ("summer_lost_mw", "winter_lost_mw")
    )
    share = summer_share(case, edges_days)
    return summer * share + winter * (1 - share)


def _on_line(costing: Costing, unit: str, grid: Grid) -> FloatArray:
    """Return the share of each cell in which the group's output counts [K].

    That of its unit; for the station all time but station-wide outages.
    """
    if unit != STATION:
        own: FloatArray = grid.on_line[0]
        return own
    periods = costing.periods
    shut = periods[periods["is_outage"] & (periods["unit"] == STATION)]
    spans = shut[["start_days", "end_days"]].to_numpy(dtype=float)
    return on_line_share_by_cell(grid.edges_days, spans)


def group_sets(case: Case, costing: Costing, parts: pd.DataFrame) -> list[GroupSet]:
    """Return every group that loses output; `parts` are all described components."""
    described = parts.set_index("component", drop=False)
    found = []
    with_states = set(case["group_states"]["group"])
    for row in rows(case["groups"][case["groups"]["group"].isin(with_states)]):
        for name, unit, held in instances(case, row.group):
            times = [costing.time(described.loc[member]) for member in held["component"]]
            grid = grid_of(times, case.settings.discount_share_per_year)
            count = int(held["line"].max()) + 1
            lost = _lost(case, row.group, count, grid.edges_days)
            lost = lost * value_cost_per_mw_day(case, unit)
            lost = lost * _on_line(costing, unit, grid)
            found.append(
                GroupSet(
                    name, tuple(held["component"]), grid, held["line"].to_numpy(dtype=np.int64),
                    lost, row.repair_days, row.beta_share,
                )
            )  # fmt: skip
    return found
