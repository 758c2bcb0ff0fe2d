"""Readings: whose they are, when they were made, what can be read."""

from collections.abc import Iterator

import pandas as pd

from bundler.case import Case
from bundler.check.dates import planning
from bundler.check.told import error
from bundler.errors import Finding
from bundler.life.evidence import HEAT
from bundler.life.given import renewed_dates
from bundler.tables import rows

#: how far the shares of time of a load profile may sum from 1; rounded shares do
ROUNDED_SHARE = 0.01


def with_indicators(case: Case) -> pd.DataFrame:
    """Return the readings whose indicator is known, each with what it lends them."""
    lent = ["indicator", "family", "model", "new_value", "limit_value"]
    return case["readings"].merge(case["indicators"][lent], on="indicator").sort_values("file_row")


def readings_of_family(case: Case) -> Iterator[Finding]:
    """An indicator is read on components of its family."""
    parts = case["components"]
    family = dict(zip(parts["component"], parts["family"], strict=True))
    for row in rows(with_indicators(case)):
        own = family.get(row.component)
        if own and own != row.family:
            found = f"{row.component} belongs to family {own}"
            allowed = f"{row.indicator} is read on family {row.family}"
            remedy = "Correct the component or the indicator."
            yield error("readings", row.file_row, "indicator", found, allowed, remedy)


def readings_by_planning(case: Case) -> Iterator[Finding]:
    """No reading was made after the planning date."""
    table = case["readings"]
    for row in rows(table[table["reading_date"] > planning(case)]):
        found = f"{row.component} was read on {row.reading_date.date()}"
        allowed = f"the planning date {case.settings.planning_date} or an earlier day is allowed"
        remedy = "Correct the date, or leave the reading out."
        yield error("readings", row.file_row, "reading_date", found, allowed, remedy)


def grades_in_scale(case: Case) -> Iterator[Finding]:
    """A grade is whole and stands on its scale."""
    table = with_indicators(case)
    for row in rows(table[table["model"] == "grade"]):
        if row.reading_value % 1 or not row.new_value <= row.reading_value <= row.limit_value:
            found = f"{row.reading_value:g} is no grade of {row.indicator}"
            allowed = f"whole grades from {row.new_value:g} to {row.limit_value:g} are allowed"
            yield error(
                "readings", row.file_row, "reading_value", found, allowed, "Correct the grade."
            )


def _following_grades(case: Case) -> pd.DataFrame:
    """Return grades with the one read before in the same life, if it was on an earlier day."""
    new = dict(zip(case["components"]["component"], renewed_dates(case), strict=True))
    table = with_indicators(case)
    grade = table["reading_value"]
    in_scale = (grade >= table["new_value"]) & (grade <= table["limit_value"])
    table = table[(table["model"] == "grade") & in_scale]
    table = table.assign(is_new=table["reading_date"] >= table["component"].map(new))
    life = ["indicator", "component", "is_new"]
    table = table.sort_values([*life, "reading_date", "inspector", "step_count"])
    before = table.groupby(life)[["reading_value", "reading_date"]].shift()
    table = table.assign(before=before["reading_value"], then=before["reading_date"])
    return table[table["then"] < table["reading_date"]]


def grades_get_no_better(case: Case) -> Iterator[Finding]:
    """A grade does not get better without a renewal."""
    table = _following_grades(case)
    for row in rows(table[table["reading_value"] < table["before"]]):
        grades = f"from grade {row.before:g} on {row.then.date()} to {row.reading_value:g}"
        found = f"{row.component} goes {grades}"
        allowed = "a grade does not get better by itself"
        remedy = "Correct it, give the renewal in components.csv, or take out the grades before it."
        yield error("readings", row.file_row, "reading_value", found, allowed, remedy)


def tube_shares(case: Case) -> Iterator[Finding]:
    """Plugged tubes are read as a share."""
    table = with_indicators(case)
    for row in rows(table[table["model"] == "tubes"]):
        if not 0 <= row.reading_value <= 1:
            found = f"{row.reading_value:g} is given for {row.indicator}"
            allowed = "it is the share of tubes plugged, between 0 and 1"
            remedy = "Write 11 % as 0.11."
            yield error("readings", row.file_row, "reading_value", found, allowed, remedy)


def profiles_whole(case: Case) -> Iterator[Finding]:
    """The steps of a load profile fill its time."""
    table = with_indicators(case)
    table = table[table["model"].isin(HEAT)]
    profile = table.groupby(["component", "indicator", "reading_date"])
    sums = table.assign(total=profile["time_share"].transform("sum"))
    for row in rows(sums[profile.cumcount() == 0]):
        if abs(row.total - 1) > ROUNDED_SHARE + 1e-9:
            found = (
                f"the shares of {row.component} on {row.reading_date.date()} sum to {row.total:g}"
            )
            allowed = "the steps of a load profile sum to 1"
            remedy = "Correct the shares, or add the steps that are missing."
            yield error("readings", row.file_row, "time_share", found, allowed, remedy)
