"""Dates from which can be chosen, and the conditions that station-wide outages ask for."""

from collections.abc import Iterator
from math import prod

from bundler.calendar import STATION
from bundler.case import Case
from bundler.check.told import error
from bundler.errors import Finding
from bundler.tables import rows

#: choices of dates that are weighed one by one within some seconds; our choice
MOST_CHOICES = 5000


def dates_can_be_weighed(case: Case) -> Iterator[Finding]:
    """There are no more choices of dates than can be weighed one by one."""
    given = case["outage_dates"].groupby("outage").size().to_dict()
    wide_count = sum(row.unit == STATION for row in rows(case["outages"]))
    count = prod(
        1 + given.get(row.outage, 0) + wide_count * (_slides(row) and row.unit != STATION)
        for row in rows(case["outages"])
    )
    if count > MOST_CHOICES:
        found = f"dates and slides leave up to {count:,} choices"
        allowed = f"{MOST_CHOICES:,} can be weighed"
        remedy = "Give fewer dates, or let fewer outages slide."
        yield error("outage_dates", 0, "", found, allowed, remedy)


def _slides(row: object) -> bool:
    days = [getattr(row, f"slide_{way}_days") for way in ("earlier", "later")]
    return any(day > 0 for day in days)


def slides_lead_to_sharing(case: Case) -> Iterator[Finding]:
    """What may slide is the outage of one unit, of a kind that can share."""
    shared = {row.kind: row.shared_condition for row in rows(case["outage_kinds"])}
    for row in rows(case["outages"]):
        if not _slides(row):
            continue
        column = "slide_earlier_days" if row.slide_earlier_days > 0 else "slide_later_days"
        found = f"{row.outage} may slide"
        if row.unit == STATION:
            allowed = "it is a station-wide outage, to which others slide"
            remedy = "Give its other dates in outage_dates.csv and no days here."
            yield error("outages", row.file_row, column, found, allowed, remedy)
        elif shared.get(row.kind) == "":
            allowed = "an outage slides to share a station-wide one, which its kind never does"
            remedy = f"Give {row.kind} a shared_condition, or no days here."
            yield error("outages", row.file_row, column, found, allowed, remedy)


def conditions_of_dates_hold(case: Case) -> Iterator[Finding]:
    """The shared and the barred condition of a kind have a window in it."""
    there = set(zip(case["windows"]["kind"], case["windows"]["condition"], strict=True))
    for row in rows(case["outage_kinds"]):
        for column in ("shared_condition", "barred_condition"):
            condition = getattr(row, column)
            if condition and (row.kind, condition) not in there:
                found = f"{condition} has no window in {row.kind}"
                allowed = "the days on which it holds are known"
                remedy = "Add a row to windows.csv, or leave the cell empty."
                yield error("outage_kinds", row.file_row, column, found, allowed, remedy)


OWN = (dates_can_be_weighed, slides_lead_to_sharing, conditions_of_dates_hold)
