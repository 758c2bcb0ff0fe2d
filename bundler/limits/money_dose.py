"""Collective dose by outage and money by calendar year."""

import pandas as pd

from bundler.calendar import date_at
from bundler.case import Case
from bundler.limits.rows import LimitRows, no_uses


def dose_limits(placements: pd.DataFrame, periods: pd.DataFrame) -> LimitRows:
    """Return the collective dose budget of each outage that has one [person-mSv]."""
    limited = periods[periods["dose_limit_person_msv"].notna()]
    limits = pd.DataFrame(
        {
            "limit": limited["period"] + ".dose",
            "measure": "person_msv",
            "resource": "dose",
            "period": limited["period"],
            "amount": limited["dose_limit_person_msv"],
            "step": "1 person-mSv",
        }
    )
    uses = placements[placements["period"].isin(limited["period"])]
    table = pd.DataFrame(
        {
            "limit": uses["period"] + ".dose",
            "placement": uses["placement"],
            "amount": uses["dose_person_msv"],
        }
    )
    return LimitRows(limits, table, no_uses("access"))


def budget_limits(case: Case, payments: pd.DataFrame, access: pd.DataFrame) -> LimitRows:
    """Return money by calendar year; payments fall where orders and work fall, not at the outage.

    The budget is in real money of the price year; so are payments, with escalation.
    """
    budgets = case["budgets"]
    names = "budget." + budgets["year"].astype(str)
    limits = pd.DataFrame(
        {
            "limit": names,
            "measure": "cost",
            "resource": "budget",
            "period": budgets["year"].astype(str),
            "amount": budgets["limit_cost"],
            "step": f"1,000 {case.settings.currency}",
            "step_amount": 1000.0,
        }
    )
    uses = payments.groupby(["year", "placement"])["cost"].sum().reset_index()
    opened = access[access["cost"] > 0].copy()
    opened["year"] = [date_at(case, days).year for days in opened["paid_days"]]
    for table in (uses, opened):
        table["limit"] = "budget." + table["year"].astype(str)
    uses, opened = (table[table["limit"].isin(set(names))] for table in (uses, opened))
    return LimitRows(
        limits,
        uses.rename(columns={"cost": "amount"})[["limit", "placement", "amount"]],
        opened.rename(columns={"cost": "amount"})[["limit", "access", "amount"]],
    )
