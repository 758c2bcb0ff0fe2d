"""All sets of a case: what a plan loses through them, and what that charges each course."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import reduce

import pandas as pd

from bundler.case import Case
from bundler.choice import FloatArray
from bundler.courses.costing import Costing
from bundler.courses.exposure import Extra
from bundler.courses.placed import place
from bundler.shared.doing import Doing, Doings, doing, doings
from bundler.shared.groups import GroupSet, group_sets
from bundler.shared.run_out import RunOutSet, run_out_sets
from bundler.shared.sets import SharedSet
from bundler.shared.spares import SpareSet, spare_sets


def _both(one: Extra, other: Extra) -> Extra:
    """Return what two sets charge a component together."""
    removal = one.removal_pv_cost
    if other.removal_pv_cost is not None:
        removal = other.removal_pv_cost + (0.0 if removal is None else removal)
    return Extra(one.loss_cost + other.loss_cost, one.loss_pv_cost + other.loss_pv_cost, removal)


@dataclass(frozen=True)
class Shared:
    """Every set of a case; costing has no extras, parts are its described components by name.

    placed are all works there may be, where a stock is used up.
    """

    costing: Costing
    parts: Mapping[str, pd.Series]
    groups: tuple[GroupSet, ...]
    spares: tuple[SpareSet, ...]
    run_outs: tuple[RunOutSet, ...]
    placed: pd.DataFrame

    @property
    def sets(self) -> tuple[SharedSet, ...]:
        """All sets, whatever their kind."""
        return (*self.groups, *self.spares, *self.run_outs)

    @property
    def members(self) -> list[str]:
        """Every component that shares a loss, in order."""
        return sorted({name for each in self.sets for name in each.members})

    def plan(
        self, works: pd.DataFrame, life_ratios: Mapping[str, float] | None = None
    ) -> dict[str, Doing]:
        """Return what the members do; `works` are all placed works of a plan.

        `life_ratios` scale their lives, by component; None: the lives assumed.
        """
        parts = [self.parts[name] for name in self.members]
        return doings(self.costing, parts, works, life_ratios)

    def doing(self, name: str, works: pd.DataFrame) -> Doing:
        """Return what a member does with its own works."""
        return doing(self.costing, self.parts[name], works)

    def sets_of(self, name: str) -> list[SharedSet]:
        """Return the sets that a component belongs to."""
        return [each for each in self.sets if name in each.members]

    def extra(self, plan: Doings, name: str) -> Extra:
        """Return what the courses of a member are charged while the others stand."""
        return reduce(_both, [each.extra(plan, name) for each in self.sets_of(name)])

    def extras(self, plan: Doings) -> dict[str, Extra]:
        """Return the same for every member."""
        return {name: self.extra(plan, name) for name in self.members}

    def loss_pv(self, plan: Doings) -> float:
        """Return what a plan loses through all sets, in present value."""
        return sum(each.loss_pv(plan) for each in self.sets)

    def constant_pv(self, plan: Doings) -> float:
        """Return the loss that no course is charged, at a plan; it is the same for all courses."""
        return sum(
            each.loss_pv(plan) - sum(each.charge_pv(plan, name) for name in each.members)
            for each in self.sets
        )

    def by_member(self, plan: Doings) -> dict[str, FloatArray]:
        """Return the real loss through all sets by member and cell of its own grid."""
        found: dict[str, FloatArray] = {}
        for each in self.sets:
            for name, lost in each.by_member(plan).items():
                found[name] = found.get(name, 0.0) + lost
        return found


def shared_of(case: Case, periods: pd.DataFrame, parts: pd.DataFrame) -> Shared:
    """Return the sets of a case; `parts` are its described components."""
    costing = Costing(case, periods, {})
    placed = pd.DataFrame()
    if (case["stocks"]["use_count_per_year"] > 0).any():
        placed = place(case, periods).placed
    named = {str(part["component"]): part for _, part in parts.iterrows()}
    return Shared(
        costing, named, tuple(group_sets(case, costing, parts)),
        tuple(spare_sets(case, costing, parts)),
        tuple(run_out_sets(case, costing, parts, placed)), placed,
    )  # fmt: skip
