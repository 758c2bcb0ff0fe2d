"""A station of three units and one station-wide outage, made to be moved about in a test."""

from collections.abc import Sequence
from typing import Any

from bundler.case import Case
from tests.cases import case, settings

Rows = Sequence[dict[str, Any]]


def outage(name: str, unit: str, start_date: str, days: float, **more: Any) -> dict[str, Any]:
    """Return one outage; its scope freezes on 2027-06-01 unless told otherwise."""
    kind = "wide" if unit == "station" else "planned"
    plain = {"outage": name, "unit": unit, "kind": kind, "start_date": start_date, "days": days}
    return plain | {"freeze_date": "2027-06-01"} | more


def station(outages: Rows, dates: Sequence[tuple[str, str]] = (), **given: Any) -> Case:
    """Return units of 100, 200 and 400 a day; a planned outage costs 50 a day more to lengthen.

    It can be shared from day 10 to day 10 before its end, and is barred on its days 0 to 5.
    """
    values = {"U1": 100.0, "U2": 200.0, "U3": 400.0}
    return case(
        settings(**given),
        units=[
            {"unit": unit, "capacity_mw": 800.0, "day_value_cost_per_day": value,
             "first_sync_date": "2007-01-01"}
            for unit, value in values.items()
        ],
        outage_kinds=[
            {"kind": "planned", "name": "planned outage", "standing_cost_per_day": 50.0,
             "max_extension_days": 30.0, "shared_condition": "W", "barred_condition": "B"},
            {"kind": "wide", "name": "station-wide outage", "max_extension_days": 20.0},
            {"kind": "on_line", "name": "on line"},
        ],
        conditions=[{"condition": "W", "name": "open"}, {"condition": "B", "name": "fuel moves"}],
        windows=[
            {"kind": "planned", "condition": "W", "from_days": 10.0, "to_days": -10.0},
            {"kind": "planned", "condition": "B", "to_anchor": "start", "to_days": 5.0},
        ],
        outages=list(outages),
        outage_dates=[{"outage": name, "start_date": day} for name, day in dates],
    )  # fmt: skip
