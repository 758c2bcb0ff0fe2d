"""One component on the screen: its life, its courses and their costs, and why."""

import difflib
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from rich.console import Console
from rich.table import Table

from bundler.case import Case
from bundler.dates.choose import choose_dates
from bundler.errors import BundlerError
from bundler.explain.component import ComponentView, view_component
from bundler.report import CAUTIONS
from bundler.tables import rows

#: courses and ruled-out rows on the screen
ROWS = 10
#: outages named beside a reason
MOST_NAMED = 3


def _known(name: str, names: list[str], what: str, files: str) -> str:
    """Return a name that is among some; raise a BundlerError with near misses if it is not."""
    if name in names:
        return name
    folded = {known.casefold(): known for known in names}
    near = [folded[word] for word in difflib.get_close_matches(name.casefold(), folded, n=3)]
    hint = f" Did you mean {', '.join(near)}?" if near else f" See {files}."
    raise BundlerError(f"There is no {what} {name!r} in this station.{hint}")


def known_component(case: Case, name: str) -> str:
    """Return the component's name; raise a BundlerError with near misses if there is none."""
    return _known(name, list(case["components"]["component"]), "component", "components.csv")


def known_name(case: Case, name: str) -> str:
    """Return the name of a family or component; raise a BundlerError with near misses if none."""
    names = [*case["families"]["family"], *case["components"]["component"]]
    return _known(name, names, "family or component", "families.csv and components.csv")


def read_plan(folder: Path, table: str) -> pd.DataFrame | None:
    """Return one table of a finished plan, None if there is no such plan."""
    path = folder / f"{table}.csv"
    return pd.read_csv(path, keep_default_na=False, na_values=[""]) if path.is_file() else None


def own_rows(folder: Path, table: str, name: str) -> pd.DataFrame:
    """Return the rows of one component in a table of a finished plan; empty words are ""."""
    found = read_plan(folder, table)
    if found is None:
        return pd.DataFrame()
    own = found[found["component"] == name]
    return own.fillna({column: "" for column in own.select_dtypes(exclude="number")})


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
    if part["evidence"]:
        console.print(f"Evidence: {part['evidence']}")
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


def _turn_texts(row: Any) -> list[str]:
    """Return in words where a decision turns, by life and by age."""
    told = []
    if row.if_shorter:
        told.append(f"with a life below {row.shorter_ratio:.3g} of the assumed: {row.if_shorter}")
    if row.if_longer:
        told.append(f"with a life above {row.longer_ratio:.3g} of the assumed: {row.if_longer}")
    if row.if_younger:
        told.append(f"if it were younger than {row.younger_age_years:.3g} years: {row.if_younger}")
    if row.if_older:
        told.append(f"if it were older than {row.older_age_years:.3g} years: {row.if_older}")
    return told


def _turns(tests: pd.DataFrame, console: Console, currency: str) -> None:
    """Print what turns the decision of the plan, how likely that is, and what it would cost."""
    if tests.empty:
        console.print("Nothing else is possible for it in this plan, whatever its life.")
        return
    row = next(rows(tests))
    turns = _turn_texts(row)
    if not turns:
        console.print("No life and no age looked at would turn its decision in this plan.")
        return
    console.print(f"Decided now: {row.decision}. It turns {'; '.join(turns)}.")
    by = f"; the likelier turn can be followed until {row.last_date}" if row.last_date else ""
    chance = f"{row.flip_chance:.0%}" if row.flip_chance >= 0.01 else "below 1 %"
    console.print(
        f"[bold]{row.mark.capitalize()}[/bold]: chance {chance} that the truth lies "
        f"beyond a turn; keeping the decision then loses {row.regret_pv_cost:,.0f} {currency} on "
        f"average{by}."
    )


def _looks(looks: pd.DataFrame, indicator: str, console: Console, currency: str) -> None:
    """Print which inspection would settle it, or which reading would."""
    for row in rows(looks):
        worth = "worth buying" if row.is_worth_buying else "not worth its price"
        console.print(
            f"An inspection ({row.inspection.replace('_', ' ')} in {row.period}, to be started by "
            f"{row.last_date}) would save {row.sample_pv_cost:,.0f} {currency} for "
            f"{row.inspection_pv_cost:,.0f} {currency}: {worth}."
        )
    if looks.empty and indicator:
        console.print(f"What would tell its condition: {indicator}.")


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
    case = choose_dates(case).case
    plan = (read_plan(plan_folder, table) for table in ("prices", "work_list"))
    view = view_component(case, name, *plan)
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
    if told is not None:
        _turns(own_rows(plan_folder, "life_tests", name), console, currency)
        looks = own_rows(plan_folder, "inspections", name)
        _looks(looks, str(view.part["indicator"]), console, currency)
    _ruled_out(view, console)
    console.print("Caution: " + " ".join(CAUTIONS[:1]), style="italic")
