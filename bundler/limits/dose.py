"""Collective dose by outage, and dose of one person of each trade by calendar year."""

import math

import numpy as np
import pandas as pd

from bundler.calendar import date_at
from bundler.case import Case
from bundler.dose import hours_dose
from bundler.hours import WORK
from bundler.limits.crews import placement_hours
from bundler.limits.reach import reachable
from bundler.limits.rows import LimitRows, no_uses

#: calendar years of the longer limit on the dose of one person
LONG_YEARS = 5


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


def trade_doses(case: Case, placements: pd.DataFrame) -> pd.DataFrame:
    """Return the dose that each trade takes in each work: placement, resource, dose [person-mSv].

    Own hours x own dose rate; what the work has beside that is shared by the hours of the trades
    that stand in the work area.
    """
    stands = case["resources"].set_index("resource")["takes_area"]
    facts = placements[["placement", "family", "action", "dose_person_msv", "learning_ratio"]]
    table = placement_hours(case, placements).merge(facts, on="placement")
    table = table.merge(hours_dose(case), on=WORK, how="left")
    table["own"] = (table["hours_person_msv"] * table["learning_ratio"]).fillna(0.0)
    table["shared"] = table["hours"].where(table["resource"].map(stands), 0.0)
    sums = table.groupby("placement")[["own", "shared"]].transform("sum")
    rest = np.maximum(table["dose_person_msv"] - sums["own"], 0.0)
    share = (table["shared"] / sums["shared"].where(sums["shared"] > 0)).fillna(0.0)
    table["dose"] = table["own"] + rest * share
    return table.loc[table["dose"] > 0, ["placement", "resource", "dose"]]


def _year(case: Case, days: float) -> int:
    """Return the calendar year in which a moment falls; part of a day is still that day."""
    return date_at(case, math.floor(days + 1e-6)).year


def yearly_heads(case: Case, periods: pd.DataFrame) -> pd.DataFrame:
    """Return the most heads of each trade in a kind of period open in a year.

    Columns resource, year and heads_count. Crews of several outages of a year may be the same
    people, so the largest crew counts, and not their sum.
    """
    first = [_year(case, days) for days in periods["start_days"]]
    last = [_year(case, days) for days in periods["end_days"]]
    open_in = pd.DataFrame(
        [
            (kind, year)
            for kind, a, b in zip(periods["kind"], first, last, strict=True)
            for year in range(a, b + 1)
        ],
        columns=["kind", "year"],
    )
    table = open_in.merge(case["crews"][["kind", "resource", "heads_count"]], on="kind")
    return table.groupby(["resource", "year"])["heads_count"].max().reset_index()


def _doses_a_head(case: Case, placements: pd.DataFrame, periods: pd.DataFrame) -> pd.DataFrame:
    """Return the dose of one person of each trade in each work: placement, resource, year, msv."""
    table = trade_doses(case, placements)
    middle = placements.set_index("placement")["middle_days"]
    days = table["placement"].map(middle)
    table["year"] = pd.Series([_year(case, day) for day in days], table.index, dtype="int64")
    table = table.merge(yearly_heads(case, periods), on=["resource", "year"])
    table = table[table["heads_count"] > 0]
    return table.assign(msv=table["dose"] / table["heads_count"])


def _in_years(doses: pd.DataFrame, length: int, most: float) -> pd.DataFrame:
    """Return each dose in each stretch of so many years, of trades that could pass the limit.

    Adds first_year, window (the years in words), amount (of the limit) and limit.
    """
    doses = doses[doses.groupby("resource")["msv"].transform("sum") > most]
    first, last = (int(doses["year"].min()), int(doses["year"].max())) if len(doses) else (0, 0)
    starts = np.arange(first, max(first, last - length + 1) + 1)
    table = doses.merge(pd.DataFrame({"first_year": starts}), how="cross")
    table = table[table["year"].between(table["first_year"], table["first_year"] + length - 1)]
    years = table["first_year"].astype("str")
    if length > 1:
        years = years + "-" + (table["first_year"] + length - 1).astype("str")
    limit = "dose." + table["resource"] + "." + years
    return table.assign(window=years, amount=most, limit=limit)


def person_dose_limits(case: Case, placements: pd.DataFrame, periods: pd.DataFrame) -> LimitRows:
    """Return the dose of one person of each trade, by year and by five years in a row [mSv].

    The dose of a trade in a year is shared evenly by its heads of that year, and the same people
    are taken to come in every year; doses before the planning date are not known. Limits that no
    plan could pass are left out. The two periods are those of SOR/2000-203 (Canada), section 13;
    all five years in a row hold any fixed five-year period.
    """
    settings, doses = case.settings, _doses_a_head(case, placements, periods)
    spans = [(1, settings.dose_year_msv), (LONG_YEARS, settings.dose_five_years_msv)]
    table = pd.concat([_in_years(doses, *span) for span in spans], ignore_index=True)
    table = table.merge(case["resources"][["resource", "name"]], on="resource")
    limits = table.drop_duplicates("limit").assign(
        title="dose of one " + table["name"] + " in " + table["window"],
        measure="msv", resource="dose " + table["resource"], period=table["window"],
        window="", step="1 mSv", step_amount=1.0,
    )  # fmt: skip
    uses = table[["limit", "placement", "msv"]].rename(columns={"msv": "amount"})
    return reachable(case, LimitRows(limits, uses, no_uses("access")), placements)
