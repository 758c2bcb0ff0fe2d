"""What stocks that units share mean for a plan: what one item more saves, when they end."""

from typing import Any

import numpy as np
import pandas as pd

from bundler.calendar import date_at
from bundler.case import Case
from bundler.risk.run_out import run_out_days
from bundler.shared.doing import Doings
from bundler.shared.run_out import RunOutSet
from bundler.shared.shared import Shared
from bundler.shared.spares import SpareSet
from bundler.tables import rows

NAMES = [
    "stock", "name", "items_count", "members_count", "loss_pv_cost", "without_pv_cost",
    "more_saves_pv_cost", "item_cost", "is_worth_buying", "run_out_date", "idle_run_out_date",
]  # fmt: skip


def _spares(each: SpareSet, plan: Doings) -> dict[str, Any]:
    """Return what a stock of spares means: counted once for all that draw on it."""
    loss = each.loss_pv(plan)
    return {
        "loss_pv_cost": loss,
        "without_pv_cost": each.with_spares(0).loss_pv(plan),
        "more_saves_pv_cost": loss - each.with_spares(each.spares_count + 1).loss_pv(plan),
    }


def _run_out(case: Case, each: RunOutSet, plan: Doings, idle: Doings) -> dict[str, Any]:
    """Return what a stock that is used up means, and when it ends: with the plan, and without."""
    found: dict[str, Any] = {"loss_pv_cost": each.loss_pv(plan)}
    more = each.with_items(each.stock.items_count + 1)
    found["more_saves_pv_cost"] = found["loss_pv_cost"] - more.loss_pv(plan)
    found["without_pv_cost"] = each.with_items(0.0).loss_pv(plan)
    for key, told in (("run_out_date", plan), ("idle_run_out_date", idle)):
        days, freed = each.pattern(told)
        first = float(run_out_days(each.stock, days[None], freed[None])[0])
        last = float(each.stock.end_days.max())
        found[key] = date_at(case, first).isoformat() if first < min(last, np.inf) else "never"
    return found


def stock_table(case: Case, shared: Shared, plan: Doings, idle: Doings) -> pd.DataFrame:
    """Return one row a stock that costs: its loss in the plan, without items, and with one more.

    `idle` is what its components do without any work.
    """
    found = []
    known: dict[str, SpareSet | RunOutSet] = {each.name: each for each in shared.spares}
    known |= {each.name: each for each in shared.run_outs}
    for row in rows(case["stocks"].sort_values("stock")):
        each = known.get(row.stock)
        if each is None:
            continue
        told = (
            _spares(each, plan) if isinstance(each, SpareSet) else _run_out(case, each, plan, idle)
        )
        told |= {"stock": row.stock, "name": row.name, "items_count": int(row.spares_count)}
        told |= {"members_count": len(each.members), "item_cost": row.spare_cost}
        told["is_worth_buying"] = bool(told["more_saves_pv_cost"] > row.spare_cost)
        found.append(told)
    table = pd.DataFrame(found, columns=NAMES)
    for name in ("run_out_date", "idle_run_out_date"):
        table[name] = table[name].astype("object").where(table[name].notna(), "")
    return table.round(1)
