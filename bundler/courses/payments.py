"""What a placed work costs, when it is paid, and when it has to be ordered."""

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR, date_at, present_worth
from bundler.case import Case, Settings
from bundler.dose import with_hours_dose
from bundler.hours import discovery_hours, planned_hours


def _summed(case: Case, hours: pd.DataFrame) -> pd.DataFrame:
    """Return hours and their cost for each family and action."""
    table = hours.merge(case["resources"][["resource", "cost_per_hour"]], on="resource")
    table["labour_cost"] = table["work_hours"] * table["cost_per_hour"]
    return table.groupby(["family", "action"], as_index=False)[["work_hours", "labour_cost"]].sum()


def labour(case: Case) -> pd.DataFrame:
    """Return direct hours and their cost for each family and action.

    work_hours are with those to be expected of discoveries, whose cost is found_labour_cost;
    labour_cost is of the work itself.
    """
    table = _summed(case, planned_hours(case))
    found = _summed(case, discovery_hours(case))
    names = {"work_hours": "found_hours", "labour_cost": "found_labour_cost"}
    table = table.merge(found.rename(columns=names), on=["family", "action"], how="outer")
    costs = ["work_hours", "labour_cost", "found_hours", "found_labour_cost"]
    table = table.fillna(dict.fromkeys(costs, 0.0))
    table["work_hours"] += table["found_hours"]
    return table.drop(columns="found_hours")


def add_costs(case: Case, placements: pd.DataFrame) -> pd.DataFrame:
    """Return the placements with cost, reference dates and order dates.

    dose_person_msv is the whole dose of a work, with that of its hours. Adds labour_cost,
    material_cost, ordered ahead, and found_cost, material to be expected of discoveries (real
    money, before escalation), planned_start_days (the middle of the slack), middle_days of the
    span, order_days, last_order_days, effect_days (the return to service, or the middle of an
    on-line period) and done_days (earliest finish).
    """
    table = placements.merge(labour(case), on=["family", "action"], how="left")
    direct = table["labour_cost"].fillna(0.0)
    found = np.minimum(table["found_labour_cost"].fillna(0.0), table["found_cost"])
    table["material_cost"] = np.maximum(table["cost"] - direct, 0.0)
    table["found_cost"] -= found
    ratio = table["learning_ratio"]
    table["labour_cost"] = (np.minimum(direct, table["cost"]) + found) * ratio
    table["cost"] = table["material_cost"] + table["labour_cost"] + table["found_cost"]
    table = table.drop(columns="found_labour_cost")
    table["dose_person_msv"] = with_hours_dose(case, table)
    slack = np.maximum(table["end_days"] - table["start_days"] - table["days"], 0.0)
    table["planned_start_days"] = table["start_days"] + slack / 2
    table["middle_days"] = table["planned_start_days"] + table["days"] / 2
    wait = table["lead_days"] + case.settings.receive_days
    has_lead = table["lead_months"] > 0
    table["order_days"] = np.where(has_lead, table["planned_start_days"] - wait, np.nan)
    latest = table["start_days"] + slack
    table["last_order_days"] = np.where(has_lead, latest - wait, np.nan)
    on_line = (table["open_days"] + table["close_days"]) / 2
    table["effect_days"] = np.where(table["is_outage"], table["close_days"], on_line)
    table["done_days"] = table["start_days"] + table["days"]
    return table


def _material(settings: Settings, table: pd.DataFrame) -> list[pd.DataFrame]:
    """Return the payments of material: in three stages for long lead times, else at delivery."""
    has_lead = table["lead_months"] > 0
    staged = has_lead & (table["lead_months"] >= settings.staged_from_months)
    early, mid = settings.order_payment_share, settings.middle_payment_share
    lead = table["lead_days"].to_numpy()
    start = table["planned_start_days"]
    delivery = np.where(has_lead, start - settings.receive_days, start)
    order = table["order_days"].fillna(0.0).to_numpy()
    stages = [
        ("order", order, np.where(staged, early, 0.0)),
        ("middle", order + lead / 2, np.where(staged, mid, 0.0)),
        ("delivery", delivery, np.where(staged, 1 - early - mid, 1.0)),
    ]
    frames = []
    for part, days, share in stages:
        frame = pd.DataFrame(
            {"placement": table["placement"], "part": part, "days": np.maximum(days, 0.0)}
        )
        frame["cost"] = table["material_cost"] * share
        frames.append(frame)
    return frames


def payments(case: Case, table: pd.DataFrame) -> pd.DataFrame:
    """Return when each placement is paid.

    One row a placement and part (order, middle, delivery, labour, discovery); year, cost (real
    money of the price year with escalation to the day of payment) and pv_cost. Labour and what
    is found are paid in the middle of the work.
    """
    at_work = [
        table[["placement"]].assign(part=part, days=table["middle_days"], cost=table[column])
        for part, column in (("labour", "labour_cost"), ("discovery", "found_cost"))
    ]
    rows = pd.concat([*_material(case.settings, table), *at_work], ignore_index=True)
    rows = rows[rows["cost"] > 0].copy()
    growth = (1 + case.settings.escalation_share_per_year) ** (rows["days"] / DAYS_A_YEAR)
    rows["pv_cost"] = rows["cost"] * present_worth(case.settings, rows["days"])
    rows["cost"] = rows["cost"] * growth
    rows["year"] = [date_at(case, days).year for days in rows["days"]]
    names = ["placement", "part", "days", "year", "cost", "pv_cost"]
    return rows.sort_values(["placement", "days", "part"])[names].reset_index(drop=True)


def planned_pv(case: Case, table: pd.DataFrame, paid: pd.DataFrame) -> pd.Series:
    """Return the present value of each placement's planned cost with the value of its dose."""
    cost = paid.groupby("placement")["pv_cost"].sum().reindex(table["placement"], fill_value=0.0)
    years = table["middle_days"] / DAYS_A_YEAR
    factor = (1 + case.settings.discount_share_per_year) ** -years
    dose = table["dose_person_msv"] * case.settings.dose_value_cost_per_person_msv * factor
    return pd.Series(cost.to_numpy() + dose.to_numpy(), table.index)
