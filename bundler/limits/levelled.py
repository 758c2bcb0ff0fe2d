"""What levelling over days found to fit: limits on windows of single outages, below their sums."""

import pandas as pd

from bundler.case import Case
from bundler.limits.rows import LimitRows, day_name, no_limits
from bundler.limits.windows import WHOLE

#: windows that differ by less are the same [days]
CLOSE_DAYS = 1e-6


def _name(case: Case, table: pd.DataFrame, window: pd.Series | str) -> pd.Series:
    """Return the name of the limit on a resource in a window of an outage."""
    is_supply = table["resource"].isin(set(case["supplies"]["supply"]))
    resource = table["resource"].str.replace("area.", "area ", regex=False)
    resource = resource.where(~is_supply, "supply " + resource)
    name: pd.Series = table["outage"] + "." + resource + "." + window
    return name


def _inside(found: pd.DataFrame, uses: pd.DataFrame, items: pd.DataFrame, key: str) -> pd.DataFrame:
    """Return what items whose span lies inside the window use of it: limit, `key`, amount."""
    names = [key, "span_start_days", "span_end_days"]
    table = found.merge(uses.rename(columns={"limit": "whole"}), on="whole")
    table = table.merge(items[names], on=key)
    early = table["span_start_days"] >= table["from_day"] - CLOSE_DAYS
    late = table["span_end_days"] <= table["to_day"] + CLOSE_DAYS
    return table.loc[early & late, ["limit", key, "used"]].rename(columns={"used": "amount"})


def levelled_limits(
    case: Case, rows: LimitRows, placements: pd.DataFrame, access: pd.DataFrame,
    periods: pd.DataFrame,
) -> LimitRows:  # fmt: skip
    """Return a limit for each row of `levelled`, on what `rows` limit over the whole outage.

    Works and access sets whose span lies inside the window share the amount, which is what fits
    with crews and overtime as they are there: days of extension add nothing.
    """
    found = case["levelled"].drop(columns="file_row")
    if found.empty:
        return LimitRows(no_limits(), rows.uses.iloc[:0], rows.access_uses.iloc[:0])
    days = found["from_days"].map(day_name) + "-" + found["to_days"].map(day_name)
    found["limit"] = _name(case, found, days + " levelled")
    found["whole"] = _name(case, found, WHOLE)
    start = found["outage"].map(periods.set_index("period")["start_days"])
    found["from_day"], found["to_day"] = start + found["from_days"], start + found["to_days"]
    names = ["limit", "measure", "step", "step_amount"]
    wide = rows.limits[names].rename(columns={"limit": "whole"})
    limits = found.merge(wide, on="whole").assign(period=lambda table: table["outage"])
    title = rows.limits.set_index("limit")["title"]
    limits["title"] = limits["whole"].map(title) + ", days " + days + ", as levelled"
    limits["window"] = days + " levelled"
    uses, sets = (
        table.rename(columns={"amount": "used"}) for table in (rows.uses, rows.access_uses)
    )
    return LimitRows(
        limits,
        _inside(limits, uses, placements, "placement"),
        _inside(limits, sets, access, "access"),
    )
