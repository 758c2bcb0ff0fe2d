"""What people have decided about works: forced in, forced out, held in one outage."""

from typing import Any

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.choice import IntArray
from bundler.tables import rows


def is_action(own: pd.DataFrame, action: str) -> pd.Series:
    """Return which works are this action, or like it; all of them where none is named."""
    if not action:
        return pd.Series(True, own.index)
    return (own["action"] == action) | (own["like"] == action)


def hits(pin: Any, own: pd.DataFrame) -> np.ndarray:
    """Return which placements of its component a pin names."""
    hit = is_action(own, pin.action)
    if pin.outage:
        hit &= own["period"] == pin.outage
    return hit.to_numpy(dtype=bool)


def forbidden(pin: Any, own: pd.DataFrame) -> np.ndarray:
    """Return which placements of its component a pin forces out.

    "out" forces out what it names; "only" the same works anywhere but in its outage.
    """
    if pin.rule == "in":
        return np.zeros(len(own), dtype=bool)
    if pin.rule == "out":
        return hits(pin, own)
    here = (own["period"] == pin.outage).to_numpy(dtype=bool)
    result: np.ndarray = is_action(own, pin.action).to_numpy(dtype=bool) & ~here
    return result


def reason_of(pin: Any) -> str:
    """Return what a pin asks for, by whom and why, in words."""
    work = pin.action.replace("_", " ") or "work"
    where = f" in {pin.outage}" if pin.outage else ""
    asked = {
        "in": f"{pin.who} asks for {work}{where}",
        "out": f"forced out by {pin.who}",
        "only": f"held in {pin.outage} by {pin.who}",
    }
    return asked[pin.rule] + (f": {pin.why}" if pin.why else "")


def locks(case: Case, placed: pd.DataFrame) -> np.ndarray:
    """Return for each placement by whom and why it is forced out, in words; "" where it is not."""
    found = np.full(len(placed), "", dtype=object)
    for pin in rows(case["pins"]):
        own = np.flatnonzero(placed["component"] == pin.component)
        hit = own[forbidden(pin, placed.iloc[own])]
        found[hit[found[hit] == ""]] = reason_of(pin)
    return found


def keep_pinned(steps: IntArray, pins: pd.DataFrame, own: pd.DataFrame) -> IntArray:
    """Return the sequences that hold every work a person has forced in."""
    for pin in rows(pins[pins["rule"] == "in"]):
        hit = np.append(hits(pin, own), False)  # position -1 (no work) never hits
        steps = steps[hit[steps].any(axis=1)]
    return steps
