"""Limits that no plan could ever pass, so that nobody has to look at them."""

import pandas as pd

from bundler.case import Case
from bundler.limits.rows import LimitRows


def _most_works(case: Case, placements: pd.DataFrame) -> pd.Series:
    """Return for each placement the most works there can be on its component."""
    most = case["families"].set_index("family")["max_works_count"]
    return placements["family"].map(most).fillna(case.settings.max_actions_count)


def reachable(case: Case, part: LimitRows, placements: pd.DataFrame) -> LimitRows:
    """Return the limits that works and access sets could overfill, with their uses.

    A component has at most one work in a period, and so many works in all; it counts with its
    largest uses.
    """
    placed = placements[["placement", "component", "period"]]
    placed = placed.assign(most_works=_most_works(case, placements))
    uses = part.uses.merge(placed, on="placement")
    key = ["limit", "component"]
    largest = uses.groupby([*key, "period"], as_index=False)[["amount", "most_works"]].max()
    largest = largest.sort_values("amount", ascending=False)
    largest = largest[largest.groupby(key).cumcount() < largest["most_works"]]
    most = largest.groupby("limit")["amount"].sum()
    most = most.add(part.access_uses.groupby("limit")["amount"].sum(), fill_value=0.0)
    limits = part.limits[part.limits["limit"].map(most).fillna(0.0) > part.limits["amount"]]
    there = set(limits["limit"])
    return LimitRows(
        limits.reset_index(drop=True),
        part.uses[part.uses["limit"].isin(there)],
        part.access_uses[part.access_uses["limit"].isin(there)],
    )
