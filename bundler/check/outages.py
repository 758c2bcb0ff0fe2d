"""Outages and their windows."""

import re
from collections.abc import Iterator

import pandas as pd

from bundler.calendar import ON_LINE, STATION, end_of_life_days
from bundler.case import Case
from bundler.check.dates import planning
from bundler.check.told import error
from bundler.errors import Finding
from bundler.tables import rows


def reserved_names(case: Case) -> Iterator[Finding]:
    """No unit and no outage has a name that the plan gives itself."""
    units = [*case["units"]["unit"], STATION]
    for row in rows(case["units"]):
        if row.unit == STATION:
            found, allowed = f'a unit is called "{STATION}"', "that word stands for all units"
            yield error("units", row.file_row, "unit", found, allowed, "Rename the unit.")
    names = re.compile(rf"({'|'.join(re.escape(unit) for unit in units)})-\d{{4}}(-\d+)?")
    for row in rows(case["outages"]):
        if names.fullmatch(row.outage):
            found = f'an outage is called "{row.outage}"'
            allowed = "a unit with a year names the time on line in that year"
            yield error("outages", row.file_row, "outage", found, allowed, "Rename the outage.")


def kinds_of_outage(case: Case) -> Iterator[Finding]:
    """No outage is of the kind that stands for the time between outages."""
    for row in rows(case["outages"]):
        if row.kind == ON_LINE:
            found = f"{row.outage} is of kind {ON_LINE}"
            allowed = "the time between outages needs no row"
            remedy = "Give it another kind, or delete the row."
            yield error("outages", row.file_row, "kind", found, allowed, remedy)


def outages_ahead(case: Case) -> Iterator[Finding]:
    """An outage begins on or after the planning date."""
    for row in rows(case["outages"]):
        if row.start_date < planning(case):
            found = f"{row.outage} starts on {row.start_date.date()}"
            allowed = f"outages start on or after the planning date {case.settings.planning_date}"
            remedy = "Correct the date, or take the outage out."
            yield error("outages", row.file_row, "start_date", found, allowed, remedy)


def freeze_before_start(case: Case) -> Iterator[Finding]:
    """Scope is frozen by breaker open."""
    for row in rows(case["outages"]):
        if row.freeze_date > row.start_date:
            found = f"the scope of {row.outage} freezes on {row.freeze_date.date()}"
            allowed = f"it freezes by the start on {row.start_date.date()}"
            yield error(
                "outages", row.file_row, "freeze_date", found, allowed, "Correct one of the two."
            )


def outages_apart(case: Case) -> Iterator[Finding]:
    """Two outages of one unit do not overlap."""
    ordered = case["outages"].sort_values(["start_date", "outage"])
    for _, own in ordered.groupby("unit"):
        earlier, free_from = "", pd.Timestamp.min
        for row in rows(own):
            if row.start_date < free_from:
                found = f"{row.outage} starts on {row.start_date.date()}"
                allowed = f"{row.unit} is in {earlier} until {free_from.date()}"
                remedy = "Move or shorten one of the two."
                yield error("outages", row.file_row, "start_date", found, allowed, remedy)
            end = row.start_date + pd.Timedelta(days=row.days)
            if end > free_from:
                earlier, free_from = row.outage, end


def _outages_of(case: Case, row: tuple[str, str, str, str]) -> pd.DataFrame:
    """Return the outages in which a row of windows counts; rows of an outage go first."""
    kind, condition, outage, side = row
    windows, own = case["windows"], case["outages"]
    own = own[(own["kind"] == kind) & ((own["side"] == side) | (side == ""))]
    if outage:
        return own[own["outage"] == outage]
    same = windows[(windows["kind"] == kind) & (windows["condition"] == condition)]
    return own[~own["outage"].isin(set(same["outage"]))]


def windows_forward(case: Case) -> Iterator[Finding]:
    """In every outage in which it counts, a window ends after it begins."""
    for row in rows(case["windows"]):
        own = _outages_of(case, (row.kind, row.condition, row.outage, row.side))
        for outage in rows(own.sort_values(["days", "outage"]).head(1)):
            first = row.from_days + (outage.days if row.from_anchor == "end" else 0)
            last = row.to_days + (outage.days if row.to_anchor == "end" else 0)
            if last <= first:
                found = (
                    f"in {outage.outage} {row.condition} runs from day {first:g} to day {last:g}"
                )
                allowed = f"it ends after it begins, also in {outage.days:g} days"
                remedy = "Correct the days, or give that outage a row of its own."
                yield error("windows", row.file_row, "to_days", found, allowed, remedy)


def windows_count(case: Case) -> Iterator[Finding]:
    """A row of windows for one outage is of that outage's kind and side."""
    known = set(case["outages"]["outage"])
    for row in rows(case["windows"]):
        if row.outage not in known:
            continue
        if _outages_of(case, (row.kind, row.condition, row.outage, row.side)).empty:
            found = f"{row.outage} is not of kind {row.kind}" + (row.side and f", side {row.side}")
            allowed = "a row for one outage has its kind and its side or none"
            remedy = "Correct kind, side or outage."
            yield error("windows", row.file_row, "outage", found, allowed, remedy)


def crews_have_days(case: Case) -> Iterator[Finding]:
    """Crews are there for at least a day of every outage."""
    shortest = case["outages"].groupby("kind")["days"].min().to_dict()
    for row in rows(case["outage_kinds"]):
        days = shortest.get(row.kind)
        if days is not None and row.crew_from_days + row.crew_to_days >= days:
            found = (
                f"crews come on day {row.crew_from_days:g} and leave {row.crew_to_days:g} "
                "days before the end"
            )
            allowed = f"the shortest outage of kind {row.kind} has {days:g} days"
            remedy = "Lower crew_from_days or crew_to_days."
            yield error("outage_kinds", row.file_row, "crew_to_days", found, allowed, remedy)


def left_out(case: Case) -> dict[str, pd.Timestamp]:
    """Return outages that end after the last day of their unit, with that day."""
    last = end_of_life_days(case)
    ends = {
        row.outage: (row.start_date + pd.Timedelta(days=row.days), row.unit)
        for row in rows(case["outages"])
    }
    stops = {unit: planning(case) + pd.Timedelta(days=days) for unit, days in last.items()}
    return {
        outage: stops[unit]
        for outage, (end, unit) in ends.items()
        if unit in stops and end > stops[unit]
    }


def base_scope_fits(case: Case) -> Iterator[Finding]:
    """Base scope leaves its crews something to do even in the shortest outage of a kind."""
    settings = case.settings
    paid = settings.paid_hours_per_week / 7 * settings.attendance_share
    shortest = case["outages"].groupby("kind", as_index=False)["days"].min()
    table = case["base_scope"].merge(
        case["crews"].drop(columns="file_row"), on=["kind", "resource"]
    )
    table = table.merge(case["resources"].drop(columns="file_row"), on="resource")
    table = table.merge(case["outage_kinds"].drop(columns="file_row"), on="kind").merge(shortest)
    daily = table["heads_count"] * table["direct_share"] * table["hours_per_day"].fillna(paid)
    days = table["days"] - table["crew_from_days"] - table["crew_to_days"]
    for row, hours in zip(rows(table), daily * days, strict=True):
        if row.work_hours > hours:
            found = f"base scope takes {row.work_hours:g} h of {row.resource}"
            allowed = f"its crews have {hours:.0f} h in the shortest outage of kind {row.kind}"
            remedy = "Lower the hours, or raise the heads in crews.csv."
            yield error("base_scope", row.file_row, "work_hours", found, allowed, remedy)
