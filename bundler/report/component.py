"""One component on the screen: its life, its courses and their costs, and why."""

import difflib
from pathlib import Path

import numpy as np
import pandas as pd
from rich.console import Console
from rich.table import Table

from bundler.case import Case
from bundler.errors import BundlerError
from bundler.explain.component import ComponentView, view_component
from bundler.report import CAUTIONS
from bundler.tables import rows

#: courses and ruled-out rows on the screen
ROWS = 10
#: outages named beside a reason
MOST_NAMED = 3
#: a decision that turns within this share of the assumed life is too close to call; our choice
CLOSE_SHARE = 0.1


def known_component(case: Case, name: str) -> str:
    """Return the component's name; raise a BundlerError with near misses if there is none."""
    names = list(case["components"]["component"])
    if name in names:
        return name
    folded = {known.casefold(): known for known in names}
    near = [folded[word] for word in difflib.get_close_matches(name.casefold(), folded, n=3)]
    hint = f" Did you mean {', '.join(near)}?" if near else " See components.csv."
    raise BundlerError(f"There is no component {name!r} in this station.{hint}")


def read_plan(folder: Path, table: str) -> pd.DataFrame | None:
    """Return one table of a finished plan, None if there is no such plan."""
    path = folder / f"{table}.csv"
    return pd.read_csv(path, keep_default_na=False, na_values=[""]) if path.is_file() else None


def _head(view: ComponentView, console: Console, currency: str) -> None:
    part = view.part
    console.print(
        f"[bold]{part['component']}[/bold]  {part['name']}, unit {part['unit']}, "
        f"{part['redundancy']}"
    )
    scale = "" if pd.isna(part["life_years"]) else f", life {part['life_years']:.3g} years"
    shape = "" if pd.isna(part["shape_ratio"]) else f", shape {part['shape_ratio']:.2g}"
    console.print(
        f"Life: {part['curve']} curve{scale}{shape}; "
        f"age {part['age_years']:.1f} years at the planning date."
    )
    console.print(
        f"A failure costs about {view.failure_cost:,.0f} {currency} "
        f"({part['forced_days']:g} d of full output, "
        f"repair {part['repair_cost']:,.0f} {currency} at planned prices); "
        f"chance of failing in the next 5 years {view.chance_5_years:.2g}."
    )
    if np.isfinite(view.best_age_years):
        console.print(
            f"If outages were free and always there, it would be renewed every "
            f"{view.best_age_years:.1f} years."
        )
    if part["note"]:
        console.print(f"Known: {part['note']}")


def _courses(view: ComponentView, console: Console, currency: str, decision: str) -> None:
    """Print the cheapest course for each first work; the plan's own is always there, marked."""
    table = Table(
        title=f"Cheapest course for each first work, present value in {currency}",
        title_justify="left", box=None, pad_edge=False,
    )  # fmt: skip
    for name in ("course", "risk", "work", "added days", "total", "with limits", ""):
        table.add_column(name, justify="left" if name == "course" else "right")
    listed = view.courses
    is_plan = listed["text"] == decision
    for row in rows(pd.concat([listed.head(ROWS), listed[is_plan]]).drop_duplicates("course")):
        table.add_row(
            row.text, f"{row.risk_pv_cost:,.0f}", f"{row.planned_pv_cost:,.0f}",
            f"{row.days_pv_cost:,.0f}", f"{row.own_pv_cost:,.0f}", f"{row.priced_pv_cost:,.0f}",
            "plan" if row.text == decision else "",
        )  # fmt: skip
    console.print(table)


def _turns(view: ComponentView, console: Console) -> None:
    if view.turns.empty:
        console.print(
            "Its own choice does not turn for any life between half and twice the assumed one."
        )
        return
    for row in rows(view.turns):
        years = row.life_ratio * view.part["life_years"]
        told = "" if np.isnan(years) else f" ({years:.3g} years)"
        console.print(
            f"By itself its choice ({row.decision}) turns to {row.turns_to} "
            f"if its life is {row.life_ratio:.3g} of the "
            f"assumed one{told}."
        )
    if (view.turns["life_ratio"] - 1).abs().min() <= CLOSE_SHARE:
        reading = view.part["indicator"] or "a reading of its condition"
        console.print(
            "[bold]Too close to call[/bold] within 10 % of its life. "
            f"What would settle it: {reading}."
        )


def _ruled_out(view: ComponentView, console: Console) -> None:
    """Print each reason once, with the outages it holds for."""
    table = Table(title="Ruled out", title_justify="left", box=None, pad_edge=False)
    for name in ("action", "outages", "why, in the first of them", "earliest"):
        table.add_column(name)
    for _, own in view.ruled_out.groupby(["action", "reason"], sort=False):
        first = own.iloc[0]
        more = f" and {len(own) - MOST_NAMED} more" if len(own) > MOST_NAMED else ""
        outages = " ".join(own["period"].head(MOST_NAMED)) + more
        why = f"{first['reason']}: {first['detail']}"
        table.add_row(first["action"], outages, why, first["earliest_date"])
    console.print(table)


def show_component(case: Case, name: str, plan_folder: Path, console: Console) -> None:
    """Print one component: life, cheapest courses, what turns the decision, what is ruled out."""
    name = known_component(case, name)
    view = view_component(case, name, read_plan(plan_folder, "prices"))
    currency = case.settings.currency
    _head(view, console, currency)
    told, decision = read_plan(plan_folder, "reasons"), ""
    if told is None:
        console.print(
            "No plan yet: costs are its own, without limits. "
            "Run plan first, or name one with --plan."
        )
    else:
        own = told[told["component"] == name]
        if own.empty:
            raise BundlerError(
                f"The plan in {plan_folder} does not know {name}; it is of another station. "
                "Run plan for this one, or name its folder with --plan."
            )
        row = own.iloc[0]
        decision = str(row["decision"])
        console.print(f"[bold]Plan:[/bold] {row['decision']}. {row['sentence']}")
    _courses(view, console, currency, decision)
    _turns(view, console)
    _ruled_out(view, console)
    console.print("Caution: " + " ".join(CAUTIONS[:1]), style="italic")
