"""Dates and pins that a course has to keep, taken from the tables for one component."""

from collections.abc import Hashable

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR, days_from_planning
from bundler.case import Case
from bundler.choice import IntArray
from bundler.courses.sequences import DueRule
from bundler.tables import rows

#: mean length of a month [days], for statutory intervals
DAYS_A_MONTH = DAYS_A_YEAR / 12


def due_rules(case: Case, described: pd.DataFrame) -> dict[str, list[tuple[str, DueRule]]]:
    """Return for each component its due rules as (action that counts or "", rule).

    Statutory dates come from `mandates`, with the grace; a qualified age limit of the family
    makes renewal due when the limit is reached. `counts` is filled per component later.
    """
    rules: dict[str, list[tuple[str, DueRule]]] = {}
    mandates = case["mandates"]
    dues = days_from_planning(case, mandates["due_date"]) + mandates["grace_days"]
    lasts = mandates["interval_months"] * DAYS_A_MONTH + mandates["grace_days"]
    for row, due, last in zip(rows(mandates), dues, lasts.fillna(np.inf), strict=True):
        rule = DueRule(np.zeros(0, dtype=bool), float(due), float(last))
        rules.setdefault(row.component, []).append((row.action, rule))
    for row in rows(described[described["age_limit_years"].notna()]):
        limit = row.age_limit_years * DAYS_A_YEAR
        due = limit - row.age_years * DAYS_A_YEAR
        rule = DueRule(np.zeros(0, dtype=bool), float(due), float(limit))
        rules.setdefault(row.component, []).append(("renewal", rule))
    return rules


def counting(rules: list[tuple[str, DueRule]], own: pd.DataFrame) -> tuple[DueRule, ...]:
    """Return the rules with the placements that count for each: the action, or full renewal."""
    whole = (own["restoration_share"] >= 1) & (own["restoration_kind"] == "II")
    renewing = whole.to_numpy()
    actions = own["action"].to_numpy()
    filled = []
    for action, rule in rules:
        counts = np.ones(len(own), dtype=bool)
        if action == "renewal":
            counts = renewing
        elif action:
            counts = actions == action
        filled.append(DueRule(counts, rule.first_due_days, rule.lasts_days))
    return tuple(filled)


def _hits(pin: dict[Hashable, object], own: pd.DataFrame) -> np.ndarray:
    """Return which placements a pin speaks of."""
    hit = np.ones(len(own), dtype=bool)
    for column, name in (("action", "action"), ("outage", "period")):
        if pin[column]:
            hit &= (own[name] == pin[column]).to_numpy()
    return hit


def forbidden(pins: pd.DataFrame, own: pd.DataFrame) -> np.ndarray:
    """Return which placements of one component a person has forced out."""
    out = np.zeros(len(own), dtype=bool)
    for pin in pins[pins["rule"] == "out"].to_dict("records"):
        out |= _hits(pin, own)
    return out


def keep_pinned(steps: IntArray, pins: pd.DataFrame, own: pd.DataFrame) -> IntArray:
    """Return the sequences that hold every work a person has forced in."""
    for pin in pins[pins["rule"] == "in"].to_dict("records"):
        hit = np.append(_hits(pin, own), False)  # position -1 (no work) never hits
        steps = steps[hit[steps].any(axis=1)]
    return steps
