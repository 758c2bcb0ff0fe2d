"""The station's calendar in days from the planning date: outages, on-line periods, spans."""

from datetime import date, timedelta

import numpy as np
import pandas as pd

from bundler.case import Case, Settings
from bundler.tables import rows, words

#: an on-line period shorter than this is not worth a window of its own [days]; our choice
SHORTEST_ON_LINE_DAYS = 30
#: mean length of a calendar year [days]
DAYS_A_YEAR = 365.25
STATION = "station"
ON_LINE = "on_line"


def days_from_planning(case: Case, dates: pd.Series) -> pd.Series:
    """Return whole days from the planning date to each date [days]; NaN where there is none."""
    return (dates - pd.Timestamp(case.settings.planning_date)).dt.days.astype("float64")


def present_worth(settings: Settings, days: pd.Series) -> pd.Series:
    """Return the present value of 1 of planned cost paid so many days from planning [-].

    ((1 + g) / (1 + i))^t: escalation g and real discount rate i, t in years.
    """
    growth = (1 + settings.escalation_share_per_year) / (1 + settings.discount_share_per_year)
    return growth ** (days / DAYS_A_YEAR)


def date_at(case: Case, days: float) -> date:
    """Return the date that lies so many days after the planning date."""
    return case.settings.planning_date + timedelta(days=round(days))


def dates_at(case: Case, days: pd.Series) -> pd.Series:
    """Return the dates that lie so many days after the planning date, as ISO text."""
    stamps = pd.Timestamp(case.settings.planning_date) + pd.to_timedelta(days.round(), unit="D")
    return words(stamps.dt.strftime("%Y-%m-%d"), "")


def end_of_life_days(case: Case) -> dict[str, int]:
    """Return for each unit and the station the last day that counts [days from planning]."""
    start, horizon = case.settings.planning_date, case.settings.horizon_end_date
    last = {STATION: (horizon - start).days}
    for row in rows(case["units"]):
        end = horizon if pd.isna(row.end_date) else min(row.end_date.date(), horizon)
        last[row.unit] = (end - start).days
    return last


def outage_periods(case: Case) -> pd.DataFrame:
    """Return the outages that lie inside the horizon and the life of their unit."""
    kinds = case["outage_kinds"].drop(columns="file_row")
    table = case["outages"].drop(columns="file_row").merge(kinds, on="kind", how="left")
    table["start_days"] = days_from_planning(case, table["start_date"])
    table["end_days"] = table["start_days"] + table["days"]
    table["freeze_days"] = days_from_planning(case, table["freeze_date"])
    values = dict(zip(case["units"]["unit"], case["units"]["day_value_cost_per_day"], strict=True))
    values[STATION] = sum(values.values())
    table["day_cost"] = table["standing_cost_per_day"] + table["unit"].map(values)
    table["is_outage"] = True
    last = table["unit"].map(end_of_life_days(case))
    inside = (table["start_days"] >= 0) & (table["end_days"] <= last)
    return table[inside].rename(columns={"outage": "period"})


def _gaps(case: Case, shut: list[tuple[float, float]], last: int) -> list[tuple[float, float]]:
    """Return the stretches of on-line time of a unit, cut at each new year."""
    first_year = case.settings.planning_date.year
    last_year = case.settings.planning_date + timedelta(days=last)
    cuts = {0.0, float(last)}
    for year in range(first_year + 1, last_year.year + 1):
        cuts.add(float((date(year, 1, 1) - case.settings.planning_date).days))
    for start, end in shut:
        cuts.update((start, end))
    edges = sorted(cut for cut in cuts if 0 <= cut <= last)
    pieces = zip(edges[:-1], edges[1:], strict=True)
    return [
        (a, b)
        for a, b in pieces
        if b - a >= SHORTEST_ON_LINE_DAYS and not any(s <= a and b <= e for s, e in shut)
    ]


def on_line_periods(case: Case, outages: pd.DataFrame) -> pd.DataFrame:
    """Return the stretches between outages, at most a calendar year each, for every unit."""
    rows = []
    for unit, last in sorted(end_of_life_days(case).items()):
        own = outages[outages["unit"].isin([unit, STATION])]
        shut = list(zip(own["start_days"], own["end_days"], strict=True))
        seen: dict[int, int] = {}
        for start, end in _gaps(case, shut, last):
            year = date_at(case, start).year
            seen[year] = seen.get(year, 0) + 1
            name = f"{unit}-{year}" + ("" if seen[year] == 1 else f"-{seen[year]}")
            rows.append((name, unit, ON_LINE, float(start), float(end)))
    names = ["period", "unit", "kind", "start_days", "end_days"]
    table = pd.DataFrame(rows, columns=names)
    table["days"] = table["end_days"] - table["start_days"]
    return table.assign(
        is_outage=False, day_cost=0.0, max_extension_days=0.0, design_days=0.0,
        freeze_days=np.inf, side="", repeat_count=1, crew_from_days=0.0, crew_to_days=0.0,
        dose_limit_person_msv=np.nan,
    )  # fmt: skip


def periods(case: Case) -> pd.DataFrame:
    """Return every outage and on-line period in which work can be placed.

    One row a period, sorted by unit and start; all times in days from the planning date.
    day_pv_cost is the present value, at the outage's planned end, of one day more.
    """
    outages = outage_periods(case)
    table = pd.concat([outages, on_line_periods(case, outages)], ignore_index=True)
    years = table["end_days"] / DAYS_A_YEAR
    table["day_pv_cost"] = table["day_cost"] * (1 + case.settings.discount_share_per_year) ** -years
    names = [
        "period", "unit", "kind", "side", "start_days", "end_days", "days", "freeze_days",
        "repeat_count", "is_outage", "day_cost", "day_pv_cost", "max_extension_days", "design_days",
        "dose_limit_person_msv", "crew_from_days", "crew_to_days",
    ]  # fmt: skip
    return table.sort_values(["unit", "start_days", "period"])[names].reset_index(drop=True)


def spans(case: Case, table: pd.DataFrame) -> pd.DataFrame:
    """Return the span of each plant condition in each period.

    One row a period and condition; start_days, end_days [days from planning], longest_days
    (infinite where nothing limits a single work). A row for one outage replaces its kind's.
    """
    rows = case["windows"].drop(columns="file_row")
    merged = table[["period", "kind", "side", "start_days", "end_days"]].merge(
        rows, on="kind", suffixes=("", "_window")
    )
    fits_side = (merged["side_window"] == "") | (merged["side_window"] == merged["side"])
    fits_outage = (merged["outage"] == "") | (merged["outage"] == merged["period"])
    merged = merged[fits_side & fits_outage].copy()
    own = merged["outage"] != ""
    has_own = own.groupby([merged["period"], merged["condition"]]).transform("any")
    merged = merged[own | ~has_own]
    length = merged["end_days"] - merged["start_days"]
    first = merged["from_days"] + np.where(merged["from_anchor"] == "end", length, 0.0)
    last = merged["to_days"] + np.where(merged["to_anchor"] == "end", length, 0.0)
    result = pd.DataFrame(
        {
            "period": merged["period"],
            "condition": merged["condition"],
            "start_days": merged["start_days"] + np.maximum(first, 0.0),
            "end_days": merged["start_days"] + np.minimum(last, length),
            "longest_days": merged["longest_days"].fillna(np.inf),
        }
    )
    result = result[result["end_days"] > result["start_days"]]
    return result.sort_values(["period", "condition", "start_days"]).reset_index(drop=True)
