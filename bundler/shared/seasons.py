"""Which days are summer."""

import numpy as np

from bundler.case import Case
from bundler.choice import FloatArray


def summer_share(case: Case, edges_days: FloatArray) -> FloatArray:
    """Return the share of each cell's days that lie in the summer months [K].

    The months from and to are whole, and may lie over a new year.
    """
    first, last = case.settings.summer_from_month, case.settings.summer_to_month
    start = np.datetime64(case.settings.planning_date, "D")
    days = start + np.arange(int(np.ceil(edges_days[-1])) + 1)
    month = days.astype("datetime64[M]").astype(int) % 12 + 1
    past_first, by_last = month >= first, month <= last
    is_summer = (past_first & by_last) if first <= last else (past_first | by_last)
    passed = np.append(0.0, np.cumsum(is_summer))
    at = np.interp(edges_days, np.arange(len(passed)), passed)
    result: FloatArray = np.diff(at) / np.diff(edges_days)
    return result
