"""The work list and the orders of a plan."""

import pandas as pd

from bundler.calendar import date_at, dates_at
from bundler.case import Case
from bundler.choice import Choices
from bundler.plan.chosen import Chosen
from bundler.tables import words


def _access_names(choices: Choices, works: pd.DataFrame) -> pd.Series:
    """Return the access sets that each work uses, joined by a space."""
    rows = choices.access_members[choices.access_members["placement"].isin(works["placement"])]
    names = rows.groupby("placement")["access_set"].agg(lambda sets: " ".join(sorted(set(sets))))
    return words(works["placement"].map(names), "")


def work_list(case: Case, choices: Choices, picked: Chosen) -> pd.DataFrame:
    """Return the works in order of outage and day: what, where, when, by which parts and crews.

    One row a work. window_start_date and window_end_date are the first and last day on which it
    can be done, with the days by which its outage is lengthened; hours are direct hours of trades
    and cranes with learning.
    """
    works = picked.works
    families = case["families"][["family", "name", "area"]]
    hours = works["work_hours"].fillna(0.0) * works["learning_ratio"]
    table = works.merge(families, on="family")
    longer = table["period"].map(picked.extension_days).fillna(0.0)
    return pd.DataFrame(
        {
            "period": table["period"],
            "window_start_date": dates_at(case, table["start_days"]),
            "window_end_date": dates_at(case, table["end_days"] + longer),
            "component": table["component"],
            "unit": table["unit"],
            "family": table["family"],
            "name": table["name"],
            "action": table["action"],
            "conditions": table["needs"],
            "area": table["area"],
            "train": table["train"],
            "access_sets": _access_names(choices, table),
            "days": table["days"].round(1),
            "work_hours": hours.to_numpy().round(0),
            "dose_person_msv": table["dose_person_msv"].round(3),
            "cost": table["cost"].round(1),
            "discovery_chance": table["discovery_chance"],
            "discovery_days": table["discovery_days"],
            "order_date": dates_at(case, table["order_days"]),
        }
    ).sort_values(["window_start_date", "period", "component"], ignore_index=True)


def orders(case: Case, picked: Chosen) -> pd.DataFrame:
    """Return what has to be ordered and by when, soonest last order date first.

    order_date is the planned order; last_order_date is the last day that still serves the
    latest start of the work in its window.
    """
    works = picked.works[picked.works["order_days"].notna()]
    table = pd.DataFrame(
        {
            "last_order_date": dates_at(case, works["last_order_days"]),
            "order_date": dates_at(case, works["order_days"]),
            "component": works["component"],
            "action": works["action"],
            "period": works["period"],
            "lead_months": works["lead_months"],
            "approval_days": works["approval_days"].round(0),
            "float_days": (works["last_order_days"] - works["approval_days"]).round(0),
            "material_cost": works["material_cost"].round(1),
        }
    )
    return table.sort_values(["last_order_date", "component", "action"], ignore_index=True)


def cash_flow(case: Case, payments: pd.DataFrame, picked: Chosen) -> pd.DataFrame:
    """Return what is paid in each calendar year, by part, against the budget.

    Real money of the price year with escalation; access is paid when it is made.
    """
    rows = payments[payments["placement"].isin(picked.works["placement"])]
    parts = rows.pivot_table(index="year", columns="part", values="cost", aggfunc="sum")
    access = picked.access.assign(
        year=[date_at(case, days).year for days in picked.access["paid_days"]]
    )
    parts["access"] = access.groupby("year")["cost"].sum()
    names = ["order", "middle", "delivery", "labour", "discovery", "access"]
    years = range(case.settings.planning_date.year, case.settings.horizon_end_date.year + 1)
    table = parts.reindex(index=years, columns=names).fillna(0.0)
    table.columns = [f"{name}_cost" for name in names]
    table["total_cost"] = table.sum(axis=1)
    limits = case["budgets"].set_index("year")["limit_cost"]
    table["limit_cost"] = limits.reindex(table.index)
    return table.round(1).rename_axis("year").reset_index()
