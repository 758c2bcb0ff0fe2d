"""Pictures of a plan. Every axis has its unit; colours are told apart in grey and by all eyes."""

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from bundler.run import Run
from bundler.tables import rows

#: dark, middle and light tones of hues that differ for all kinds of colour vision; our choice
DARK, MIDDLE = "#1b3a5c", "#c8742b"
PARTS = {
    "order_cost": ("paid at order", "#1b3a5c", ""),
    "middle_cost": ("paid during manufacture", "#5b7c99", "//"),
    "delivery_cost": ("paid at delivery", "#b9c7d3", ""),
    "labour_cost": ("labour", "#c8742b", ""),
    "discovery_cost": ("expected to be found", "#dd9b5f", "\\\\"),
    "access_cost": ("access", "#f0d2a8", ".."),
}


def _millions(run: Run) -> tuple[float, str]:
    """Return the divisor and the unit in which money is drawn."""
    currency = run.case.settings.currency
    return (1000.0, f"M{currency[1:]}") if currency.startswith("k") else (1.0, currency)


def _panel(width: float = 9.0, height: float = 4.2) -> tuple[Figure, Axes]:
    figure = Figure(figsize=(width, height), dpi=120, layout="constrained")
    axes = figure.add_subplot()
    axes.spines[["top", "right"]].set_visible(False)
    axes.grid(axis="y", color="#dddddd", linewidth=0.6)
    axes.set_axisbelow(True)
    return figure, axes


def scope_by_outage(run: Run) -> Figure:
    """Return planned cost of the work in each outage, in time order, and how many works."""
    size, unit = _millions(run)
    table = run.tables["outages"]
    table = table[table["works_count"] > 0]
    figure, axes = _panel(height=4.6)
    spots = range(len(table))
    is_long = table["kind"] == "mid_life"
    axes.bar(spots, table["planned_cost"] / size, color=is_long.map({True: DARK, False: MIDDLE}))
    for spot, count, cost in zip(spots, table["works_count"], table["planned_cost"], strict=True):
        axes.annotate(str(count), (spot, cost / size), ha="center", va="bottom", fontsize=7)
    axes.set_xticks(list(spots), list(table["outage"]), fontsize=7, rotation=90)
    axes.margins(x=0.01)
    axes.set_ylabel(f"planned work [{unit} of {run.case.settings.price_year}]")
    axes.set_title(
        "Work in each outage (number of works on top; dark: mid-life outages)", loc="left"
    )
    return figure


def risk_over_time(run: Run) -> Figure:
    """Return expected money lost in each year with the plan and with no work at all."""
    size, unit = _millions(run)
    table = run.tables["risk_by_year"].groupby("year")[["risk_cost", "no_work_risk_cost"]].sum()
    figure, axes = _panel()
    axes.plot(
        table.index, table["no_work_risk_cost"] / size, color=MIDDLE, linestyle="--", linewidth=2
    )
    axes.plot(table.index, table["risk_cost"] / size, color=DARK, linewidth=2.2)
    last = table.iloc[-1] / size
    axes.annotate(
        " no work", (table.index[-1], last["no_work_risk_cost"]), color=MIDDLE, va="center"
    )
    axes.annotate(" plan", (table.index[-1], last["risk_cost"]), color=DARK, va="center")
    axes.margins(x=0.07)
    axes.set_ylim(bottom=0)
    axes.set_ylabel(f"expected loss [{unit} a year]")
    axes.set_xlabel("calendar year")
    axes.set_title("Risk carried by the whole station", loc="left")
    return figure


def cash_against_caps(run: Run) -> Figure:
    """Return what is paid in each year by part, against the budget."""
    size, unit = _millions(run)
    table = run.tables["cash_flow"].set_index("year")
    figure, axes = _panel()
    floor = pd.Series(0.0, index=table.index)
    for name, (label, colour, hatch) in PARTS.items():
        axes.bar(table.index, table[name] / size, bottom=floor, color=colour, hatch=hatch,
                 label=label, edgecolor="white", linewidth=0.3)  # fmt: skip
        floor = floor + table[name] / size
    axes.step(
        table.index,
        table["limit_cost"] / size,
        where="mid",
        color="black",
        linewidth=1.4,
        label="budget",
    )
    axes.set_ylabel(f"paid [{unit} a year, {run.case.settings.price_year} prices]")
    axes.set_xlabel("calendar year")
    axes.set_title("Cash against the budget", loc="left")
    axes.legend(frameon=False, fontsize=8, ncols=2)
    return figure


def largest_deferrals(run: Run, count: int = 15) -> Figure:
    """Return the deferrals that carry most risk, with where each goes instead."""
    size, unit = _millions(run)
    table = run.tables["deferrals"].head(count).iloc[::-1]
    figure, axes = _panel(height=0.32 * count + 1.2)
    axes.grid(visible=False)
    axes.grid(axis="x", color="#dddddd", linewidth=0.6)
    hurts = table["has_injury_risk"].map({True: MIDDLE, False: DARK})
    axes.barh(table["component"], table["carried_cost_per_year"] / size, color=hurts)
    for spot, row in enumerate(rows(table)):
        added = f" (+{row.from_added_days:.0f} d)" if row.from_added_days else ""
        text = f" {row.from_period}{added} to {row.to_period}"
        axes.annotate(text, (row.carried_cost_per_year / size, spot), va="center", fontsize=8)
    axes.margins(x=0.2)
    axes.set_xlabel(f"risk carried until the work is done [{unit} a year]")
    axes.set_title("Largest deferrals (lighter bars: a failure can hurt people)", loc="left")
    return figure


def fullest_limits(run: Run, outage: str, count: int = 14) -> Figure:
    """Return how full the fullest limits of one outage are."""
    table = run.tables["loads"]
    table = table[(table["period"] == outage) & (table["limit_amount"] > 0)]
    table = table.sort_values("full_share", ascending=False).head(count).iloc[::-1]
    figure, axes = _panel(height=0.32 * max(len(table), 3) + 1.2)
    axes.grid(visible=False)
    axes.grid(axis="x", color="#dddddd", linewidth=0.6)
    axes.barh(table["title"], table["full_share"] * 100, color=DARK)
    axes.axvline(100, color=MIDDLE, linestyle="--")
    axes.set_xlabel("used of what there is [%]")
    axes.set_title(f"Fullest limits of {outage}", loc="left")
    return figure
