"""Dates that have to follow each other, outside of outages."""

from collections.abc import Iterator

import pandas as pd

from bundler.calendar import DAYS_A_YEAR, STATION
from bundler.case import Case
from bundler.check.told import error, setting
from bundler.errors import Finding
from bundler.tables import rows


def planning(case: Case) -> pd.Timestamp:
    """Return the planning date."""
    return pd.Timestamp(case.settings.planning_date)


def horizon_after_planning(case: Case) -> Iterator[Finding]:
    """The horizon ends after the planning date."""
    base = case.settings
    if base.horizon_end_date <= base.planning_date:
        found = f"the plan ends on {base.horizon_end_date}"
        allowed = f"it ends after the planning date {base.planning_date}"
        yield setting("horizon_end_date", found, allowed, "Correct one of the two dates.")


def price_year_past(case: Case) -> Iterator[Finding]:
    """Prices are of the planning year or an earlier one."""
    base = case.settings
    if base.price_year > base.planning_date.year:
        found = f"{base.price_year} is after the year of the planning date"
        allowed = f"{base.planning_date.year} or an earlier year is allowed"
        remedy = "Give the year in whose prices the costs are written."
        yield setting("price_year", found, allowed, remedy)


def units_in_time(case: Case) -> Iterator[Finding]:
    """A unit was synchronised by the planning date and ends after it."""
    day = case.settings.planning_date
    for row in rows(case["units"]):
        if row.first_sync_date > planning(case):
            found = f"{row.unit} starts on {row.first_sync_date.date()}"
            allowed = f"a unit in the plan runs by the planning date {day}"
            remedy = "Correct the date, or take the unit out."
            yield error("units", row.file_row, "first_sync_date", found, allowed, remedy)
        if row.end_date <= planning(case):
            found = f"{row.unit} ends on {row.end_date.date()}"
            allowed = f"a unit in the plan ends after the planning date {day}"
            remedy = "Correct the date, or take the unit out."
            yield error("units", row.file_row, "end_date", found, allowed, remedy)


def renewals_past(case: Case) -> Iterator[Finding]:
    """Nothing was renewed after the planning date."""
    table = case["components"]
    for row in rows(table[table["renewed_date"] > planning(case)]):
        found = f"{row.component} was renewed on {row.renewed_date.date()}"
        allowed = f"the planning date {case.settings.planning_date} or an earlier day is allowed"
        remedy = "Correct the date; work that is decided for later goes to pins.csv."
        yield error("components", row.file_row, "renewed_date", found, allowed, remedy)


def ages(case: Case) -> pd.DataFrame:
    """Return components with their age at the planning date [years] and the family's life data."""
    lent = case["families"][["family", "curve", "life_years", "age_limit_years"]]
    parts = case["components"].merge(lent, on="family", suffixes=("", "_lent"))
    synced = case["units"].set_index("unit")["first_sync_date"]
    first = synced.to_dict() | {STATION: synced.min()}
    since = parts["renewed_date"].fillna(pd.to_datetime(parts["unit"].map(first)))
    parts["age_years"] = (planning(case) - since).dt.days / DAYS_A_YEAR * parts["age_ratio"]
    parts["life_years"] = parts["life_years"].fillna(parts["life_years_lent"])
    return parts


def ages_below_limit(case: Case) -> Iterator[Finding]:
    """No component is past its qualified life already."""
    parts = ages(case)
    for row in rows(parts[parts["age_years"] > parts["age_limit_years"]]):
        found = f"{row.component} is {row.age_years:.1f} years old at the planning date"
        allowed = f"family {row.family} is qualified for {row.age_limit_years:g} years"
        remedy = "Correct the date, or settle first how it may stay in service."
        yield error("components", row.file_row, "renewed_date", found, allowed, remedy)


def mandates_ahead(case: Case) -> Iterator[Finding]:
    """No statutory date has passed, grace included."""
    for row in rows(case["mandates"]):
        if row.due_date + pd.Timedelta(days=row.grace_days) < planning(case):
            found = f"{row.component} was due on {row.due_date.date()}"
            allowed = (
                f"with {row.grace_days:g} days of grace it has to be due on or after "
                f"the planning date {case.settings.planning_date}"
            )
            remedy = "Give the next due date, or settle the overdue work first."
            yield error("mandates", row.file_row, "due_date", found, allowed, remedy)
