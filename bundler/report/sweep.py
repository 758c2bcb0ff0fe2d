"""A sweep in words: the base plan, a line a run, and the decisions that turn most often."""

from collections.abc import Mapping
from typing import Any

import pandas as pd

from bundler.report.spread import STATUS, money
from bundler.sweep.done import NO_ANSWER, NO_PLAN
from bundler.sweep.run import Sweep
from bundler.sweep.tables import OPEN
from bundler.tables import rows

#: heads of the table of runs; all but the first two stand right
HEADS = ("run", "changed", "cost", "to base", "base plan kept", "gap", "works", "moved")
LEFT = 2
#: decisions that are told, and runs named for each
DECISIONS, NAMED = 3, 4


def _many(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _signed(amount: float) -> str:
    return f"{amount:+,.0f}"


def _cells(row: Any, base_pv_cost: float) -> tuple[str, ...]:
    """Return a run as cells."""
    if pd.isna(row.objective_pv_cost):
        return (row.run, row.changes, row.status, *[""] * (len(HEADS) - 3))
    kept, moved = row.kept_pv_cost, row.moved_count
    return (
        row.run, row.changes, f"{row.objective_pv_cost:,.0f}",
        "" if pd.isna(base_pv_cost) else _signed(row.objective_pv_cost - base_pv_cost),
        "" if pd.isna(kept) else _signed(kept - row.objective_pv_cost),
        f"{row.gap_share:.2%}", str(row.works_count), "" if pd.isna(moved) else str(moved),
    )  # fmt: skip


def _aligned(lines: list[tuple[str, ...]]) -> list[str]:
    """Return rows of cells as lines, each column as wide as its longest cell."""
    widths = [max(len(line[place]) for line in lines) for place in range(len(HEADS))]
    return [
        "  ".join(
            cell.ljust(width) if place < LEFT else cell.rjust(width)
            for place, (cell, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in lines
    ]


def _base(found: Sweep) -> str:
    """Return the base plan in a sentence."""
    base, settings = found.base, found.case.settings
    if not base.has_plan:
        return f"The case as it is has {base.status}: {base.reason}"
    costs = base.costs
    return (
        f"Base plan: {money(costs['objective_pv_cost'], settings.currency)} in present value, "
        f"{_many(len(base.works), 'work')}; proven to be within {costs['gap_share']:.2%} of the "
        f"best there is ({STATUS[base.status]})."
    )


def _decisions(found: Sweep) -> list[str]:
    """Return how many first works are firm, and those that turn most often."""
    firm = found.tables["sweep_firm"]
    if firm.empty:
        return []
    opened = firm[firm["mark"] == OPEN].sort_values(["same_count", "component"])
    lines = [
        f"First works: the same in every run on {_many(len(firm) - len(opened), 'component')} "
        f"(firm), another in some on {len(opened)} (open)."
    ]
    for row in rows(opened.head(DECISIONS)):
        names = row.turned_by.split("; ")
        more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
        own = f"{row.action} in {row.period}" if row.action else "no work"
        lines.append(
            f"  {row.component}, {own}: another in {len(names)} of {row.runs_count} runs "
            f"({', '.join(names[:NAMED])}{more})"
        )
    return lines


def _reasons(found: Sweep) -> list[str]:
    """Return why runs have no plan, one line each."""
    table = found.tables["sweep"]
    table = table[table["status"].isin([NO_PLAN, NO_ANSWER])]
    return [f"Run {row.run}, {row.status}: {row.reason}" for row in rows(table) if row.changes]


def _verdict(found: Sweep) -> str:
    if found.is_sound:
        return "Judged afresh without the solver: every rule and sum of every plan holds."
    told = [f"{each.name}: {text}" for each, done in found.runs for text in done.breaches[:2]]
    return "The judge found breaches; do not use these plans:\n" + "\n".join(told[:6])


def sweep_words(found: Sweep, left: Mapping[str, str] | None = None) -> str:
    """Return a sweep as lines of text; `left` tells runs that were left out, and why."""
    settings = found.case.settings
    table = found.tables["sweep"]
    base_pv_cost = table["objective_pv_cost"].iloc[0]
    lines = [HEADS, *(_cells(row, base_pv_cost) for row in rows(table))]
    taken = len(found.taken)
    return "\n".join(
        [
            f"{settings.station}: the base plan and {_many(len(table) - 1, 'changed case')}"
            + (f"; {taken} of these {len(table)} runs taken over from before." if taken else "."),
            _base(found), "",
            f"Costs in present value, {settings.currency} of {settings.price_year}, under the "
            "assumptions of each run. base plan kept: what the base plan's works cost more in that "
            "case than its own plan; empty where they break a limit there, and where bad lives "
            "weigh in the cost. moved: components whose first work is another than in the base "
            "plan.",
            *_aligned(lines), "",
            *[f"Left out: {name} ({why})." for name, why in sorted((left or {}).items())],
            *_reasons(found), *_decisions(found),
            "Differences below the gap may be the search's, not the assumption's.",
            _verdict(found),
        ]
    )  # fmt: skip
