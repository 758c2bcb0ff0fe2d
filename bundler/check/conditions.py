"""Seasons and tests of plant conditions, needs of common systems, and discoveries."""

from collections.abc import Iterator

import pandas as pd

from bundler.calendar import STATION
from bundler.case import Case
from bundler.check.told import error, note
from bundler.errors import Finding
from bundler.nearest import did_you_mean
from bundler.tables import rows

SEASON = ("season_from_month", "season_to_month")


def seasons_whole(case: Case) -> Iterator[Finding]:
    """A season has a first and a last month."""
    for row in rows(case["conditions"]):
        for column, other in (SEASON, SEASON[::-1]):
            if pd.isna(getattr(row, column)) and not pd.isna(getattr(row, other)):
                found = f"the cell of {row.condition} is empty, and {other} is filled"
                allowed = "a season has a first and a last month"
                remedy = "Fill both, or leave both empty."
                yield error("conditions", row.file_row, column, found, allowed, remedy)


def tests_have_days(case: Case) -> Iterator[Finding]:
    """A test in a condition of its own takes days."""
    for row in rows(case["actions"]):
        if row.test_condition and row.test_days <= 0:
            found = f"{row.family} {row.action} is tested in {row.test_condition} for 0 days"
            allowed = "a test with a condition of its own takes days"
            remedy = "Fill test_days, or empty test_condition."
            yield error("actions", row.file_row, "test_days", found, allowed, remedy)


def common_units(case: Case) -> Iterator[Finding]:
    """A common system speaks of units that exist, each once, and of no more than there are."""
    known = set(case["units"]["unit"])
    for row in rows(case["common_needs"]):
        named = row.units.split("+") if row.units else sorted(known)
        place = ("common_needs", row.file_row, "units")
        for unit in named:
            if unit not in known:
                remedy = f"{did_you_mean(unit, known)}Write units joined by +."
                yield error(*place, f'"{unit}" is not known', "units of units.csv are", remedy)
        if len(set(named)) < len(named):
            found = f'"{row.units}" names a unit twice'
            yield error(*place, found, "each unit counts once", "Write each unit once.")
        if not pd.isna(row.least_count) and row.least_count > len(set(named)):
            found = f"{row.least_count:g} of {len(set(named))} units are asked for"
            allowed = "at most all of them are"
            remedy = "Lower it, or leave it empty for all."
            yield error("common_needs", row.file_row, "least_count", found, allowed, remedy)


def common_to_station(case: Case) -> Iterator[Finding]:
    """What needs its units' conditions belongs to the station."""
    parts = case["components"]
    units = parts[parts["unit"] != STATION].groupby("family")["component"].first().to_dict()
    for row in rows(case["common_needs"]):
        if row.family in units:
            found = f"{units[row.family]} of family {row.family} belongs to one unit"
            allowed = f"a system common to several units is of unit {STATION}"
            remedy = "Take the row out, or give the component to the station."
            yield error("common_needs", row.file_row, "family", found, allowed, remedy)


def discoveries_known(case: Case) -> Iterator[Finding]:
    """Hours of a discovery belong to one that there is."""
    names = ["family", "action", "discovery"]
    known = set(case["discoveries"][names].itertuples(index=False, name=None))
    for row in rows(case["discovery_hours"]):
        if (row.family, row.action, row.discovery) not in known:
            found = f'"{row.discovery}" of {row.family} {row.action} is not known'
            allowed = "discoveries of discoveries.csv are"
            remedy = "Correct it, or add it to discoveries.csv."
            yield error("discovery_hours", row.file_row, "discovery", found, allowed, remedy)


def discoveries_hold_labour(case: Case) -> Iterator[Finding]:
    """The cost of what is found covers what its hours cost."""
    key = ["family", "action", "discovery"]
    hours = case["discovery_hours"].merge(case["resources"][["resource", "cost_per_hour"]])
    hours["labour_cost"] = hours["work_hours"] * hours["cost_per_hour"]
    sums = hours.groupby(key, as_index=False)[["labour_cost"]].sum()
    for row in rows(case["discoveries"].merge(sums, on=key)):
        if row.cost < row.labour_cost - 1e-9:
            found = f"{row.discovery} of {row.family} {row.action} costs {row.cost:g}"
            allowed = f"its hours alone cost {row.labour_cost:g}, and the cost is with labour"
            yield note(
                "discoveries", row.file_row, "cost", found, allowed, "Check cost and hours."
            )  # fmt: skip


#: the checks of this file, errors first
OWN = (
    seasons_whole, tests_have_days, common_units, common_to_station, discoveries_known,
    discoveries_hold_labour,
)  # fmt: skip
