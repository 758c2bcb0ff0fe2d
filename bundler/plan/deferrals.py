"""The deferral register: work that could have gone in earlier, and the risk until it does."""

import numpy as np
import pandas as pd

from bundler.calendar import dates_at
from bundler.case import Case
from bundler.plan.chosen import Chosen
from bundler.tables import words

LEFT_OUT = "not in plan"


def _chances(table: pd.DataFrame) -> pd.DataFrame:
    """Return every outage into which work that restores a component could go, in time order."""
    able = table[table["is_outage"] & (table["restoration_share"] > 0)]
    able = able.sort_values(["component", "open_days", "planned_pv_cost", "placement"])
    return able.drop_duplicates(["component", "period"])


def _carried(yearly: pd.DataFrame, first: pd.DataFrame) -> pd.DataFrame:
    """Return risk carried by each component in the years from its chance up to its work."""
    table = yearly.merge(first[["component", "from_year", "to_year"]], on="component")
    inside = (table["year"] >= table["from_year"]) & (table["year"] < table["to_year"])
    rows = (
        table[inside]
        .groupby("component")
        .agg(
            carried_cost=("risk_cost", "sum"),
            failures_count=("failures_count", "sum"),
            years=("year", "count"),
        )
    )
    rows["carried_cost_per_year"] = rows["carried_cost"] / rows["years"]
    return rows


def _firsts(case: Case, eligible: pd.DataFrame, picked: Chosen) -> pd.DataFrame:
    """Return for each component its first chance and its first restoring work in the plan."""
    chances = _chances(eligible)
    first = chances.drop_duplicates("component").set_index("component")
    works = picked.works[picked.works["restoration_share"] > 0].sort_values("open_days")
    done = works.drop_duplicates("component").set_index("component")
    names = {
        "period": "from_period", "open_days": "from_days", "action": "first_action",
        "extension_days": "from_added_days",
    }  # fmt: skip
    table = first[["unit", "family", *names]].rename(columns=names)
    table["to_period"] = done["period"].reindex(table.index)
    table["to_days"] = done["open_days"].reindex(table.index)
    table["is_later"] = table["to_days"].isna() | (table["to_days"] > table["from_days"])
    start = case.settings.planning_date
    end = case.settings.horizon_end_date
    table["from_year"] = [
        (pd.Timestamp(start) + pd.Timedelta(days=d)).year for d in table["from_days"]
    ]
    to = table["to_days"].fillna((end - start).days + 366)
    table["to_year"] = [(pd.Timestamp(start) + pd.Timedelta(days=d)).year for d in to]
    table["to_year"] = np.maximum(table["to_year"], table["from_year"] + 1)
    return table[table["is_later"]].reset_index()


def _next_chance(
    eligible: pd.DataFrame, picked: Chosen, table: pd.DataFrame, day_cost: pd.Series
) -> pd.DataFrame:
    """Return the next outage that fits each deferred work, with its real cost.

    Where the plan does the work later, that work; else the cheapest work at the next chance
    after the one passed by. The cost is that of the work plus the days by which it alone would
    lengthen the outage, in real money.
    """
    ours = table[["component", "from_days", "to_period"]]
    left = _chances(eligible).merge(ours[ours["to_period"].isna()], on="component")
    left = left[left["open_days"] > left["from_days"]]
    kept = picked.works.merge(
        ours, left_on=["component", "period"], right_on=["component", "to_period"]
    )
    later = pd.concat([left, kept], ignore_index=True)
    later = later.sort_values(["component", "open_days"]).drop_duplicates("component")
    later = later.assign(
        added_days=later["extension_days"],
        next_cost=later["cost"] + later["extension_days"] * later["period"].map(day_cost),
    )
    return later.set_index("component")[
        ["period", "action", "open_days", "added_days", "next_cost"]
    ]


def deferrals(
    case: Case, eligible: pd.DataFrame, day_cost: pd.Series, picked: Chosen, yearly: pd.DataFrame
) -> pd.DataFrame:
    """Return the deferral register, the largest risk carried per year first.

    `eligible` holds every placement that could be, worth it or not; `day_cost` the real cost of a
    day more by outage. One row a component whose work could have gone into an outage and did not.
    The risk carried is expected real money lost in the years from that outage up to the planned
    work, or to the end of life where it is left out.
    """
    table = _firsts(case, eligible, picked)
    carried = _carried(yearly, table)
    chance = _next_chance(eligible, picked, table, day_cost)
    table = table.join(carried, on="component").join(chance.add_prefix("chance_"), on="component")
    families = case["families"][["family", "name", "worst_event", "has_injury_risk"]]
    table = table.merge(families, on="family", how="left")
    register = pd.DataFrame(
        {
            "component": table["component"],
            "unit": table["unit"],
            "name": table["name"],
            "action": table["first_action"],
            "from_period": table["from_period"],
            "from_added_days": table["from_added_days"].round(1),
            "to_period": words(table["to_period"], LEFT_OUT),
            "carried_cost_per_year": table["carried_cost_per_year"].fillna(0.0).round(1),
            "carried_cost": table["carried_cost"].fillna(0.0).round(1),
            "failures_count": table["failures_count"].fillna(0.0).round(4),
            "next_period": words(table["chance_period"], "none"),
            "next_action": words(table["chance_action"], ""),
            "next_date": dates_at(case, table["chance_open_days"]),
            "next_added_days": table["chance_added_days"].fillna(0.0).round(1),
            "next_cost": table["chance_next_cost"].round(1),
            "worst_event": table["worst_event"],
            "has_injury_risk": table["has_injury_risk"],
        }
    )
    order = ["carried_cost_per_year", "component"]
    return register.sort_values(order, ascending=[False, True], ignore_index=True)
