"""A station of two units, four components and two outages, made to be changed in a test."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import pandas as pd

from bundler.case import Case, Settings
from bundler.judge import PlanFacts, judge, recomputed
from bundler.tables import dictionary, key_of

Rows = list[dict[str, Any]]

#: days from the planning date, 2027-01-01: start of O1 (U1), of O2 (U2), and the horizon
O1, O2, END = 731.0, 2192.0, 7304.0

BASE: dict[str, Rows] = {
    "units": [
        {"unit": "U1", "day_value_cost_per_day": 100.0, "first_sync_date": "2007-01-01"},
        {"unit": "U2", "day_value_cost_per_day": 200.0, "first_sync_date": "2007-01-01"},
    ],
    "outage_kinds": [
        {"kind": "planned", "standing_cost_per_day": 20.0, "max_extension_days": 10.0},
        {"kind": "on_line"},
    ],
    "outages": [
        {"outage": "O1", "unit": "U1", "kind": "planned", "start_date": "2029-01-01", "days": 40.0,
         "freeze_date": "2028-01-01"},
        {"outage": "O2", "unit": "U2", "kind": "planned", "start_date": "2033-01-01", "days": 40.0,
         "freeze_date": "2032-01-01"},
    ],
    "windows": [
        {"kind": "planned", "condition": "D", "from_days": 5.0, "to_days": -5.0},
        {"kind": "planned", "condition": "any"},
        {"kind": "on_line", "condition": "any"},
    ],
    "resources": [{"resource": "M", "cost_per_hour": 0.1, "hours_per_day": 8.0}],
    "crews": [{"resource": "M", "kind": "planned", "heads_count": 10.0, "direct_share": 0.5}],
    "areas": [{"area": "TB", "usable_m2": 2000.0}],
    "families": [
        {"family": "PUMP", "area": "TB", "curve": "exponential", "life_years": 20.0,
         "forced_days": 5.0, "repair_cost": 200.0},
        {"family": "VALVE", "area": "TB", "curve": "exponential", "life_years": 50.0,
         "repair_cost": 10.0},
    ],
    "actions": [
        {"family": "PUMP", "action": "replace", "cost": 300.0, "days": 10.0, "conditions": "D"},
        {"family": "VALVE", "action": "overhaul", "cost": 60.0, "days": 5.0, "conditions": "any"},
    ],
    "action_hours": [
        {"family": "PUMP", "action": "replace", "resource": "M", "work_hours": 500.0},
    ],
    "components": [
        {"component": "P1", "unit": "U1", "family": "PUMP", "train": "A"},
        {"component": "P2", "unit": "U2", "family": "PUMP", "train": "A"},
        {"component": "V1", "unit": "U1", "family": "VALVE", "train": "B"},
        {"component": "V2", "unit": "U2", "family": "VALVE", "train": "B"},
    ],
}  # fmt: skip


def outage(name: str, unit: str, start_date: str, days: float) -> dict[str, Any]:
    """Return one more planned outage."""
    one = {"outage": name, "unit": unit, "kind": "planned", "freeze_date": "2028-01-01"}
    return one | {"start_date": start_date, "days": days}


def edited(table: str, row: int, **cells: Any) -> Rows:
    """Return the rows of a base table with some cells of one row changed."""
    found = [dict(one) for one in BASE.get(table, [])]
    found[row] |= cells
    return found


def added(table: str, *more: dict[str, Any]) -> Rows:
    """Return the rows of a base table and some more."""
    return [*BASE.get(table, []), *more]


def _cell(column: Any, given: Any) -> Any:
    default = "" if column.default == "must" else column.default
    if column.kind == "date":
        return pd.NaT if given is None else pd.Timestamp(given)
    if given is not None:
        return given
    if column.kind == "flag":
        return default == "yes"
    if column.dtype == "str":
        return default
    return float(default) if default else (float("nan") if column.dtype == "float64" else 0)


def _table(name: str, given: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    columns = dictionary()[name]
    assert not {cell for row in given for cell in row} - {column.column for column in columns}
    frame = pd.DataFrame(
        {
            column.column: pd.Series(
                [_cell(column, row.get(column.column)) for row in given], dtype=column.dtype
            )
            for column in columns
        }
    ).sort_values(key_of(name), ignore_index=True)
    return frame.assign(file_row=range(2, len(frame) + 2))


def small(settings: Mapping[str, Any] | None = None, **tables: Rows) -> Case:
    """Return the base case with some tables replaced; no discount unless asked for."""
    single: dict[str, Any] = {
        "station": "test",
        "planning_date": date(2027, 1, 1),
        "horizon_end_date": date(2046, 12, 31),
        "currency": "k$",
        "price_year": 2027,
        "discount_share_per_year": 0.0,
        "station_value_cost_per_day": 300.0,
    }
    filled = BASE | tables
    names = [name for name in dictionary() if name != "settings"]
    made = {name: _table(name, filled.get(name, [])) for name in names}
    return Case(Settings(**(single | dict(settings or {}))), made, {})


P1 = ("P1", "replace", "O1")
P2 = ("P2", "replace", "O2")
V1 = ("V1", "overhaul", "O1")


def plan(
    case: Case,
    *works: tuple[str, str, str],
    access: Sequence[tuple[str, str, str, str]] = (),
    extension: Mapping[str, float] | None = None,
    overtime: Mapping[tuple[str, str], float] | None = None,
) -> PlanFacts:
    """Return a plan that claims the costs which follow from the tables."""
    facts = PlanFacts(
        pd.DataFrame(list(works), columns=["component", "action", "period"]),
        pd.DataFrame(list(access), columns=["access_set", "unit", "train", "period"]),
        extension or {},
        overtime or {},
        {},
    )
    costs = recomputed(case, facts)
    return PlanFacts(facts.works, facts.access, facts.extension_days, facts.overtime_hours, costs)


def broken(case: Case, *works: tuple[str, str, str], **more: Any) -> list[str]:
    """Return the rules that a plan breaks."""
    return sorted({breach.rule for breach in judge(case, plan(case, *works, **more))})
