"""A unit of old parts that are all best renewed in both of its outages, to be bound by rules."""

from collections.abc import Sequence
from typing import Any

from bundler.case import Case
from tests.cases import case, one_unit

Rows = Sequence[dict[str, Any]]


def family(name: str = "PUMP", **cells: Any) -> dict[str, Any]:
    """Return a family whose members of 2007 wear out around 2022."""
    plain = {"family": name, "name": name.lower(), "area": "TB", "life_years": 15.0,
             "shape_ratio": 3.0, "forced_days": 5.0, "repair_cost": 200.0}  # fmt: skip
    return plain | cells


def work(
    days: float = 10.0, name: str = "PUMP", action: str = "replace", **cells: Any
) -> dict[str, Any]:
    """Return a work in the 30 days of D."""
    plain = {"family": name, "action": action, "cost": 100.0, "days": days, "conditions": "D"}
    return plain | cells


def parts(*names: str, **cells: Any) -> list[dict[str, Any]]:
    """Return components of U1 by name, FAMILY-number, with their position."""
    return [
        {"component": name, "unit": "U1", "family": name.rsplit("-", 1)[0],
         "position_count": number} | cells
        for number, name in enumerate(names, start=1)
    ]  # fmt: skip


def outage(name: str, year: int, days: float = 40.0, **cells: Any) -> dict[str, Any]:
    """Return an outage of U1 that starts with a year."""
    return {"outage": name, "unit": "U1", "kind": "planned", "start_date": f"{year}-01-01",
            "days": days, "freeze_date": f"{year - 1}-01-01"} | cells  # fmt: skip


def unit(components: Rows, families: Rows, actions: Rows, **more: Any) -> Case:
    """Return the case of one unit with these parts; it has crews enough."""
    return case(
        **one_unit(
            components=components, families=families, actions=actions, action_hours=[], **more
        )
    )


def group(kept: int, *families: str, kind: str = "planned", **cells: Any) -> dict[str, Rows]:
    """Return the tables of one group of which so many lines stay in service."""
    return {
        "groups": [{"group": "G", "name": "pumps"} | cells],
        "group_members": [{"group": "G", "family": name} for name in families or ("PUMP",)],
        "group_needs": [{"group": "G", "kind": kind, "in_service_count": kept}],
    }


def of(component: str, period: str, action: str = "replace") -> tuple[str, str, str]:
    """Return one work of a plan."""
    return component, action, period
