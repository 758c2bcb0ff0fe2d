"""What a plan uses of every limit, and the price of each."""

from typing import Any

import pandas as pd

from bundler.choice import Choices
from bundler.plan.chosen import Chosen


def loads(choices: Choices, picked: Chosen) -> pd.DataFrame:
    """Return use against every limit: one row a limit.

    used_amount and base_amount (base scope) against limit_amount, which holds extension and
    overtime; in the unit of `measure`. full_share is used over limit.
    """
    placed = choices.uses[choices.uses["placement"].isin(picked.works["placement"])]
    opened = choices.access_uses[choices.access_uses["access"].isin(picked.access["access"])]
    used = placed.groupby("limit")["amount"].sum()
    used = used.add(opened.groupby("limit")["amount"].sum(), fill_value=0.0)
    table = choices.limits.copy()
    table["used_amount"] = table["limit"].map(used).fillna(0.0) + table["base_amount"]
    days = table["period"].map(picked.extension_days).fillna(0.0)
    worked = table["overtime"].map(picked.overtime_hours).fillna(0.0)
    table["overtime_hours"] = worked * table["overtime_share"]
    longer = table["extension_amount"] * days
    table["limit_amount"] = (
        table["amount"] + table["base_amount"] + longer + table["overtime_hours"]
    )
    table["full_share"] = (
        table["used_amount"] / table["limit_amount"].where(table["limit_amount"] > 0)
    ).fillna(0.0)
    names = [
        "limit", "title", "resource", "period", "window", "measure", "used_amount", "base_amount",
        "overtime_hours", "limit_amount", "full_share",
    ]  # fmt: skip
    return table[names].round(4).sort_values("limit", ignore_index=True)


def prices(
    choices: Choices, found: dict[tuple[str, Any], float], load: pd.DataFrame
) -> pd.DataFrame:
    """Return the price of each limit that has one: what one more unit, and one step, would save.

    From the relaxed problem: a hint, exact only for small steps while the same works stay in.
    The dearest step comes first; a step is what a person would add at once (a head, a day).
    """
    priced = {
        key: price for (rule, key), price in found.items() if rule == "limits" and price > 1e-9
    }
    table = choices.limits[choices.limits["limit"].isin(priced)][["limit", "step", "step_amount"]]
    table = table.assign(saved_pv_cost_per_unit=table["limit"].map(priced))
    table["saved_pv_cost_per_step"] = table["saved_pv_cost_per_unit"] * table["step_amount"]
    names = ["limit", "title", "resource", "period", "window", "measure", "full_share"]
    table = load[names].merge(table, on="limit").round(4)
    order = ["saved_pv_cost_per_step", "limit"]
    return table.sort_values(order, ascending=[False, True], ignore_index=True)
