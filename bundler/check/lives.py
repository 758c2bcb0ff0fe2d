"""Records of lives, and the families whose life they bring up to date."""

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import pandas as pd

from bundler.calendar import STATION
from bundler.case import Case
from bundler.check.dates import planning
from bundler.check.told import error
from bundler.errors import Finding
from bundler.life.kinds import KINDS
from bundler.nearest import did_you_mean
from bundler.tables import rows

#: word of lives.unit for another station
OTHER = "other"
#: dates of a life in the order in which they follow each other, with the words for them
ORDER = {
    "start_date": "starts on", "watched_from_date": "is watched from",
    "last_good_date": "was last good on", "failed_date": "failed on",
}  # fmt: skip
#: curves that records can move
MOVED = [word for word, kind in KINDS.items() if not kind.has_share]


def lives_of_units(case: Case) -> Iterator[Finding]:
    """A life was spent in a unit of the station, in what all units share, or elsewhere."""
    known = {*case["units"]["unit"], STATION, OTHER}
    for row in rows(case["lives"]):
        if row.unit not in known:
            found = f'"{row.unit}" is not known'
            allowed = f'units of units.csv, "{STATION}" and "{OTHER}" are allowed'
            remedy = f"{did_you_mean(row.unit, known)}Correct it; other is another station."
            yield error("lives", row.file_row, "unit", found, allowed, remedy)


def lives_of_family(case: Case) -> Iterator[Finding]:
    """The component of a life belongs to the family of the life."""
    parts = case["components"]
    family = dict(zip(parts["component"], parts["family"], strict=True))
    for row in rows(case["lives"]):
        own = family.get(row.component)
        if own and own != row.family:
            found, allowed = (
                f"{row.component} belongs to family {own}",
                f"the life is of {row.family}",
            )
            yield error(
                "lives", row.file_row, "component", found, allowed, "Correct one of the two."
            )


def lives_have_end(case: Case) -> Iterator[Finding]:
    """A life was seen good on a day, or failed."""
    table = case["lives"]
    for row in rows(table[table["last_good_date"].isna() & table["failed_date"].isna()]):
        found = f"{row.life} has neither last_good_date nor failed_date"
        allowed = "a life has the last day it was known to be good, the day it failed, or both"
        remedy = "Give one of them; what still runs was good on the day of the record."
        yield error("lives", row.file_row, "last_good_date", found, allowed, remedy)


def _dates(row: Any) -> list[tuple[str, pd.Timestamp]]:
    """Return the dates that a life has, in the order in which they follow each other."""
    return [(name, getattr(row, name)) for name in ORDER if pd.notna(getattr(row, name))]


def lives_in_order(case: Case) -> Iterator[Finding]:
    """A life starts, is watched, is last good and fails, in this order."""
    for row in rows(case["lives"]):
        for (first, early), (second, late) in pairwise(_dates(row)):
            if late < early:
                found = f"{row.life} {ORDER[second]} {late.date()}"
                allowed = f"it cannot be before its {first} {early.date()}"
                remedy = "Correct one of the two dates."
                yield error("lives", row.file_row, second, found, allowed, remedy)


def failures_after_watch(case: Case) -> Iterator[Finding]:
    """A failure lies after the day from which the item was watched."""
    for row in rows(case["lives"]):
        for name in ("watched_from_date", "start_date"):
            if row.failed_date == getattr(row, name):
                found = f"{row.life} failed on {row.failed_date.date()}, its {name}"
                allowed = "a failure lies at least a day later"
                remedy = "Correct one of the two dates."
                yield error("lives", row.file_row, "failed_date", found, allowed, remedy)
                break


def lives_by_planning(case: Case) -> Iterator[Finding]:
    """Nothing is known of a life after the planning date."""
    for row in rows(case["lives"]):
        name, day = max(_dates(row), key=lambda each: each[1])
        if day > planning(case):
            found = f"{row.life} {ORDER[name]} {day.date()}"
            allowed = (
                f"the planning date {case.settings.planning_date} or an earlier day is allowed"
            )
            remedy = "Correct the date, or leave the record out."
            yield error("lives", row.file_row, name, found, allowed, remedy)


def records_can_move(case: Case) -> Iterator[Finding]:
    """A life that comes from records has a curve that they can move."""
    for row in rows(case["families"]):
        place = ("families", row.file_row)
        if row.life_from != "records":
            continue
        if row.curve not in MOVED:
            found = f"{row.family} has curve {row.curve}"
            allowed = f"records move the curves {', '.join(MOVED)}"
            remedy = "Choose one of them, or set life_from to given."
            yield error(*place, "life_from", found, allowed, remedy)
        elif row.guarantee_years > 0:
            found = f"{row.family} has no failure before {row.guarantee_years:g} years"
            allowed = "records move curves that have no such guarantee"
            remedy = "Empty the cell, or set life_from to given."
            yield error(*place, "guarantee_years", found, allowed, remedy)


def records_are_there(case: Case) -> Iterator[Finding]:
    """A life that comes from records has records."""
    recorded = set(case["lives"]["family"])
    for row in rows(case["families"]):
        if row.life_from == "records" and row.family not in recorded:
            found = f"lives.csv has no record of {row.family}"
            allowed = "a life from records needs at least one"
            remedy = "Add its records to lives.csv, or set life_from to given."
            yield error("families", row.file_row, "life_from", found, allowed, remedy)
