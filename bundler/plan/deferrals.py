"""The deferral register: work that could have gone in earlier, and the risk until it does."""

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR, dates_at, end_of_life_days
from bundler.case import Case
from bundler.plan.chosen import Chosen
from bundler.tables import words

LEFT_OUT = "not in plan"


def _chances(table: pd.DataFrame) -> pd.DataFrame:
    """Return every outage into which work that restores a component could go, in time order."""
    able = table[table["is_outage"] & (table["restoration_share"] > 0)]
    able = able.sort_values(["component", "open_days", "planned_pv_cost", "placement"])
    return able.drop_duplicates(["component", "period"])


def _carried(case: Case, yearly: pd.DataFrame, first: pd.DataFrame) -> pd.DataFrame:
    """Return risk carried by each component from its chance up to its work, or its end of life.

    Years that are only partly between count by that part.
    """
    table = yearly.merge(first[["component", "from_days", "until_days"]], on="component")
    opens = pd.to_datetime(table["year"].astype(str) + "-01-01")
    start = (opens - pd.Timestamp(case.settings.planning_date)).dt.days
    low = np.maximum(table["from_days"], start)
    high = np.minimum(table["until_days"], start + DAYS_A_YEAR)
    part = np.maximum(high - low, 0.0) / DAYS_A_YEAR
    table = table.assign(
        carried_cost=table["risk_cost"] * part,
        failures_count=table["failures_count"] * part,
        years=part,
    )
    sums = table.groupby("component")[["carried_cost", "failures_count", "years"]].sum()
    sums["carried_cost_per_year"] = sums["carried_cost"] / sums["years"].where(sums["years"] > 0)
    return sums


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
    ends = table["unit"].map(end_of_life_days(case))
    table["until_days"] = table["to_days"].fillna(ends)
    return table[table["is_later"]].reset_index()


def _next_chance(eligible: pd.DataFrame, table: pd.DataFrame, day_cost: pd.Series) -> pd.DataFrame:
    """Return the next outage that fits each deferred work, chosen or not, with its real cost.

    The cost is that of the cheapest work there with the days by which it alone would lengthen
    the outage, in real money.
    """
    later = _chances(eligible).merge(table[["component", "from_days"]], on="component")
    later = later[later["open_days"] > later["from_days"]]
    later = later.sort_values(["component", "open_days"]).drop_duplicates("component")
    later = later.assign(
        added_days=later["extension_days"],
        next_cost=later["cost"] + later["extension_days"] * later["period"].map(day_cost),
    )
    names = ["period", "action", "open_days", "added_days", "next_cost"]
    return later.set_index("component")[names]


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
    carried = _carried(case, yearly, table)
    chance = _next_chance(eligible, table, day_cost)
    table = table.join(carried, on="component").join(chance.add_prefix("chance_"), on="component")
    notes = case["components"].set_index("component")["note"]
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
            "next_added_days": table["chance_added_days"].round(1),
            "next_cost": table["chance_next_cost"].round(1),
            "worst_event": table["worst_event"],
            "has_injury_risk": table["has_injury_risk"],
            "note": words(table["component"].map(notes), ""),
        }
    )
    order = ["carried_cost_per_year", "component"]
    return register.sort_values(order, ascending=[False, True], ignore_index=True)
