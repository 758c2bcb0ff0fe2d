"""What leaving a work out of its outage costs, as the plan's courses say."""

import numpy as np
import pandas as pd

from bundler.choice import Choices
from bundler.plan.chosen import Chosen

#: a work that no course of its component leaves out counts as so many times the dearest other
FORCED_TIMES = 10


def _without(choices: Choices, picked: Chosen, period: str) -> pd.Series:
    """Return the least cost of a course without a work in the outage, by component [pv]."""
    there = choices.placements.loc[choices.placements["period"] == period, "placement"]
    hit = choices.works.loc[choices.works["placement"].isin(there), "course"]
    own = choices.courses["component"].isin(picked.works.loc[_in(picked, period), "component"])
    free = choices.courses[own & ~choices.courses["course"].isin(hit)]
    return free.groupby("component")["pv_cost"].min()


def _in(picked: Chosen, period: str) -> pd.Series:
    result: pd.Series = picked.works["period"] == period
    return result


def values_of(choices: Choices, picked: Chosen, period: str) -> dict[str, int]:
    """Return what leaving out the work of each component in an outage costs [whole, at least 1].

    The cheapest of its courses without a work there less the one chosen, in present value, all
    other components as they are; access and days that others could save are not counted. Work
    that law or a pin forces into the outage counts as `FORCED_TIMES` the dearest other.
    """
    chosen = picked.courses.set_index("component")["pv_cost"]
    names = sorted(set(picked.works.loc[_in(picked, period), "component"]))
    free = _without(choices, picked, period).reindex(names)
    lost = free - chosen.reindex(names)
    most = max(float(np.nanmax(lost.to_numpy(), initial=0.0)), 1.0)
    told = lost.fillna(FORCED_TIMES * most).clip(lower=1.0)
    return {str(name): round(value) for name, value in told.items()}
