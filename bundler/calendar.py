"""The station's calendar in days from the planning date: outages, on-line periods, spans."""

import math
from datetime import date, timedelta

import numpy as np
import pandas as pd

from bundler.case import Case, Settings
from bundler.intervals import Stretch, Stretches, at_least, union
from bundler.tables import rows, words

#: a day that lacks less than this is whole [days]
SAME_DAYS = 1e-6
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
    """Return the date on which a day falls that lies so many days after the planning date."""
    return case.settings.planning_date + timedelta(days=math.floor(days + SAME_DAYS))


def dates_at(case: Case, days: pd.Series) -> pd.Series:
    """Return the dates that lie so many days after the planning date, as ISO text."""
    whole = np.floor(days + SAME_DAYS)
    stamps = pd.Timestamp(case.settings.planning_date) + pd.to_timedelta(whole, unit="D")
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


def _gaps(
    case: Case, shut: list[tuple[float, float]], last: int, shortest_days: float
) -> list[tuple[float, float]]:
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
        if b - a >= shortest_days and not any(s <= a and b <= e for s, e in shut)
    ]


def on_line_periods(
    case: Case, outages: pd.DataFrame, *, shortest_days: float = SHORTEST_ON_LINE_DAYS
) -> pd.DataFrame:
    """Return the stretches between outages, at most a calendar year each, for every unit."""
    rows = []
    for unit, last in sorted(end_of_life_days(case).items()):
        own = outages[outages["unit"].isin([unit, STATION])]
        shut = list(zip(own["start_days"], own["end_days"], strict=True))
        seen: dict[int, int] = {}
        for start, end in _gaps(case, shut, last, shortest_days):
            year = date_at(case, start).year
            seen[year] = seen.get(year, 0) + 1
            name = f"{unit}-{year}" + ("" if seen[year] == 1 else f"-{seen[year]}")
            rows.append((name, unit, ON_LINE, float(start), float(end)))
    names = ["period", "unit", "kind", "start_days", "end_days"]
    table = pd.DataFrame(rows, columns=names)
    table["days"] = table["end_days"] - table["start_days"]
    return table.assign(
        is_outage=False, day_cost=0.0, max_extension_days=0.0, design_days=0.0,
        freeze_days=np.inf, side="", series="", crew_from_days=0.0, crew_to_days=0.0,
        dose_limit_person_msv=np.nan,
    )  # fmt: skip


def _barred(case: Case, table: pd.DataFrame) -> Stretches:
    """Return the days on which no station-wide outage may be going on."""
    table = table[table["barred_condition"] != ""]
    if table.empty:
        return ()
    held = spans(case, table).merge(table[["period", "barred_condition"]], on="period")
    held = held[held["condition"] == held["barred_condition"]]
    return union(zip(held["start_days"], held["end_days"], strict=True))


def _closed(case: Case, table: pd.DataFrame) -> dict[str, Stretches]:
    """Return by unit the days on which no outage of it may be going on after its drawn end."""
    most = case.settings.most_units_out_count
    longest = table["end_days"] + table["max_extension_days"]
    out: dict[str, list[Stretch]] = {unit: [] for unit in case["units"]["unit"]}
    for unit, start, end in zip(table["unit"], table["start_days"], longest, strict=True):
        out.setdefault(unit, []).append((start, end))
    has_wide = out.pop(STATION, None) is not None
    return {STATION: _barred(case, table) if has_wide else ()} | {
        unit: at_least([own for other, own in out.items() if other != unit], most) for unit in out
    }


def most_extension(case: Case) -> dict[str, float]:
    """Return by outage the most days by which a plan may lengthen it [d].

    The most of its kind, cut so that it ends by its due date, before the next outage of its unit,
    a station-wide one before days on which it may not fall, and others before a day on which as
    many units are out as may be. All others count as lengthened by the most of their kind, so
    every plan within these days holds; where two outages could share the room, both are cut.
    """
    table = outage_periods(case)
    due, closed = days_from_planning(case, table["due_date"]).fillna(np.inf), _closed(case, table)
    starts = {unit: list(own) for unit, own in table.groupby("unit")["start_days"]}
    found = {}
    for row, last in zip(rows(table), due, strict=True):
        stops = [last, *(start for start in starts[row.unit] if start >= row.end_days)]
        stops += [low for low, high in closed[row.unit] if high > row.end_days]
        found[row.period] = max(0.0, min(row.max_extension_days, min(stops) - row.end_days))
    return found


def periods(case: Case) -> pd.DataFrame:
    """Return every outage and on-line period in which work can be placed.

    One row a period, sorted by unit and start; all times in days from the planning date.
    day_pv_cost is the present value, at the outage's planned end, of one day more.
    """
    outages = outage_periods(case)
    outages["max_extension_days"] = outages["period"].map(most_extension(case)).astype("float64")
    table = pd.concat([outages, on_line_periods(case, outages)], ignore_index=True)
    years = table["end_days"] / DAYS_A_YEAR
    table["day_pv_cost"] = table["day_cost"] * (1 + case.settings.discount_share_per_year) ** -years
    names = [
        "period", "unit", "kind", "side", "start_days", "end_days", "days", "freeze_days",
        "series", "is_outage", "day_cost", "day_pv_cost", "max_extension_days", "design_days",
        "dose_limit_person_msv", "crew_from_days", "crew_to_days",
    ]  # fmt: skip
    return table.sort_values(["unit", "start_days", "period"])[names].reset_index(drop=True)


def _season(case: Case, from_month: int, to_month: int) -> Stretches:
    """Return the days of a season, both months whole, in every year of the plan and around it."""
    start, end = case.settings.planning_date, case.settings.horizon_end_date
    wraps = to_month < from_month
    after, carry = to_month % 12 + 1, to_month // 12
    found = []
    for year in range(start.year - 1, end.year + 2):
        first, last = date(year, from_month, 1), date(year + wraps + carry, after, 1)
        found.append((float((first - start).days), float((last - start).days)))
    return union(found)


def _in_season(case: Case, table: pd.DataFrame) -> pd.DataFrame:
    """Return the spans cut to the seasons of their conditions, which no extension passes."""
    seasons = {
        row.condition: _season(case, int(row.season_from_month), int(row.season_to_month))
        for row in rows(case["conditions"].dropna(subset=["season_from_month", "season_to_month"]))
    }
    is_cut = table["condition"].isin(seasons)
    pieces = [
        row._replace(start_days=start, end_days=end, last_days=high)
        for row in rows(table[is_cut])
        for low, high in seasons[row.condition]
        for start, end in [(max(row.start_days, low), min(row.end_days, high))]
        if start < end
    ]
    cut = pd.DataFrame(pieces, columns=table.columns).astype(table.dtypes)
    return pd.concat([table[~is_cut], cut]) if is_cut.any() else table


def spans(case: Case, table: pd.DataFrame) -> pd.DataFrame:
    """Return the days on which each plant condition holds in each period.

    One row a period, condition and piece; start_days, end_days [days from planning], longest_days
    (infinite where nothing limits a single work) and last_days, which the piece does not pass
    even if its outage is lengthened. A row of windows for one outage replaces its kind's, one for
    a side those for any side; a season cuts what is left into pieces.
    """
    rows = case["windows"].drop(columns="file_row")
    merged = table[["period", "kind", "side", "start_days", "end_days"]].merge(
        rows, on="kind", suffixes=("", "_window")
    )
    fits_side = (merged["side_window"] == "") | (merged["side_window"] == merged["side"])
    fits_outage = (merged["outage"] == "") | (merged["outage"] == merged["period"])
    merged = merged[fits_side & fits_outage]
    rank = 2 * (merged["outage"] != "") + (merged["side_window"] != "")
    merged = merged[rank == rank.groupby([merged["period"], merged["condition"]]).transform("max")]
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
            "last_days": np.inf,
        }
    )
    result = _in_season(case, result[result["end_days"] > result["start_days"]])
    return result.sort_values(["period", "condition", "start_days"]).reset_index(drop=True)
