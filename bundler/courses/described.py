"""Each component with all that its family lends it."""

import numpy as np
import pandas as pd

from bundler.calendar import STATION, end_of_life_days
from bundler.case import Case
from bundler.life.evidence import known_lives
from bundler.life.given import given_lives

#: columns in which a component's own value goes before its family's
OWN = ("forced_days", "repair_cost", "derate_share")
#: columns of a life, taken from all that is known of it
LIFE = ("life_years", "shape_ratio", "life_sigma_ratio")


def _with_lives(case: Case, table: pd.DataFrame) -> pd.DataFrame:
    """Return components with their lives: all that is known of them, and their age."""
    known = pd.DataFrame(
        [
            (each.component, each.life_years, each.shape_ratio, each.sigma_ratio, each.words)
            for each in known_lives(case).values()
        ],
        columns=["component", *LIFE, "evidence"],
    )
    aged = given_lives(case)[["component", "renewed_days", "age_years"]]
    return table.merge(known, on="component").merge(aged, on="component")


def in_groups(case: Case) -> set[str]:
    """Return the components whose lost output is told by the states of a group."""
    members = case["group_members"]
    own = members[members["group"].isin(set(case["group_states"]["group"]))]
    parts = case["components"][["component", "family", "train"]]
    both = parts.merge(own[["family", "train"]], on="family", suffixes=("", "_only"))
    both = both[(both["train_only"] == "") | (both["train_only"] == both["train"])]
    return set(both["component"])


def described(case: Case) -> pd.DataFrame:
    """Return one row a component with life data, loss data, age and end of life.

    Own values go before the family's, and what records and readings tell before both; evidence
    says in words which. age_years is the age at the planning date [years] times the component's
    age ratio; end_days is the last day that counts [days from planning]; day_value_cost_per_day
    the lost output of a full-power day; most_works the most works on it. Where a group tells the
    output that its lines lose, its members lose none by themselves.
    """
    families = case["families"].drop(columns=["file_row", "source", *LIFE])
    parts = case["components"].drop(columns=["file_row", *LIFE])
    table = parts.merge(families, on="family", how="left", suffixes=("_own", ""))
    for name in OWN:
        table[name] = table[f"{name}_own"].fillna(table[name])
    grouped = table["component"].isin(in_groups(case))
    table[["forced_days", "derate_share"]] = table[["forced_days", "derate_share"]].mask(
        grouped, 0.0
    )
    table = _with_lives(case, table)
    units = case["units"].set_index("unit")
    table["end_days"] = table["unit"].map(end_of_life_days(case)).astype("float64")
    values = units["day_value_cost_per_day"].to_dict()
    values[STATION] = case.settings.station_value_cost_per_day
    table["day_value_cost_per_day"] = table["unit"].map(values)
    most = table["max_works_count"].fillna(case.settings.max_actions_count)
    table["most_works"] = most.astype(np.int64)
    drop = [f"{name}_own" for name in OWN]
    return table.drop(columns=drop).sort_values("component").reset_index(drop=True)
