"""Every work on every component in every period, with the span in which it would have to fit."""

import numpy as np
import pandas as pd

from bundler.calendar import days_from_planning
from bundler.case import Case
from bundler.choice import FloatArray
from bundler.learning import unit_hours_ratio

KEY = ["unit", "needs"]


def resolve_conditions(conditions: str, train: str) -> str:
    """Return the plant conditions with each star replaced by the component's train."""
    return conditions.replace("*", train)


def _after_months(case: Case, months: pd.Series) -> pd.Series:
    """Return days from the planning date to the same day so many months later [days]."""
    start = pd.Timestamp(case.settings.planning_date)
    whole = months.round().astype(int)
    ends = {count: start + pd.DateOffset(months=int(count)) for count in whole.unique()}
    return days_from_planning(case, whole.map(ends))


def _approval_months(case: Case, lead_months: pd.Series) -> pd.Series:
    """Return months for specification and approval, by the band of the lead time [months]."""
    bands = case["approval_times"].sort_values("lead_from_months")
    index = np.searchsorted(bands["lead_from_months"], lead_months, side="right") - 1
    months = bands["approval_months"].to_numpy()
    if bands.empty:
        return pd.Series(0.0, lead_months.index)
    return pd.Series(np.where(index >= 0, months[np.maximum(index, 0)], 0.0), lead_months.index)


def possible_works(case: Case) -> pd.DataFrame:
    """Return one row a component and action, with when parts and drawings can be ready.

    Adds needs (plant conditions without star), lead_days, ready_days (parts on site and
    kitted) and design_ready_days, all in days from the planning date.
    """
    actions = case["actions"].drop(columns=["file_row", "note"])
    parts = case["components"][["component", "unit", "family", "train", "position_count"]]
    works = parts.merge(actions, on="family")
    works["needs"] = [
        resolve_conditions(text, train)
        for text, train in zip(works["conditions"], works["train"], strict=True)
    ]
    approval = _approval_months(case, works["lead_months"])
    ordered = _after_months(case, approval)
    works["approval_days"] = ordered
    works["lead_days"] = _after_months(case, approval + works["lead_months"]) - ordered
    has_lead = works["lead_months"] > 0
    ready = ordered + works["lead_days"] + case.settings.receive_days
    works["ready_days"] = np.where(has_lead, ready, 0.0)
    works["design_ready_days"] = _after_months(case, works["design_months"])
    return works


def setup_days(case: Case) -> pd.Series:
    """Return the longest set-up of access that each kind of work waits for [days].

    By family and action; with action "" that of any work of the family.
    """
    table = case["access_members"].merge(case["access_sets"], on="access_set")
    return table.groupby(["family", "action"])["setup_days"].max()


def _access_wait_days(case: Case, works: pd.DataFrame) -> FloatArray:
    """Return the days that each work in an outage waits for its access [days]."""
    longest = setup_days(case)
    any_work = pd.MultiIndex.from_arrays([works["family"], [""] * len(works)])
    this_work = pd.MultiIndex.from_arrays([works["family"], works["action"]])
    waits = [longest.reindex(keys).fillna(0.0).to_numpy() for keys in (any_work, this_work)]
    return np.where(works["is_outage"], np.maximum(*waits), 0.0)


def _one_need(unit: str, needs: str, own: pd.DataFrame, spans: pd.DataFrame) -> pd.DataFrame:
    """Return, for each period of a unit, the span in which all the conditions hold."""
    wanted = needs.split("+")
    held = spans[spans["condition"].isin(wanted)]
    found = held.groupby("period").agg(
        span_start_days=("start_days", "max"),
        span_end_days=("end_days", "min"),
        longest_days=("longest_days", "min"),
        held_count=("condition", "nunique"),
    )
    table = own[["period"]].merge(found, on="period", how="left").assign(unit=unit, needs=needs)
    table["held_count"] = table["held_count"].fillna(0)
    is_open = table["span_end_days"] > table["span_start_days"]
    table["has_conditions"] = (table["held_count"] == len(set(wanted))) & is_open
    return table.drop(columns="held_count")


def _no_spans() -> pd.DataFrame:
    """Return the table of spans without rows."""
    text = dict.fromkeys([*KEY, "period"], "str")
    days = dict.fromkeys(["span_start_days", "span_end_days", "longest_days"], "float64")
    kinds = text | days | {"has_conditions": "bool"}
    return pd.DataFrame({name: pd.Series(dtype=kind) for name, kind in kinds.items()})


def need_spans(works: pd.DataFrame, periods: pd.DataFrame, spans: pd.DataFrame) -> pd.DataFrame:
    """Return one row a unit, set of conditions and period, with the span they share.

    Columns unit, needs, period, span_start_days, span_end_days, longest_days, has_conditions.
    """
    pairs = works[KEY].drop_duplicates().sort_values(KEY)
    by_unit = {unit: rows for unit, rows in periods.groupby("unit")}
    own_spans = {
        unit: spans[spans["period"].isin(rows["period"])] for unit, rows in by_unit.items()
    }
    tables = [
        _one_need(unit, needs, by_unit[unit], own_spans[unit])
        for unit, needs in pairs.itertuples(index=False)
        if unit in by_unit
    ]
    return pd.concat(tables, ignore_index=True) if tables else _no_spans()


def candidates(case: Case, periods: pd.DataFrame, spans: pd.DataFrame) -> pd.DataFrame:
    """Return one row a component, action and period of its unit, possible or not.

    The length of a work falls with the order of its outage in the series (unit theory).
    Adds open_span_days (conditions hold and access is made), start_days (and parts are there),
    end_days and extension_days, the days by which the outage would have to be longer for this
    work alone.
    """
    works = possible_works(case)
    table = works.merge(need_spans(works, periods, spans), on=KEY)
    own = periods.rename(columns={"start_days": "open_days", "end_days": "close_days"})
    table = table.merge(own.drop(columns=["unit", "days"]), on="period")
    table["learning_ratio"] = unit_hours_ratio(
        case.settings.learning_ratio, table["repeat_count"].to_numpy(dtype="float64")
    )
    table["days"] = table["days"] * table["learning_ratio"]
    table["open_span_days"] = table["span_start_days"] + _access_wait_days(case, table)
    table["start_days"] = np.maximum(table["open_span_days"], table["ready_days"])
    table["end_days"] = table["span_end_days"]
    short = table["days"] - (table["end_days"] - table["start_days"])
    table["extension_days"] = np.maximum(short, 0.0).round(6)
    order = ["component", "open_days", "period", "action"]
    return table.sort_values(order).reset_index(drop=True)
