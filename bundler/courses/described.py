"""Each component with all that its family lends it."""

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR, STATION, days_from_planning, end_of_life_days
from bundler.case import Case

#: columns in which a component's own value goes before its family's
OWN = ("life_years", "shape_ratio", "forced_days", "repair_cost", "derate_share")


def described(case: Case) -> pd.DataFrame:
    """Return one row a component with life data, loss data, age and end of life.

    Own values go before the family's. age_years is the age at the planning date [years] times
    the component's age ratio; end_days is the last day that counts [days from planning];
    day_value_cost_per_day the lost output of a full-power day; most_works the most works on it.
    """
    families = case["families"].drop(columns=["file_row", "source"])
    parts = case["components"].drop(columns="file_row")
    table = parts.merge(families, on="family", how="left", suffixes=("_own", ""))
    for name in OWN:
        table[name] = table[f"{name}_own"].fillna(table[name])
    units = case["units"].set_index("unit")
    first = units["first_sync_date"].to_dict() | {STATION: units["first_sync_date"].min()}
    renewed = table["renewed_date"].fillna(table["unit"].map(first))
    table["age_years"] = -days_from_planning(case, renewed) / DAYS_A_YEAR * table["age_ratio"]
    table["renewed_days"] = days_from_planning(case, renewed)
    table["end_days"] = table["unit"].map(end_of_life_days(case)).astype("float64")
    values = units["day_value_cost_per_day"].to_dict()
    values[STATION] = case.settings.station_value_cost_per_day
    table["day_value_cost_per_day"] = table["unit"].map(values)
    most = table["max_works_count"].fillna(case.settings.max_actions_count)
    table["most_works"] = most.astype(np.int64)
    drop = [f"{name}_own" for name in OWN]
    return table.drop(columns=drop).sort_values("component").reset_index(drop=True)
