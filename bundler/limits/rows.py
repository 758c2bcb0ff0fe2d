"""The one shape of a limit: rows of limits, and what placements and access sets use of them."""

from dataclasses import dataclass
from typing import Any

import pandas as pd

LIMIT_COLUMNS = [
    "limit", "title", "measure", "resource", "period", "window", "amount", "base_amount",
    "extension_amount", "overtime", "overtime_share", "step", "step_amount",
]  # fmt: skip


@dataclass(frozen=True)
class LimitRows:
    """Limits of one sort with their uses.

    limits : limit, title (words), measure (hours, head_days, days, person_msv, cost), resource,
        period, window, amount (what is left for choice), base_amount (used by base scope),
        extension_amount (more of it for each day of extension of the period), overtime (name of
        the overtime band that adds to it, or "") with overtime_share (part of the band that
        can be worked in it), step and step_amount (what a person would add
        to it at once, in words and in its measure).
    uses : limit, placement, amount.
    access_uses : limit, access, amount.
    """

    limits: pd.DataFrame
    uses: pd.DataFrame
    access_uses: pd.DataFrame


def day_name(days: float) -> str:
    """Return a day as text for names: without a point where it is whole."""
    return f"{days:.3f}".rstrip("0").rstrip(".")


def no_uses(item: str) -> pd.DataFrame:
    """Return an empty table of what items ("placement" or "access") use."""
    kinds = {"limit": "str", item: "int64" if item == "placement" else "str", "amount": "float64"}
    return pd.DataFrame({name: pd.Series(dtype=kind) for name, kind in kinds.items()})


def no_limits() -> pd.DataFrame:
    """Return an empty table of limits."""
    text = ("limit", "title", "measure", "resource", "period", "window", "overtime", "step")
    names = {name: "str" if name in text else "float64" for name in LIMIT_COLUMNS}
    return pd.DataFrame({name: pd.Series(dtype=kind) for name, kind in names.items()})


def tidy(limits: pd.DataFrame) -> pd.DataFrame:
    """Return limits with every column of a limit, defaults filled in."""
    if "title" not in limits:
        limits = limits.assign(title=limits["resource"] + " in " + limits["period"])
    defaults: dict[str, Any] = {
        "window": "",
        "base_amount": 0.0,
        "extension_amount": 0.0,
        "overtime": "",
        "overtime_share": 1.0,
        "step": "1 more",
        "step_amount": 1.0,
    }
    table = limits.copy()
    for name, value in defaults.items():
        table[name] = table[name].fillna(value) if name in table else value
    return table[LIMIT_COLUMNS]


def joined(parts: list[LimitRows]) -> LimitRows:
    """Return all limits in one, sorted by name, without limits that nothing uses."""
    uses = pd.concat([part.uses for part in parts], ignore_index=True)
    limits = pd.concat([tidy(part.limits) for part in parts], ignore_index=True)
    limits = limits.astype(no_limits().dtypes.to_dict())  # empty parts have no kinds
    uses = uses[(uses["amount"] > 0) & uses["limit"].isin(limits["limit"])]
    access_uses = pd.concat([part.access_uses for part in parts], ignore_index=True)
    is_known = access_uses["limit"].isin(limits["limit"])
    access_uses = access_uses[(access_uses["amount"] > 0) & is_known]
    limits = limits[limits["limit"].isin(set(uses["limit"]) | set(access_uses["limit"]))]
    return LimitRows(
        limits.sort_values("limit").reset_index(drop=True),
        uses.sort_values(["limit", "placement"]).reset_index(drop=True),
        access_uses.sort_values(["limit", "access"]).reset_index(drop=True),
    )
