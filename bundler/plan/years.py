"""Risk by year against doing nothing, and the outages of a plan in one table."""

import pandas as pd

from bundler.calendar import dates_at
from bundler.case import Case
from bundler.choice import Choices
from bundler.plan.chosen import Chosen


def risk_by_year(yearly: pd.DataFrame, idle: pd.DataFrame) -> pd.DataFrame:
    """Return expected real money lost by unit and year: with the plan, and with no work at all."""
    keys = ["unit", "year"]
    names = ["failures_count", "risk_cost"]
    plan = yearly.groupby(keys)[names].sum()
    none = idle.groupby(keys)[names].sum().add_prefix("no_work_")
    return plan.join(none).round(3).reset_index()


def outages(case: Case, choices: Choices, picked: Chosen) -> pd.DataFrame:
    """Return one row an outage: dates, extension, and how much work goes in."""
    table = choices.periods[choices.periods["is_outage"]].copy()
    by_period = picked.works.assign(
        hours=picked.works["work_hours"].fillna(0) * picked.works["learning_ratio"]
    ).groupby("period")
    sums = by_period.agg(
        works_count=("placement", "count"), work_hours=("hours", "sum"),
        planned_cost=("cost", "sum"), dose_person_msv=("dose_person_msv", "sum"),
    )  # fmt: skip
    table = table.join(sums, on="period")
    extension = table["period"].map(picked.extension_days).fillna(0.0)
    result = pd.DataFrame(
        {
            "outage": table["period"],
            "unit": table["unit"],
            "kind": table["kind"],
            "start_date": dates_at(case, table["start_days"]),
            "freeze_date": dates_at(case, table["freeze_days"]),
            "days": table["days"],
            "extension_days": extension.round(1),
            "works_count": table["works_count"].fillna(0).astype(int),
            "work_hours": table["work_hours"].fillna(0.0).round(0),
            "planned_cost": table["planned_cost"].fillna(0.0).round(1),
            "dose_person_msv": table["dose_person_msv"].fillna(0.0),
        }
    )
    return result.sort_values(["start_date", "outage"], ignore_index=True)
