"""One set of components that share a loss, whatever its kind: what every kind can tell."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from bundler.calendar import DAYS_A_YEAR
from bundler.choice import FloatArray
from bundler.courses.costs import UnitTime
from bundler.courses.exposure import Extra
from bundler.risk.money import mean_discount_by_cell
from bundler.risk.spares import on_grid
from bundler.shared.doing import Doings


class SharedSet(Protocol):
    """What a set of components has to tell of the loss they share.

    name and members; loss_pv: what all lose together beside their own losses, in present value;
    by_member: the same in real money by member and cell of its own grid, attributed; charge_pv:
    how much of the loss the courses of one member are charged in all; extra: what they are
    charged by failure or removal while the others stand. loss_pv minus the sum of charge_pv is
    the same whatever a member does, as far as the loss is linear in it.
    """

    @property
    def name(self) -> str:
        """Its name."""

    @property
    def members(self) -> tuple[str, ...]:
        """Its components."""

    def loss_pv(self, plan: Doings) -> float:
        """Return what all members lose together, in present value."""

    def by_member(self, plan: Doings) -> dict[str, FloatArray]:
        """Return the real loss by member and cell of its own grid."""

    def charge_pv(self, plan: Doings, member: str) -> float:
        """Return how much of it the course of a member is charged."""

    def extra(self, plan: Doings, member: str) -> Extra:
        """Return what the courses of a member are charged while the others stand."""


@dataclass(frozen=True)
class Grid:
    """The times that a set's members have in common, and each member's own.

    edges_days [K+1] are those of all members; discount [K]; own_days by member; on_line [n, K]
    the share of each cell in which each member's unit is on line, 0 after its end.
    """

    edges_days: FloatArray
    discount: FloatArray
    own_days: tuple[FloatArray, ...]
    on_line: FloatArray

    @property
    def days(self) -> FloatArray:
        """The width of each cell [K, days]."""
        width: FloatArray = self.edges_days[1:] - self.edges_days[:-1]
        return width

    def failures(self, plan: Doings, members: tuple[str, ...]) -> FloatArray:
        """Return the failures of the members on the common grid [n, K]."""
        return np.array(
            [
                on_grid(plan[name].failures, own, self.edges_days)
                for name, own in zip(members, self.own_days, strict=True)
            ]
        )


def _common(edges: list[FloatArray]) -> FloatArray:
    """Return all edges in order, those that differ by rounding only once."""
    every = np.unique(np.concatenate(edges))
    kept: FloatArray = every[np.append(True, np.diff(every) > 1e-6)]
    return kept


def grid_of(times: list[UnitTime], discount_share_per_year: float) -> Grid:
    """Return the common grid of members from their units' grids."""
    own = [time.grid_years * DAYS_A_YEAR for time in times]
    edges = _common(own)
    middle = (edges[1:] + edges[:-1]) / 2
    on_line = np.zeros((len(times), len(middle)))
    for row, (time, days) in enumerate(zip(times, own, strict=True)):
        cell = np.searchsorted(days, middle) - 1
        inside = (cell >= 0) & (cell < len(time.on_line_share))
        on_line[row, inside] = time.on_line_share[cell[inside]]
    discount = mean_discount_by_cell(discount_share_per_year, edges / DAYS_A_YEAR)
    return Grid(edges, discount, tuple(own), on_line)
