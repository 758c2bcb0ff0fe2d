"""Orders of works that follow each other: the last start of each leaves time for the rest."""

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.plan.chosen import Chosen
from bundler.tables import rows


def chained(case: Case, works: pd.DataFrame) -> pd.DataFrame:
    """Return chosen works that belong to a chain in an outage, with the chain's name."""
    table = works[works["is_outage"]].merge(case["chains"][["chain", "family"]], on="family")
    by_train = table["chain"].str.contains("*", regex=False)
    return table[~by_train | (table["train"] != "")].assign(
        key=table["period"] + table["chain"] + table["train"].where(by_train, "")
    )


def latest_starts(case: Case, picked: Chosen) -> pd.Series:
    """Return the last day on which each chained work can start, by placement [days].

    Backwards from the end: the work whose window ends last goes last, and each leaves room for
    those behind it.
    """
    found: dict[int, float] = {}
    for _, own in chained(case, picked.works).groupby("key"):
        free = np.inf
        for row in rows(own.sort_values(["end_days", "start_days", "component"])[::-1]):
            end = row.end_days + picked.extension_days.get(row.period, 0.0)
            free = min(free, end) - row.days
            found[row.placement] = min(free, found.get(row.placement, np.inf))
    return pd.Series(found, dtype="float64")


def ordered_in_time(case: Case, picked: Chosen) -> pd.DataFrame:
    """Return the chosen works with order dates that also serve works in series.

    last_order_days looks at the whole chain, and order_days is never after it.
    """
    works = picked.works.copy()
    latest = works["placement"].map(latest_starts(case, picked))
    wait = works["lead_days"] + case.settings.receive_days
    chained = (latest - wait).where(works["last_order_days"].notna())
    works["last_order_days"] = np.fmin(works["last_order_days"], chained)
    works["order_days"] = np.minimum(works["order_days"], works["last_order_days"])
    return works
