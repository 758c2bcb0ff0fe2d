"""How sure levelled outages are, on one screen."""

from typing import Any

import pandas as pd
from rich.console import Console
from rich.table import Table

from bundler.report import CAUTIONS
from bundler.tables import rows

#: drivers told for each outage
DRIVERS = 3
HEADS = ("outage", "levelled", "P50", "P80", "P90", "of", "in time", "margin", "what drives it")


def _drivers(table: pd.DataFrame, outage: str) -> str:
    own = table[table["outage"] == outage].head(DRIVERS)
    return ", ".join(f"{row.name} {row.variance_share:.0%}" for row in rows(own))


def show_chances(tables: dict[str, pd.DataFrame], currency: str, console: Console) -> None:
    """Show finish by chance, outage by outage, with the days that the promise lacks.

    Days count from breaker open; margin is from the levelled finish to that of the promise.
    """
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in HEADS:
        table.add_column(head, justify="left" if head in (HEADS[0], HEADS[-1]) else "right")
    for row in rows(tables["confidence"]):
        days = (row.levelled_days, row.p50_finish_days, row.p80_finish_days, row.p90_finish_days)
        table.add_row(
            row.outage, *(f"{value:.0f} d" for value in days), f"{row.limit_days:.0f} d",
            f"{row.in_time_chance:.0%}", f"{row.margin_days:.0f} d",
            _drivers(tables["drivers"], row.outage),
        )  # fmt: skip
    console.print(table)
    late = tables["confidence"]
    late = late[late["missing_days"] > 0] if len(late) else late
    for row in rows(late):
        console.print(
            f"{row.outage}: {row.promise_chance:.0%} sure needs {row.missing_days:.1f} d more than "
            f"there are as levelled; {_first_drops(tables['drop_list'], row, currency)}",
            soft_wrap=True, markup=False,
        )  # fmt: skip
    console.print(f"Caution: {' '.join(CAUTIONS[:3])}", soft_wrap=True, markup=False)


def _first_drops(listed: pd.DataFrame, late: Any, currency: str) -> str:
    """Return what to take out first for days, in words."""
    if late.early_finish_days <= late.limit_days:
        return f"it is kept if tasks begin as soon as they can (day {late.early_finish_days:.0f})."
    own = listed[(listed["outage"] == late.outage) & (listed["short_of"] == "days")]
    if own.empty:
        return "nothing that may be left out shortens it."
    last = own.iloc[-1]
    names = ", ".join(own["task"].head(DRIVERS))
    more = f" and {len(own) - DRIVERS} more" if len(own) > DRIVERS else ""
    return (
        f"leaving out {names}{more} ends it on day {last['finish_days']:.0f}, for "
        f"{last['total_value_cost']:,.0f} {currency} in present value (drop_list.csv)."
    )
