"""Placements with their costs and payments, what is ruled out, and where work would fit."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.calendar import spans as all_spans
from bundler.case import Case
from bundler.choice import FloatArray
from bundler.courses.candidates import NOT_LEARNED, Learned, candidates
from bundler.courses.eligible import split
from bundler.courses.payments import add_costs, payments, planned_pv
from bundler.courses.pins import locks


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


def place(case: Case, periods: pd.DataFrame, *, learned: Learned = NOT_LEARNED) -> Placed:
    """Return every placement that may be, numbered, with its costs and payments."""
    table = candidates(case, periods, all_spans(case, periods), learned)
    placed, out = split(case, table)
    why = locks(case, placed)
    hit = why != ""
    locked = placed[hit][["component", "action", "period"]].assign(
        reason="lock", detail=why[hit], ready_date="", earliest_date="", offer=""
    )
    placed = add_costs(case, placed[~hit].reset_index(drop=True))
    placed["placement"] = np.arange(len(placed), dtype=np.int64)
    paid = payments(case, placed)
    placed["planned_pv_cost"] = planned_pv(case, placed, paid)
    fits = table[table["has_conditions"] & table["is_outage"]].reset_index(drop=True)
    return Placed(placed, paid, pd.concat([out, locked], ignore_index=True), fits)
