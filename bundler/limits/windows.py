"""The windows of each period, and which work has to be done inside which of them."""

import numpy as np
import pandas as pd

from bundler.limits.rows import day_name

WHOLE = "all"


def period_windows(placements: pd.DataFrame, periods: pd.DataFrame) -> pd.DataFrame:
    """Return the windows of each period: every different span of conditions, and the whole.

    Columns period, window (days counted from breaker open, or all), from_days, to_days [days
    from planning], and crew_days, the part of the window in which crews are there [days].
    """
    names = ["period", "open_days", "close_days", "span_start_days", "span_end_days"]
    spans = placements[names].drop_duplicates()
    is_part = (spans["span_start_days"] > spans["open_days"]) | (
        spans["span_end_days"] < spans["close_days"]
    )
    spans = spans[is_part].reset_index(drop=True)
    spans = spans.rename(columns={"span_start_days": "from_days", "span_end_days": "to_days"})
    first, last = spans["from_days"] - spans["open_days"], spans["to_days"] - spans["open_days"]
    spans["window"] = [f"{day_name(a)}-{day_name(b)}" for a, b in zip(first, last, strict=True)]
    used = periods[periods["period"].isin(placements["period"])]
    whole = pd.DataFrame(
        {
            "period": used["period"],
            "from_days": used["start_days"],
            "to_days": used["end_days"],
            "window": WHOLE,
        }
    )
    table = pd.concat([whole, spans], ignore_index=True)
    crew = used.set_index("period")
    first = table["period"].map(crew["start_days"] + crew["crew_from_days"])
    last = table["period"].map(crew["end_days"] - crew["crew_to_days"])
    inside = np.minimum(table["to_days"], last) - np.maximum(table["from_days"], first)
    table["crew_days"] = np.maximum(inside, 0.0)
    table["crew_share"] = table["crew_days"] / (last - first)
    return table.sort_values(["period", "window"]).reset_index(drop=True)


def members(windows: pd.DataFrame, items: pd.DataFrame, key: str) -> pd.DataFrame:
    """Return which items have to be done inside which window.

    `items` has columns `key`, period, span_start_days and span_end_days; an item belongs to each
    window of its period that holds its whole span.
    """
    names = [key, "period", "span_start_days", "span_end_days"]
    pairs = windows.merge(items[names], on="period")
    inside = (pairs["span_start_days"] >= pairs["from_days"]) & (
        pairs["span_end_days"] <= pairs["to_days"]
    )
    return pairs.loc[inside, ["period", "window", key]].reset_index(drop=True)


def in_window(table: pd.DataFrame) -> pd.Series:
    """Return the period, and the days of the window in it, in words."""
    days = (", days " + table["window"]).where(table["window"] != WHOLE, "")
    return table["period"] + days
