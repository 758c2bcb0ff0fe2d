"""Dates that a course has to keep, taken from the tables: statutory, of age, after half work."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR, days_from_planning
from bundler.case import Case
from bundler.courses.pins import is_action
from bundler.courses.sequences import DueRule
from bundler.tables import rows

#: mean length of a month [days], for statutory intervals
DAYS_A_MONTH = DAYS_A_YEAR / 12
#: what counts for a qualified age limit, in place of an action
RENEWAL = "renewal"


@dataclass(frozen=True)
class Due:
    """A due date of one component: what counts (an action, "" for any, RENEWAL), when, how long."""

    action: str
    first_due_days: float
    lasts_days: float


def due_dates(case: Case, described: pd.DataFrame) -> dict[str, list[Due]]:
    """Return the due dates of each component that has any.

    Statutory dates come from `mandates`, with the grace; a qualified age limit of the family
    makes renewal due when the limit is reached.
    """
    dues: dict[str, list[Due]] = {}
    mandates = case["mandates"]
    firsts = days_from_planning(case, mandates["due_date"]) + mandates["grace_days"]
    lasts = mandates["interval_months"] * DAYS_A_MONTH + mandates["grace_days"]
    for row, first, last in zip(rows(mandates), firsts, lasts.fillna(np.inf), strict=True):
        dues.setdefault(row.component, []).append(Due(row.action, float(first), float(last)))
    for row in rows(described[described["age_limit_years"].notna()]):
        limit = row.age_limit_years * DAYS_A_YEAR
        due = Due(RENEWAL, float(limit - row.age_years * DAYS_A_YEAR), float(limit))
        dues.setdefault(row.component, []).append(due)
    return dues


def due_rules(dues: list[Due], own: pd.DataFrame) -> tuple[DueRule, ...]:
    """Return due dates with what counts for each: the action, work like it, or full renewal."""
    renewing = (own["restoration_share"] >= 1) & (own["restoration_kind"] == "II")
    filled = []
    for due in dues:
        hit = renewing if due.action == RENEWAL else is_action(own, due.action)
        counts = hit.to_numpy(dtype=bool)
        lasts = np.where(counts, due.lasts_days, np.inf)
        filled.append(DueRule(counts, due.first_due_days, lasts))
    return tuple(filled)


def restores(own: pd.DataFrame) -> np.ndarray:
    """Return which works change the life: they take age away or bring a new design."""
    new = own["new_life_years"].notna() | own["new_shape_ratio"].notna()
    result: np.ndarray = ((own["restoration_share"] > 0) | new).to_numpy(dtype=bool)
    return result


def bridge_rules(own: pd.DataFrame) -> tuple[DueRule, ...]:
    """Return the rule of half measures: whole work follows within the years that they bridge.

    Whole is any work that restores something and is no half measure itself. A second half measure
    does not make the first last longer. No rule where none of the placements is a half measure.
    """
    years = own["bridge_years"].to_numpy(dtype=float)
    is_half = ~np.isnan(years)
    if not is_half.any():
        return ()
    lasts = np.where(is_half, years * DAYS_A_YEAR, np.inf)
    return (DueRule(restores(own) & ~is_half, np.inf, lasts),)
