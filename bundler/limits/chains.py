"""Days of works that can only follow each other: never two at once in one place."""

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.limits.rows import LimitRows, no_access_uses


def chain_members(case: Case, placements: pd.DataFrame) -> pd.DataFrame:
    """Return the placements of each chain in each outage; chains with a star are one a train."""
    table = case["chains"].drop(columns="file_row")
    works = placements[placements["is_outage"]].merge(table, on="family")
    by_train = works["chain"].str.contains("*", regex=False)
    works["chain"] = [
        name.replace("*", train) for name, train in zip(works["chain"], works["train"], strict=True)
    ]
    return works[~by_train | (works["train"] != "")]


def _stretches(own: pd.DataFrame) -> list[tuple[float, float]]:
    """Return every stretch from the start of one work's span to the end of another's."""
    starts, ends = np.unique(own["start_days"]), np.unique(own["end_days"])
    return [(float(a), float(b)) for a in starts for b in ends if b > a]


def chain_limits(case: Case, placements: pd.DataFrame) -> LimitRows:
    """Return, for each chain in an outage, the days of its works against the days there are.

    For every stretch of days, the works that have to lie inside it (conditions hold and parts
    are there no earlier, conditions end no later) follow each other in it. A stretch with works
    of only one component says nothing new and is left out.
    """
    limits: list[tuple[str, str, str, str, float]] = []
    uses: list[pd.DataFrame] = []
    works = chain_members(case, placements)
    for (period, chain), own in works.groupby(["period", "chain"], sort=True):
        for a, b in _stretches(own):
            inside = own[(own["start_days"] >= a) & (own["end_days"] <= b)]
            if inside["component"].nunique() < 2:
                continue
            name = f"{period}.chain {chain}.{a:.0f}-{b:.0f}"
            limits.append((name, f"chain {chain}", str(period), f"{a:.0f}-{b:.0f}", b - a))
            uses.append(inside[["placement", "days"]].assign(limit=name))
    table = pd.DataFrame(limits, columns=["limit", "resource", "period", "window", "amount"])
    used = (
        pd.concat(uses, ignore_index=True)
        if uses
        else pd.DataFrame(columns=["limit", "placement", "days"])
    )
    return LimitRows(
        table.assign(
            measure="days",
            extension_amount=1.0,
            title="days for " + table["resource"] + " in " + table["period"],
        ),
        used.rename(columns={"days": "amount"})[["limit", "placement", "amount"]],
        no_access_uses(),
    )
