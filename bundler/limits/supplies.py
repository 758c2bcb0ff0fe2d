"""Anything else of which there is only so much a day: isolations, laydown, test slots, packages."""

import pandas as pd

from bundler.calendar import spans
from bundler.case import Case
from bundler.intervals import Stretch, union
from bundler.limits.rows import LimitRows, no_uses
from bundler.limits.windows import WHOLE, in_window, members
from bundler.tables import rows


def _uses(case: Case, placements: pd.DataFrame) -> pd.DataFrame:
    """Return what each placement takes: an amount once, or an amount on each of its days."""
    taken = case["action_supplies"].drop(columns="file_row").rename(columns={"amount": "taken"})
    names = ["placement", "family", "action", "period", "days"]
    table = placements[names].merge(taken, on=["family", "action"])
    days = table["days"].where(table["is_daily"], 1.0)
    return table.assign(amount=table["taken"] * days)[["placement", "period", "supply", "amount"]]


def held_days(case: Case, periods: pd.DataFrame) -> pd.DataFrame:
    """Return the days on which each condition holds in each period: period, condition, days.

    All its pieces count, days on which two of them overlap once.
    """
    pieces: dict[tuple[str, str], list[Stretch]] = {}
    for row in rows(spans(case, periods)):
        key = (row.period, row.condition)
        pieces.setdefault(key, []).append((row.start_days, row.end_days))
    found = [(*key, sum(end - start for start, end in union(own))) for key, own in pieces.items()]
    return pd.DataFrame(found, columns=["period", "condition", "days"])


def _there(case: Case, windows: pd.DataFrame, periods: pd.DataFrame) -> pd.DataFrame:
    """Return how much there is of each supply in each window of each period it is limited in.

    What is there only in a condition, or not at all, is limited over the whole period.
    """
    amounts = case["supply_amounts"].drop(columns="file_row")
    table = periods[["period", "kind", "is_outage"]].merge(
        case["supplies"].drop(columns="file_row"), how="cross"
    )
    table = table.merge(amounts, on=["supply", "kind"], how="left")
    table["has_row"] = table["amount_per_day"].notna()
    table = table[table["is_outage"] | table["has_row"]]
    table["amount_per_day"] = table["amount_per_day"].fillna(0.0)
    table["condition"] = table["condition"].fillna("")
    table = table.merge(held_days(case, periods), on=["period", "condition"], how="left")
    table = table.merge(windows[["period", "window", "from_days", "to_days"]], on="period")
    is_all_day = table["has_row"] & (table["condition"] == "")
    table = table[is_all_day | (table["window"] == WHOLE)]
    held = table["days"].fillna(0.0)
    table["days"] = (table["to_days"] - table["from_days"]).where(table["condition"] == "", held)
    table["extension_amount"] = table["amount_per_day"].where(table["condition"] == "", 0.0)
    return table


def supply_limits(
    case: Case, placements: pd.DataFrame, windows: pd.DataFrame, periods: pd.DataFrame
) -> LimitRows:
    """Return the amount of each supply in each window of each outage against what works take.

    Works whose span lies inside a window share what there is in it: so much a day times its
    days. A supply that is only there in a plant condition is shared by all works of the outage,
    on the days of that condition, wherever their own windows lie: a test is made after its work.
    A kind of outage without a row has none; on line only a row limits.
    """
    table = _there(case, windows, periods)
    names = table["supply"].map(case["supplies"].set_index("supply")["name"])
    taken = case["action_supplies"]
    daily = set(taken.loc[taken["is_daily"], "supply"])
    measure = table["measure"] + table["supply"].isin(daily).map({True: "-days", False: ""})
    table["limit"] = table["period"] + ".supply " + table["supply"] + "." + table["window"]
    none = table["has_row"].map({True: "", False: ", where there are none"})
    limits = table.assign(
        title=names + " in " + in_window(table) + none,
        measure=measure,
        resource=table["supply"],
        amount=table["amount_per_day"] * table["days"],
        step="1 a day",
        step_amount=table["days"],
    )
    inside = members(windows, placements, "placement")
    uses = inside.merge(_uses(case, placements), on=["placement", "period"])
    uses["limit"] = uses["period"] + ".supply " + uses["supply"] + "." + uses["window"]
    return LimitRows(limits, uses[["limit", "placement", "amount"]], no_uses("access"))
