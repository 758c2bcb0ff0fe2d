"""Dates that have to follow each other."""

from collections.abc import Iterator
from datetime import date

import pandas as pd

from bundler.case import Case
from bundler.errors import Finding
from bundler.tables import rows


def order_of_settings(case: Case) -> Iterator[Finding]:
    """The horizon ends after the planning date; the price year is not after it."""
    base = case.settings
    if base.horizon_end_date <= base.planning_date:
        yield Finding(
            "station.yaml",
            0,
            "horizon_end_date",
            f"{base.horizon_end_date} is not after the planning date {base.planning_date}",
            "a later day is allowed",
            "Correct one of both.",
        )
    if base.price_year > base.planning_date.year:
        yield Finding(
            "station.yaml",
            0,
            "price_year",
            f"{base.price_year} is after the planning date",
            f"{base.planning_date.year} or earlier is allowed",
            "Bring all costs to one price year and name it.",
        )


def _planning(case: Case) -> pd.Timestamp:
    return pd.Timestamp(case.settings.planning_date)


def future_renewals(case: Case) -> Iterator[Finding]:
    """Nothing was renewed after the planning date."""
    for row in rows(case["components"]):
        if row.renewed_date > _planning(case):
            yield Finding(
                "components.csv",
                row.file_row,
                "renewed_date",
                f"{row.component} was renewed after the planning date, {row.renewed_date.date()}",
                f"{case.settings.planning_date} or earlier is allowed",
                "Correct the date; planned work belongs into pins.csv.",
            )


def units_in_time(case: Case) -> Iterator[Finding]:
    """A unit was synchronised before the planning date and ends after it."""
    for row in rows(case["units"]):
        if row.first_sync_date > _planning(case):
            yield Finding(
                "units.csv",
                row.file_row,
                "first_sync_date",
                f"{row.unit} starts on {row.first_sync_date.date()}, after the planning date",
                "an earlier day is allowed",
                "Correct the date.",
            )
        if row.end_date <= _planning(case):
            yield Finding(
                "units.csv",
                row.file_row,
                "end_date",
                f"{row.unit} ends on {row.end_date.date()}, before the planning date",
                "a later day is allowed",
                "Correct the date or take the unit out.",
            )


def freeze_before_start(case: Case) -> Iterator[Finding]:
    """Scope is frozen before breaker open; an outage lies after the planning date."""
    for row in rows(case["outages"]):
        if row.freeze_date > row.start_date:
            yield Finding(
                "outages.csv",
                row.file_row,
                "freeze_date",
                f"scope of {row.outage} freezes on {row.freeze_date.date()}, after it starts",
                f"{row.start_date.date()} or earlier is allowed",
                "Correct the date.",
            )
        if row.start_date < _planning(case):
            yield Finding(
                "outages.csv",
                row.file_row,
                "start_date",
                f"{row.outage} starts on {row.start_date.date()}, before the planning date",
                "a later day is allowed",
                "Take it out or correct the planning date.",
            )


def outages_apart(case: Case) -> Iterator[Finding]:
    """Two outages of one unit do not overlap."""
    for _, own in case["outages"].sort_values("start_date").groupby("unit"):
        last_name, last_end = "", pd.Timestamp(date(1900, 1, 1))
        for row in rows(own):
            if row.start_date < last_end:
                yield Finding(
                    "outages.csv",
                    row.file_row,
                    "start_date",
                    f"{row.outage} starts on {row.start_date.date()}, while {last_name} still runs",
                    f"{last_end.date()} or later is allowed",
                    "Move one of them.",
                )
            last_name, last_end = row.outage, row.start_date + pd.Timedelta(days=row.days)


def windows_forward(case: Case) -> Iterator[Finding]:
    """In every outage of its kind a window ends after it begins."""
    outages = case["outages"]
    for row in rows(case["windows"]):
        own = outages[
            (outages["outage"] == row.outage) if row.outage else (outages["kind"] == row.kind)
        ]
        for outage in rows(own):
            first = row.from_days + (outage.days if row.from_anchor == "end" else 0)
            last = row.to_days + (outage.days if row.to_anchor == "end" else 0)
            if last <= first:
                yield Finding(
                    "windows.csv",
                    row.file_row,
                    "to_days",
                    f"{row.condition} would hold on days {first:g} to {last:g} of {outage.outage}",
                    "a later end is allowed",
                    "Correct the days, or give this outage a row of its own.",
                )
                break


def mandates_ahead(case: Case) -> Iterator[Finding]:
    """A statutory date is not already past."""
    for row in rows(case["mandates"]):
        if row.due_date + pd.Timedelta(days=row.grace_days) < _planning(case):
            yield Finding(
                "mandates.csv",
                row.file_row,
                "due_date",
                f"{row.component} was due on {row.due_date.date()}, before the planning date",
                "a due date ahead is allowed",
                "Give the next due date, or settle the overdue work with the regulator first.",
            )
