"""Placements with their costs and payments, what is ruled out, and where work would fit."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.calendar import date_at
from bundler.calendar import spans as all_spans
from bundler.case import Case
from bundler.choice import FloatArray, IntArray
from bundler.courses.candidates import candidates
from bundler.courses.eligible import split
from bundler.courses.payments import add_costs, payments, planned_pv
from bundler.courses.rules import forbidden
from bundler.courses.sequences import DueRule


@dataclass(frozen=True)
class Placed:
    """Placements and payments, what is ruled out, and fits.

    fits : every component, action and outage whose plant conditions hold, whatever parts and
        drawings say.
    """

    placed: pd.DataFrame
    payments: pd.DataFrame
    ruled_out: pd.DataFrame
    fits: pd.DataFrame


def fitting_days(fits: pd.DataFrame) -> dict[str, FloatArray]:
    """Return for each component the starts of outages in which it could be worked on [days]."""
    return {str(name): np.unique(own["open_days"]) for name, own in fits.groupby("component")}


def _pinned_out(case: Case, placed: pd.DataFrame) -> np.ndarray:
    """Return which placements a person has forced out."""
    hit = np.zeros(len(placed), dtype=bool)
    by_component = placed.groupby("component").indices
    for component, pins in case["pins"].groupby("component"):
        rows = by_component.get(component, np.zeros(0, dtype=np.int64))
        hit[rows] = forbidden(pins, placed.iloc[rows])
    return hit


def place(case: Case, periods: pd.DataFrame) -> Placed:
    """Return every placement that may be, numbered, with its costs and payments."""
    table = candidates(case, periods, all_spans(case, periods))
    placed, out = split(case, table)
    hit = _pinned_out(case, placed)
    locked = placed[hit][["component", "action", "period"]].assign(
        reason="lock", detail="forced out by a pin", ready_date="", earliest_date="", offer=""
    )
    placed = add_costs(case, placed[~hit].reset_index(drop=True))
    placed["placement"] = np.arange(len(placed), dtype=np.int64)
    paid = payments(case, placed)
    placed["planned_pv_cost"] = planned_pv(case, placed, paid)
    fits = table[table["has_conditions"] & table["is_outage"]].reset_index(drop=True)
    return Placed(placed, paid, pd.concat([out, locked], ignore_index=True), fits)


def _told(
    case: Case, own: pd.DataFrame, gone: np.ndarray, reason: str, detail: str
) -> pd.DataFrame:
    """Return placements as rows of what is ruled out; the earliest date is of the same action."""
    rows = own.loc[gone, ["component", "action", "period"]]
    first = own[~gone].groupby("action")["start_days"].min()
    dates = {action: date_at(case, days).isoformat() for action, days in first.items()}
    return rows.assign(
        reason=reason, detail=detail, ready_date="",
        earliest_date=[dates.get(action, "") for action in rows["action"]], offer="",
    )  # fmt: skip


def barred(
    case: Case, own: pd.DataFrame, lawful: IntArray, steps: IntArray, rules: tuple[DueRule, ...]
) -> list[pd.DataFrame]:
    """Return the placements of one component that no course holds: by dates, then by pins.

    `lawful` are its courses that keep every due date, `steps` those that hold its pins as well.
    """
    numbers = np.arange(len(own))
    by_date = ~np.isin(numbers, lawful)
    by_pin = ~np.isin(numbers, steps) & ~by_date
    found = []
    if by_date.any() and rules:
        first = date_at(case, min(rule.first_due_days for rule in rules))
        detail = f"no course with it keeps every due date, first {first}"
        found.append(_told(case, own, by_date, "statutory date", detail))
    if by_pin.any():
        found.append(_told(case, own, by_pin, "lock", "a pin asks for other work"))
    return found
