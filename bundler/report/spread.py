"""Plans under uncertain lives, in words: mean and tail of one plan, and a frontier of plans."""

from typing import Any

import pandas as pd

from bundler.case import Case
from bundler.choice import Lives
from bundler.frontier import Frontier
from bundler.run import Run
from bundler.tables import rows

#: heads of the columns of a frontier
HEADS = ("weight", "mean", "worst part", "weighted", "proven from", "gap", "works", "changed", "")
#: how the search ended, in words
STATUS = {
    "rounds": "the program was solved to the gap asked for; rounds moved the plan since",
    "optimal": "the search ended within the gap asked for",
    "within gap": "within the gap asked for; a part of the search was ended by its time, so that "
    "another machine may find another plan",
    "time limit": "the search was stopped by its time; allow more with --seconds",
    "weights": "the bound holds the scenarios' weights fixed, which leaves this gap",
}


def money(amount: float, currency: str) -> str:
    """Return an amount with its unit, in millions where the case counts in thousands."""
    if currency.startswith("k") and abs(amount) >= 1000:
        return f"{amount / 1000:,.1f} M{currency[1:]}"
    return f"{amount:,.0f} {currency}"


def _drawn(lives: Lives) -> str:
    """Return how the scenarios were made, in words."""
    return (
        f"{lives.scenarios_count} scenarios of lives (seed {lives.seed}, one factor a family on "
        "all its lives, kept in scenarios.csv)"
    )


def worst_words(lives: Lives) -> str:
    """Return what the tail is, in words."""
    return f"mean of the worst {lives.worst_share:.0%} of scenarios"


def spread_words(run: Run) -> str:
    """Return what a plan costs over its scenarios of lives; "" where lives are as assumed."""
    spread, tail, unit = run.solved.spread, run.choices.tail, run.case.settings.currency
    if spread is None or tail is None:
        return ""
    w = tail.lives.weight_share
    return (
        f"Lives are uncertain: {_drawn(tail.lives)}.\n"
        f"Risk and work cost {money(spread.mean_pv_cost, unit)} on average over them and "
        f"{money(spread.worst_pv_cost, unit)} in the {worst_words(tail.lives)}, in present value. "
        f"The plan minimises {1 - w:.0%} of the first and {w:.0%} of the second, together "
        f"{money(run.solved.objective_pv_cost, unit)}; proven to be within "
        f"{run.solved.gap_share:.2%} of the best there is "
        f"({STATUS[run.solved.status]}). Way: {spread.method}.\n"
    )


def _cells(row: Any) -> tuple[str, ...]:
    costs = (row.mean_pv_cost, row.worst_pv_cost, row.objective_pv_cost, row.bound_pv_cost)
    return (
        f"{row.weight_share:.2f}", *(f"{cost:,.0f}" for cost in costs),
        f"{row.gap_share:.2%}", str(row.works_count), str(row.changed_count),
        "" if row.is_efficient else "another is better in both",
    )  # fmt: skip


def _aligned(lines: list[tuple[str, ...]]) -> list[str]:
    """Return rows of cells as lines, each column as wide as its longest cell."""
    widths = [max(len(line[i]) for line in lines) for i in range(len(lines[0]))]
    return [
        "  ".join(cell.rjust(width) for cell, width in zip(line[:-1], widths, strict=False))
        + ("  " + line[-1] if line[-1] else "")
        for line in lines
    ]


def _ends(table: pd.DataFrame, case: Case, lives: Lives) -> str:
    """Return in plain words what the two ends of a frontier mean."""
    first, last, unit = table.iloc[0], table.iloc[-1], case.settings.currency
    dearer = last["mean_pv_cost"] - first["mean_pv_cost"]
    saved = first["worst_pv_cost"] - last["worst_pv_cost"]
    return (
        "Weight 0 takes the plan that is cheapest on average over all scenarios, however bad the "
        f"bad ones are. Weight 1 looks at the {worst_words(lives)} only, whatever the plan costs "
        f"on average: it costs {money(dearer, unit)} more on average and "
        f"{money(saved, unit)} less in the bad scenarios, and {last['changed_count']} components "
        "get another first work. Differences below the gap may be the search's, not the plan's."
    )


def frontier_words(found: Frontier) -> str:
    """Return a frontier as lines of text: its table with units, its ends, and the verdict."""
    unit = found.case.settings.currency
    lines = [HEADS, *(_cells(row) for row in rows(found.table))]
    verdict = "Judged afresh without the solver: every rule and sum of every plan holds."
    if found.breaches:
        told = "\n".join(breach.text for breach in found.breaches[:6])
        verdict = f"The judge found breaches; do not use these plans:\n{told}"
    return "\n".join(
        [
            f"{found.case.settings.station}: {_drawn(found.lives)}.",
            f"weight: of the {worst_words(found.lives)}, beside the mean. Costs in present value, "
            f"{unit} of {found.case.settings.price_year}. changed: components whose first work is "
            "another than at weight 0.",
            *_aligned(lines), "", _ends(found.table, found.case, found.lives), verdict,
        ]
    )  # fmt: skip
