"""What leaving a work out of its outage costs, while all other components do as in the plan."""

import numpy as np

from bundler.choice import Choices, IntArray
from bundler.plan.chosen import Chosen
from bundler.standing.left import left, standing
from bundler.standing.settle import by_component
from bundler.standing.site import site_of

#: a work that no course of its component leaves out counts as so many times the dearest other
FORCED_TIMES = 10
#: parts of the dearest work in which the solver counts; our choice
PARTS = 100_000


class Values:
    """What the works of a plan are worth in their outages, each by itself."""

    def __init__(self, choices: Choices, picked: Chosen) -> None:
        self.choices, self.picked = choices, picked
        chosen = by_component(choices, tuple(picked.courses["course"]))
        self.state = standing(site_of(choices), chosen)
        table = choices.courses
        table = table[table["is_lean"] | table["course"].isin(set(chosen.values()))]
        self.own = {
            str(name): group.to_numpy(dtype=np.int64)
            for name, group in table.groupby("component")["course"]
        }
        self.cost = choices.courses["pv_cost"].to_numpy(dtype=float)

    def _without(self, component: str, hit: set[int]) -> float:
        """Return what the plan costs more without the works in `hit`; nan where no course is."""
        courses: IntArray = self.own[component]
        is_free = ~np.isin(courses, list(hit))
        if not is_free.any():
            return np.nan
        at_now = courses == self.state.course[component]
        own = self.cost[courses]
        total = own + left(self.state, component, courses).shared_pv_cost
        if not np.isfinite(total[is_free]).any():
            total = own  # only its links to other works hold it there: what it is worth by itself
        return float(total[is_free].min() - total[at_now][0])

    def _there(self, period: str) -> tuple[list[str], set[int]]:
        """Return who works in an outage in the plan, and all courses with a work there."""
        works, placed = self.picked.works, self.choices.placements
        there = placed.loc[placed["period"] == period, "placement"]
        held = self.choices.works
        hit = set(held.loc[held["placement"].isin(there), "course"])
        return sorted(set(works.loc[works["period"] == period, "component"])), hit

    def worth(self, period: str) -> dict[str, float]:
        """Return what leaving out the work of each component in an outage costs [present value].

        The cheapest of its courses without a work there that fits, less the one chosen: risk,
        work, access, added days and overtime; none is below 0. Where none fits because other
        works need it, its own risk and work alone. nan for work that law or a pin forces into the
        outage.
        """
        names, hit = self._there(period)
        lost = {name: self._without(name, hit) for name in names}
        return {name: value if np.isnan(value) else max(value, 0.0) for name, value in lost.items()}

    def forced(self, period: str) -> frozenset[str]:
        """Return the components with a work in an outage that none of their courses leaves out."""
        names, hit = self._there(period)
        return frozenset(name for name in names if np.isin(self.own[name], list(hit)).all())

    def of(self, period: str) -> dict[str, int]:
        """Return the worth of each component's work in whole parts of the dearest, from 1.

        `PARTS` for the dearest that may be left out, `FORCED_TIMES` as much for what may not.
        """
        worth = self.worth(period)
        most = max([value for value in worth.values() if value > 0], default=1.0)
        return {
            name: FORCED_TIMES * PARTS if np.isnan(value) else max(round(value / most * PARTS), 1)
            for name, value in worth.items()
        }
