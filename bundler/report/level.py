"""A levelled plan in words and files: when outages end, what found no room, what was fed back."""

import json
from pathlib import Path
from typing import Any

import pandas as pd
from rich.console import Console
from rich.table import Table

from bundler.executable import Executed
from bundler.level.outages import finish_table, level_tables
from bundler.report import CAUTIONS
from bundler.report.save import save_tables
from bundler.slip import SAME, Slip
from bundler.tables import rows

#: works without room that the screen tells one by one, and lines of a slip
MOST_TOLD, MOST_LINES = 12, 25


def _works(found: Executed) -> pd.DataFrame:
    names = ["component", "action", "period"]
    return found.plan.picked.works[names].sort_values(names, ignore_index=True)


def _rounds(found: Executed) -> pd.DataFrame:
    """Return the rounds as a table: round, works, cost, without room, rows fed back, moves."""
    table = pd.DataFrame([vars(each) for each in found.rounds])
    table.insert(0, "round_count", range(1, len(table) + 1))
    return table.round(3)


def level_summary(found: Executed) -> dict[str, Any]:
    """Return what made a levelled plan, and how it ended."""
    return {
        "station": found.plan.case.settings.station,
        "currency": found.plan.case.settings.currency,
        "is_executable": found.is_executable,
        "left_out_count": len(found.stuck),
        "clash": found.clash,
        "breaches": [breach.text for breach in found.breaches],
        "input_hashes": dict(sorted(found.plan.case.hashes.items())),
    }


def tables_of(found: Executed) -> dict[str, pd.DataFrame]:
    """Return every table of a levelled plan by name."""
    return {
        **level_tables(found.plan, found.schedules),
        "level_rounds": _rounds(found),
        "level_works": _works(found),
        "level_stuck": found.stuck,
        "levelled": found.fits,
        "level_pins": found.pins,
    }


def save_level(found: Executed, folder: Path) -> None:
    """Write the tables of a levelled plan into `folder`, replacing earlier ones in one move.

    Raises BundlerError if the folder holds something else or cannot be written.
    """
    text = json.dumps(level_summary(found), indent=2, ensure_ascii=False) + "\n"
    save_tables(tables_of(found), folder, {"level.json": text})


def _finishes(found: Executed) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in ("outage", "works", "no room", "ends on day", "of", "left", "no sooner than", ""):
        table.add_column(head, justify="left" if head in ("outage", "") else "right")
    for row in rows(finish_table(found.schedules)):
        table.add_row(
            row.outage, f"{row.works_count}", f"{row.left_out_count or ''}",
            f"{row.finish_days:g}", f"{row.limit_days:g}", f"{row.float_days:g} d",
            f"{row.bound_days:g}", row.status,
        )  # fmt: skip
    return table


def _rounds_told(found: Executed) -> list[str]:
    """Return one line a round."""
    unit = found.plan.case.settings.currency
    lines = []
    for number, each in enumerate(found.rounds, start=1):
        fed = (
            f"; {each.rows_count} limits and works to take out fed back" if each.rows_count else ""
        )
        moved = f", {each.moved_count} works differ from the round before" if number > 1 else ""
        lines.append(
            f"Round {number}: {each.works_count} works, {each.pv_cost:,.0f} {unit} in present "
            f"value{moved}; {each.left_out_count} find no room on days{fed}."
        )
    return lines


def _promises(found: Executed) -> list[str]:
    """Return one line for each promise."""
    lines = []
    for row in rows(found.promises):
        is_kept = "is kept" if row.is_kept else "is not kept: no work that may go out shortens it"
        lines.append(
            f"{row.outage}: with a chance of {row.promise_chance:.0%} its work ends on day "
            f"{row.promise_finish_days:.0f} of {row.limit_days:g}, if tasks begin as soon as they "
            f"can; the promise {is_kept}."
        )
    return lines


def _open_ends(found: Executed) -> list[str]:
    """Return what is left: works without room, a clash, works taken out."""
    lines = []
    if found.clash:
        lines.append(f"No plan keeps what fits, so the last one stands. {found.clash}")
    for row in rows(found.stuck.head(MOST_TOLD)):
        lines.append(f"No room: {row.component} {row.action} in {row.outage}: {row.why}.")
    more = len(found.stuck) - MOST_TOLD
    if more > 0:
        lines.append(f"... and {more} more in level_stuck.csv.")
    if found.stuck.empty:
        lines.append("Every work has its days.")
    if len(found.pins):
        lines.append(
            f"{len(found.pins)} works are taken out to end in time with the chance asked for "
            "(level_pins.csv)."
        )
    return lines


def level_words(found: Executed) -> list[str]:
    """Return a levelled plan in lines: rounds, what is left open, promises, the judge, cautions."""
    judge = [f"The judge: {breach.text}" for breach in found.breaches]
    caution = f"Caution: {' '.join(CAUTIONS[:3])}"
    return [*_rounds_told(found), *_open_ends(found), *_promises(found), *judge, caution]


def show_level(found: Executed, console: Console) -> None:
    """Show a levelled plan on one screen."""
    console.print(_finishes(found))
    for line in level_words(found):
        console.print(line, soft_wrap=True, markup=False)


def slip_words(found: Slip, currency: str) -> list[str]:
    """Return what a moved outage changes, in lines."""
    way = "later" if found.days > 0 else "earlier"
    head = (
        f"{found.outage} {abs(found.days):g} d {way}: the same works cost "
        f"{found.added_pv_cost:+,.0f} {currency} in present value."
    )
    lines = [head]
    whole = found.changes[found.changes["task"] == SAME]
    for row in rows(whole[whole["before_end_date"] != whole["after_end_date"]]):
        lines.append(
            f"{row.unit} {row.outage}: work ends on {row.after_end_date} instead of "
            f"{row.before_end_date}."
        )
    lines += [f"No window any more: {work}." for work in found.lost]
    lines += [f"Breaks: {breach.text}" for breach in found.breaches]
    return lines


def show_slip(found: Slip, currency: str, console: Console) -> None:
    """Show what a moved outage changes, unit by unit."""
    for line in slip_words(found, currency):
        console.print(line, soft_wrap=True, markup=False)
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in ("unit", "outage", "task", "", "from", "to", "days"):
        table.add_column(head, justify="right" if head == "days" else "left")
    own = found.changes[found.changes["task"] != SAME]
    for row in rows(own.head(MOST_LINES)):
        days = "" if pd.isna(row.moved_days) else f"{row.moved_days:+g}"
        table.add_row(
            row.unit, row.outage, row.task, row.change, row.before_date, row.after_date, days
        )
    console.print(table)
    if len(own) > MOST_LINES:
        console.print(f"... and {len(own) - MOST_LINES} more in slip.csv.")
