"""Small stations made in a test: only the cells that matter, defaults from the dictionary."""

from collections.abc import Mapping, Sequence
from dataclasses import fields
from datetime import date
from typing import Any

import pandas as pd

from bundler.case import Case, Settings
from bundler.tables import dictionary, key_of

PLANNING = date(2027, 1, 1)


def _value(column: Any, given: Any) -> Any:
    if given is not None:
        return pd.Timestamp(given) if column.kind == "date" else given
    if column.kind == "date":
        return pd.NaT
    if column.kind in ("number", "share", "chance", "count"):
        return float(column.default) if column.default not in ("", "must") else float("nan")
    if column.kind == "flag":
        return column.default == "yes"
    return "" if column.default == "must" else column.default


def table(name: str, rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """Return one checked table from rows that hold only what matters."""
    columns = dictionary()[name]
    known = {column.column for column in columns}
    for row in rows:
        assert set(row) <= known, set(row) - known
    data = {
        column.column: pd.Series(
            [_value(column, row.get(column.column)) for row in rows], dtype=column.dtype
        )
        for column in columns
    }
    frame = pd.DataFrame(data).sort_values(key_of(name), ignore_index=True)
    return frame.assign(file_row=range(2, len(frame) + 2))


def settings(**given: Any) -> Settings:
    """Return settings without discounting, crews' losses or learning unless asked for."""
    plain: dict[str, Any] = {
        "station": "test",
        "planning_date": PLANNING,
        "horizon_end_date": date(2046, 12, 31),
        "currency": "k$",
        "price_year": 2027,
        "discount_share_per_year": 0.0,
        "station_value_cost_per_day": 100.0,
    }
    assert set(given) <= {field.name for field in fields(Settings)}
    return Settings(**(plain | given))


def case(base: Settings | None = None, **tables: Sequence[Mapping[str, Any]]) -> Case:
    """Return a case; tables that are not named are empty."""
    names = [name for name in dictionary() if name != "settings"]
    return Case(base or settings(), {name: table(name, tables.get(name, [])) for name in names}, {})


def one_unit(**more: Sequence[Mapping[str, Any]]) -> dict[str, Sequence[Mapping[str, Any]]]:
    """Return the tables of one unit with two planned outages of 40 days, one trade, one area."""
    plain: dict[str, Sequence[Mapping[str, Any]]] = {
        "units": [
            {"unit": "U1", "capacity_mw": 800.0, "day_value_cost_per_day": 100.0, "first_sync_date": "2007-01-01"}
        ],
        "outage_kinds": [
            {"kind": "planned", "name": "planned outage", "standing_cost_per_day": 20.0, "max_extension_days": 10.0},
            {"kind": "on_line", "name": "on line"},
        ],
        "outages": [
            {"outage": "P1", "unit": "U1", "kind": "planned", "start_date": "2029-01-01", "days": 40.0, "freeze_date": "2028-01-01"},
            {"outage": "P2", "unit": "U1", "kind": "planned", "start_date": "2033-01-01", "days": 40.0, "freeze_date": "2032-01-01"},
        ],
        "conditions": [{"condition": "D", "name": "drained"}],
        "windows": [{"kind": "planned", "condition": "D", "from_days": 5.0, "to_anchor": "end", "to_days": -5.0}],
        "resources": [{"resource": "M", "name": "millwright", "cost_per_hour": 0.1}],
        "crews": [{"resource": "M", "kind": "planned", "heads_count": 10.0, "direct_share": 0.5}],
        "areas": [{"area": "TB", "name": "turbine building", "usable_m2": 2000.0}],
        "families": [
            {"family": "PUMP", "name": "pump", "area": "TB", "life_years": 30.0, "shape_ratio": 3.0,
             "forced_days": 5.0, "repair_cost": 200.0}
        ],
        "actions": [{"family": "PUMP", "action": "replace", "cost": 300.0, "days": 10.0, "conditions": "D"}],
        "action_hours": [{"family": "PUMP", "action": "replace", "resource": "M", "work_hours": 500.0}],
        "components": [{"component": "PUMP-1", "unit": "U1", "family": "PUMP"}],
    }  # fmt: skip
    return plain | more
