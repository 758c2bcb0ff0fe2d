"""The life of each component as the tables give it, before any record or reading is looked at."""

import pandas as pd

from bundler.calendar import DAYS_A_YEAR, STATION, days_from_planning
from bundler.case import Case

#: columns in which a component's own value goes before its family's
OWN = ("life_years", "shape_ratio", "life_sigma_ratio")
LENT = ["family", "curve", "guarantee_years", "steps", "shape_sigma_ratio", "life_from", *OWN]


def renewed_dates(case: Case) -> pd.Series:
    """Return the date on which each component was new, in the order of the components."""
    units, parts = case["units"].set_index("unit"), case["components"]
    first = units["first_sync_date"].to_dict() | {STATION: units["first_sync_date"].min()}
    return parts["renewed_date"].fillna(parts["unit"].map(first))


def given_lives(case: Case) -> pd.DataFrame:
    """Return one row a component with its curve and its age, own values before the family's.

    Columns component, unit, family, train, batch, curve, life_years, shape_ratio,
    life_sigma_ratio, shape_sigma_ratio, guarantee_years, steps, life_from, renewed_days (from
    the planning date), calendar_years and age_years (calendar times the age ratio) at the planning
    date.
    """
    parts = case["components"].drop(columns="file_row")
    table = parts.merge(case["families"][LENT], on="family", how="left", suffixes=("_own", ""))
    for name in OWN:
        table[name] = table[f"{name}_own"].fillna(table[name])
    table["renewed_days"] = days_from_planning(case, renewed_dates(case))
    table["calendar_years"] = -table["renewed_days"] / DAYS_A_YEAR
    table["age_years"] = table["calendar_years"] * table["age_ratio"]
    names = [
        "component", "unit", "family", "train", "batch", "curve", *OWN, "shape_sigma_ratio",
        "guarantee_years", "steps", "life_from", "renewed_days", "calendar_years", "age_years",
    ]  # fmt: skip
    return table[names]
