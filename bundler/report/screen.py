"""The one-screen answer after a plan, in words."""

from typing import Any, Literal

import numpy as np
import pandas as pd
from rich.console import Console, Group, RenderableType
from rich.table import Table
from rich.text import Text

from bundler.explain.life_tests import MARKS
from bundler.report import CAUTIONS
from bundler.report.spread import STATUS, money, spread_words
from bundler.report.summary import costs
from bundler.run import Run
from bundler.tables import rows

#: rows of the lists on the screen
ROWS = 6


def _plain(title: str, *columns: str) -> Table:
    table = Table(title=title, title_justify="left", title_style="bold", box=None, pad_edge=False)
    for index, name in enumerate(columns):
        table.add_column(name, justify="left" if index == 0 else "right", no_wrap=index > 0)
    return table


def _share(part: float, whole: float) -> str:
    """Return a part of a whole in per cent; a dash where there is no whole."""
    return f"{round(part / whole, 2) + 0.0:.0%}" if whole > 0 else "-"


def _headline(run: Run) -> Text:
    solved, unit = run.solved, run.case.settings.currency
    parts = costs(run)
    total = parts["objective_pv_cost"] if solved.spread else solved.objective_pv_cost
    saved = parts["nothing_pv_cost"] - total
    text = Text()
    text.append(f"{run.case.settings.station}: {len(run.picked.works)} works on ")
    text.append(f"{len(run.picked.courses)} components; {len(run.tables['deferrals'])} deferred.\n")
    text.append(spread_words(run))
    text.append(f"Risk and work together {money(total, unit)} in present value")
    if solved.spread:
        text.append(" at the lives assumed.\n")
    else:
        text.append(f"; proven to be within {solved.gap_share:.2%} of the best there is ")
        text.append(f"({STATUS[solved.status]}). Way: {solved.way}.\n")
    text.append(f"Only what law and pins ask for: {money(parts['nothing_pv_cost'], unit)} ")
    text.append(
        f"(the plan saves {money(saved, unit)}, {_share(saved, parts['nothing_pv_cost'])}). "
    )
    fill = parts["rank_fill_pv_cost"]
    text.append(
        f"Rank-and-fill list: {money(fill, unit)} (the plan saves {_share(fill - total, fill)}"
    )
    text.append("; the list breaks limits).\n" if run.baselines.rank_fill_breach > 1e-6 else ").\n")
    names = (("risk", "risk carried"), ("planned", "work"), ("access", "access"),
             ("extension", "added days"), ("overtime", "overtime"))  # fmt: skip
    told = [f"{label} {money(parts[f'{key}_pv_cost'], unit)}" for key, label in names]
    text.append("Of which " + ", ".join(told) + ".")
    return text


def _beside(run: Run) -> Text:
    """Return what rounds and dates say: true cost against charges, and where outages were put."""
    unit, text = run.case.settings.currency, Text()
    if run.rounds:
        first, last = run.rounds[0], run.rounds[-1]
        text.append(
            "Redundancy, spares, stocks and learning were taken from the plan itself in "
            f"{len(run.rounds)} rounds: true cost {money(first.true_pv_cost, unit)} after the "
            f"first, {money(last.true_pv_cost, unit)} after the last; what courses were charged "
            f"was off by {money(abs(first.charged_pv_cost - first.true_pv_cost), unit)}, then by "
            f"{money(abs(last.charged_pv_cost - last.true_pv_cost), unit)}."
        )
    dates = run.tables["outage_dates"]
    chosen = dates[dates["is_chosen"]]
    if len(chosen) and chosen["cost"].iloc[0] > 0:
        row = chosen.iloc[0]
        barred = int((~dates["is_allowed"]).sum())
        text.append("\n" if run.rounds else "")
        text.append(
            f"Dates: {row['dates']}; station-wide outages then cost {money(row['cost'], unit)} "
            f"in lost output, beside the plan, the least of {len(dates)} choices "
            f"({barred} not allowed)."
        )
    return text


def _pins(run: Run) -> Table:
    """Return what people's pins cost, the dearest first."""
    unit, pins = run.case.settings.currency, run.tables["pins"]
    dear = pins.sort_values(["cost_pv_cost", "component"], ascending=[False, True])
    table = _plain("What pins cost while all else stands", "component", "pin", "costs")
    table.expand = True
    for name in ("by", "without it"):
        table.add_column(name, ratio=1)
    for row in rows(dear.head(ROWS)):
        pin = " ".join(filter(None, (row.rule, row.action.replace("_", " "), row.outage)))
        table.add_row(row.component, pin, money(row.cost_pv_cost, unit), row.who, row.instead)
    return table


def _stocks(run: Run) -> Table:
    """Return what stocks that units share mean in the plan."""
    unit = run.case.settings.currency
    names = ("stock", "items", "loss with them", "without any", "one more saves", "runs out")
    table = _plain("Stocks that units share", *names)
    for row in rows(run.tables["stocks"]):
        table.add_row(
            row.name, str(row.items_count), money(row.loss_pv_cost, unit),
            money(row.without_pv_cost, unit), money(row.more_saves_pv_cost, unit), row.run_out_date,
        )  # fmt: skip
    return table


def _outages(run: Run) -> Table:
    outages = run.tables["outages"]
    title = f"Scope by outage, the {min(ROWS + 2, len(outages))} largest of {len(outages)}"
    table = _plain(title, "outage", "unit", "start", "days", "added d", "works", "hours", "cost")
    busiest = outages.sort_values("work_hours", ascending=False).head(ROWS + 2).index
    for row in rows(outages.loc[sorted(busiest)]):
        table.add_row(
            row.outage, row.unit, row.start_date, f"{row.days:.0f}", f"{row.extension_days:.0f}",
            str(row.works_count), f"{row.work_hours:,.0f} h",
            money(row.planned_cost, run.case.settings.currency),
        )  # fmt: skip
    return table


def _deferrals(run: Run) -> Table:
    title = "Largest risks carried by deferral"
    table = _plain(
        title, "component", "could go in", "goes in", "risk a year", "can hurt", "next", "cost then"
    )
    unit = run.case.settings.currency
    for row in rows(run.tables["deferrals"].head(ROWS)):
        cost = "none" if pd.isna(row.next_cost) else money(row.next_cost, unit)
        table.add_row(
            row.component,
            row.from_period + (f" +{row.from_added_days:.0f} d" if row.from_added_days else ""),
            row.to_period,
            money(row.carried_cost_per_year, unit),
            "people" if row.has_injury_risk else "",
            row.next_period,
            cost,
        )
    return table


#: only limits at least this full are told as binding
FULL_SHARE = 0.95


def _binding(run: Run) -> Table:
    table = _plain(
        "What binds most (from the relaxed problem: a hint)", "limit", "filled", "1 step", "saves"
    )
    unit = run.case.settings.currency
    prices = run.tables["prices"]
    for row in rows(prices[prices["full_share"] >= FULL_SHARE].head(ROWS)):
        worth = money(row.saved_pv_cost_per_step, unit)
        table.add_row(row.title, f"{row.full_share:.0%}", row.step, worth)
    return table


def _nearest_turn(row: Any) -> tuple[str, str]:
    """Return the nearer turn of a decision by its life, and what it turns to; "" where none is."""
    sides = [(row.shorter_ratio, row.if_shorter), (row.longer_ratio, row.if_longer)]
    told = [(abs(np.log(ratio)), f"{ratio:.2f}", other) for ratio, other in sides if other]
    return min(told)[1:] if told else ("", "")


def _life_tests(run: Run) -> Table:
    """Return the decisions that most money hangs on, and what would turn them."""
    unit, tests = run.case.settings.currency, run.tables["life_tests"]
    counts = tests["mark"].value_counts()
    told = ", ".join(f"{counts.get(word, 0)} {word}" for word in MARKS)
    table = _plain(f"Decisions: {told}. Most at stake")
    table.expand = True
    for name, width in (("component", 13), ("life x", 6), ("chance", 6), ("at stake", 8)):
        side: Literal["left", "right"] = "left" if name == "component" else "right"
        table.add_column(name, no_wrap=True, justify=side, min_width=width)
    for name in ("decided now", "turns to"):
        table.add_column(name, ratio=1)
    for row in rows(tests.head(ROWS)):
        at, other = _nearest_turn(row)
        stake = money(row.impact_pv_cost, unit)
        table.add_row(row.component, at, f"{row.flip_chance:.0%}", stake, row.decision, other)
    return table


def _inspections(run: Run) -> Table:
    """Return the inspections that save more than they cost, the most urgent first."""
    unit, looks = run.case.settings.currency, run.tables["inspections"]
    worth = looks[looks["is_worth_buying"]].sort_values(["last_date", "component"])
    table = _plain(
        f"Inspections worth buying, the {min(ROWS, len(worth))} most urgent of {len(worth)}",
        "component", "inspection", "in", "start by", "would save", "for",
    )  # fmt: skip
    for row in rows(worth.head(ROWS)):
        table.add_row(
            row.component, row.inspection.replace("_", " "), row.period, row.last_date,
            money(row.sample_pv_cost, unit), money(row.inspection_pv_cost, unit),
        )  # fmt: skip
    return table


#: lists that are shown where there is something in them
OPTIONAL = {"pins": _pins, "stocks": _stocks}


def show_plan(run: Run, console: Console) -> None:
    """Print the answer: headline, scope, deferrals, what binds, the verdict and the cautions."""
    verdict = Text("Judged afresh without the solver: every rule and sum holds.")
    if run.breaches:
        verdict = Text("The judge found breaches; do not use this plan:\n", style="bold")
        verdict.append("\n".join(breach.text for breach in run.breaches[:ROWS]))
    caution = Text("Caution: " + " ".join(CAUTIONS), style="italic")
    parts: list[RenderableType] = [
        _headline(run),
        *([told] if (told := _beside(run)) else []),
        _outages(run),
        _deferrals(run),
        _binding(run),
        _life_tests(run),
        _inspections(run),
        *[
            part(run)
            for name, part in (("pins", _pins), ("stocks", _stocks))
            if len(run.tables[name])
        ],
        verdict,
        caution,
    ]
    spaced: list[RenderableType] = [piece for part in parts for piece in (part, Text(""))]
    console.print(Group(*spaced[:-1]))
