"""How much shorter a work is because the same work was really done before in its series."""

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR
from bundler.case import Case
from bundler.courses.candidates import Learned
from bundler.learning import kept_hours_ratio

#: mean length of a month [days]
DAYS_A_MONTH = DAYS_A_YEAR / 12


def counts_as(case: Case, table: pd.DataFrame) -> pd.Series:
    """Return the kind of work each row (family, action) counts as: itself, or what it is like."""
    likes = case["actions"].set_index(["family", "action"])["like"]
    keys = pd.MultiIndex.from_arrays([table["family"], table["action"]])
    like = likes.reindex(keys).fillna("").to_numpy()
    return table["action"].where(like == "", pd.Series(like, table.index))


def _by_period(case: Case, table: pd.DataFrame) -> pd.DataFrame:
    """Return when each kind of work can begin and end by family and outage of a series [days]."""
    own = table[table["is_outage"] & (table["series"] != "")]
    own = own.assign(kind_of_work=counts_as(case, own))
    spans = {"first_days": ("span_start_days", "min"), "last_days": ("span_end_days", "max")}
    keys = ["family", "kind_of_work", "series", "period"]
    return own.groupby(keys, as_index=False).agg(**spans)


def learned_ratios(case: Case, possible: pd.DataFrame, works: pd.DataFrame) -> Learned:
    """Return the hours ratio of each kind of work in each outage where something was learned.

    A work of the same family and kind counts if it is among `works` (those of a plan), in an
    outage of the same series, and its window ends `feedback_months` before the first window of
    the later one opens. n is one more than the outages that count; the pause is that since the
    last of them. `possible` are all works whose conditions
    hold in an outage.
    """
    settings, found = case.settings, {}
    done = _by_period(case, works)
    wait = settings.feedback_months * DAYS_A_MONTH
    for key, later in _by_period(case, possible).groupby(["family", "kind_of_work", "series"]):
        family, kind, series = key
        own = done[
            (done["family"] == family) & (done["kind_of_work"] == kind) & (done["series"] == series)
        ]
        for _, row in later.iterrows():
            known = own[
                (own["last_days"] + wait <= row["first_days"]) & (own["period"] != row["period"])
            ]
            if len(known):
                pause = (row["first_days"] - known["last_days"].max()) / DAYS_A_YEAR
                ratio = kept_hours_ratio(
                    settings.learning_ratio, np.array(len(known) + 1.0), np.array(pause),
                    settings.half_learning_years,
                )  # fmt: skip
                found[str(family), str(kind), str(row["period"])] = float(ratio)
    return found
