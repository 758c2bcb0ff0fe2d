"""Items that planned works borrow from the site's stock, and which come back after a time."""

import pandas as pd

from bundler.calendar import DAYS_A_YEAR, date_at
from bundler.case import Case
from bundler.limits.rows import LimitRows, day_name, no_limits, no_uses
from bundler.tables import rows

#: an item that comes back on the day on which the next work starts is there [days]
CLOSE_DAYS = 1e-6


def _away(own: pd.DataFrame, restock_days: float) -> list[tuple[float, pd.DataFrame]]:
    """Return the works that may have an item at a time, at each start that says something new.

    A work has its item from its earliest start until the restock time after it. While nobody
    brings one back before the next start, that next start says more.
    """
    found: list[tuple[float, pd.DataFrame]] = []
    for day in sorted(own["start_days"].unique()):
        is_back = own["start_days"] + restock_days - CLOSE_DAYS <= day
        away = own[(own["start_days"] <= day) & ~is_back]
        if found and set(found[-1][1]["placement"]) <= set(away["placement"]):
            found.pop()
        found.append((float(day), away))
    return found


def stock_limits(case: Case, placements: pd.DataFrame) -> LimitRows:
    """Return, for each stock that works take items from, how many they may have at a time.

    One row for each start at which more works could have an item than there are.
    """
    limits, uses = [no_limits()], [no_uses("placement")]
    for stock in rows(case["stocks"]):
        own = placements[placements["takes_stock"] == stock.stock]
        months = float("inf") if pd.isna(stock.restock_months) else stock.restock_months
        for day, away in _away(own, months * DAYS_A_YEAR / 12):
            if len(away[["component", "period"]].drop_duplicates()) <= stock.spares_count:
                continue
            name, first = f"stock {stock.stock}.{day_name(day)}", date_at(case, day)
            row = {
                "limit": name, "title": f"items of {stock.name} away on {first}",
                "measure": "items", "resource": f"stock {stock.stock}", "period": str(first),
                "amount": float(stock.spares_count), "step": "1 item",
            }  # fmt: skip
            limits.append(pd.DataFrame([row]))
            uses.append(away[["placement"]].assign(limit=name, amount=1.0))
    return LimitRows(
        pd.concat(limits, ignore_index=True),
        pd.concat(uses, ignore_index=True)[["limit", "placement", "amount"]],
        no_uses("access"),
    )
