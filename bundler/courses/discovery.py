"""What may be found once a work has opened a component: days, chance and money to be expected."""

import numpy as np
import pandas as pd

from bundler.case import Case

WORK = ["family", "action"]


def outlook(case: Case) -> pd.DataFrame:
    """Return what may be found on each kind of work; one row a family and action.

    found_days: days of all discoveries that are likely enough to be planned for; found_cost: cost
    to be expected of all, chance x cost, with labour; discovery_chance: chance of at least one of
    those not planned for, each by itself, and discovery_days, by which all of them would lengthen
    the work.
    """
    table = case["discoveries"][[*WORK, "chance", "days", "cost"]].copy()
    is_planned = table["chance"] >= case.settings.discovery_from_chance
    table["found_days"] = np.where(is_planned, table["days"], 0.0)
    table["found_cost"] = table["chance"] * table["cost"]
    table["discovery_days"] = np.where(is_planned, 0.0, table["days"])
    table["not_found"] = np.where(is_planned, 1.0, 1.0 - table["chance"])
    how = {"found_days": "sum", "found_cost": "sum", "discovery_days": "sum", "not_found": "prod"}
    result = table.groupby(WORK, as_index=False).agg(how)
    result["discovery_chance"] = 1.0 - result["not_found"]
    return result[[*WORK, "found_days", "found_cost", "discovery_chance", "discovery_days"]]


def with_outlook(case: Case, works: pd.DataFrame) -> pd.DataFrame:
    """Return works with the columns of `outlook`; 0 where nothing may be found."""
    table = works.merge(outlook(case), on=WORK, how="left")
    names = ["found_days", "found_cost", "discovery_chance", "discovery_days"]
    return table.fillna(dict.fromkeys(names, 0.0))
