"""Access sets in each outage: what they cost, who needs them, and which are made anyway."""

import pandas as pd

from bundler.calendar import DAYS_A_YEAR
from bundler.case import Case

KEY = ["access_set", "unit", "train", "period"]


def access_needs(case: Case, works: pd.DataFrame) -> pd.DataFrame:
    """Return which work in an outage needs which access set; work on line needs none.

    Adds access (its name) and access_set; train is empty where a set is not one a train.
    """
    sets = case["access_sets"][["access_set", "is_by_train"]]
    members = case["access_members"].drop(columns="file_row").rename(columns={"action": "only"})
    needs = works[works["is_outage"]].merge(members.merge(sets, on="access_set"), on="family")
    is_own = (needs["only"] == needs["action"]) | (needs["only"] == needs["like"])
    needs = needs[(needs["only"] == "") | is_own]
    needs = needs.drop_duplicates([*works.columns, "access_set"])
    needs["train"] = needs["train"].where(needs["is_by_train"], "")
    parts = [needs["period"], needs["access_set"], needs["train"]]
    needs["access"] = (
        parts[0] + "." + parts[1] + parts[2].map(lambda text: f".{text}" if text else "")
    )
    return needs


def access_members(case: Case, placements: pd.DataFrame) -> pd.DataFrame:
    """Return which placement needs which access set: access, the key columns and placement."""
    needs = access_needs(case, placements)[["access", *KEY, "placement"]]
    return needs.sort_values(["access", "placement"]).reset_index(drop=True)


def access_hours(case: Case) -> pd.DataFrame:
    """Return direct hours and their cost for each access set and resource."""
    table = case["access_hours"].drop(columns="file_row")
    table = table.merge(case["resources"][["resource", "cost_per_hour"]], on="resource")
    return table.assign(labour_cost=table["work_hours"] * table["cost_per_hour"])


def access(
    case: Case, members: pd.DataFrame, fits: pd.DataFrame, periods: pd.DataFrame
) -> pd.DataFrame:
    """Return one row an access set that some placement needs in an outage.

    It spans all works whose conditions hold there, whether they are worth doing or not, so that
    one family's worth never moves another's cost.

    Columns access, access_set, unit, train, period, span_start_days, span_end_days, cost (real),
    paid_days, pv_cost and is_given, true where the base scope makes it anyway.
    """
    spans = {
        "span_start_days": ("span_start_days", "min"),
        "span_end_days": ("span_end_days", "max"),
    }
    wide = access_needs(case, fits).groupby(["access", *KEY], as_index=False).agg(**spans)
    table = wide[wide["access"].isin(set(members["access"]))].reset_index(drop=True)
    labour = access_hours(case).groupby("access_set")["labour_cost"].sum()
    sets = case["access_sets"].set_index("access_set")
    fixed = table["access_set"].map(sets["setup_cost"])
    table["cost"] = fixed + table["access_set"].map(labour).fillna(0.0)
    table = table.merge(periods[["period", "kind", "start_days"]], on="period")
    given = set(case["base_access"][["kind", "access_set"]].itertuples(index=False, name=None))
    pairs = zip(table["kind"], table["access_set"], strict=True)
    table["is_given"] = pd.Series([pair in given for pair in pairs], dtype=bool)
    table["area"] = table["access_set"].map(sets["area"])
    table["paid_days"] = table["span_start_days"]
    years = table["paid_days"] / DAYS_A_YEAR
    grown = table["cost"] * (1 + case.settings.escalation_share_per_year) ** years
    table["cost"] = grown.where(~table["is_given"], 0.0)
    factor = (1 + case.settings.discount_share_per_year) ** -years
    table["pv_cost"] = table["cost"] * factor
    return table.sort_values("access").reset_index(drop=True)
