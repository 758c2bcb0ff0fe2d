"""What is allowed but looks wrong: notes, never errors."""

from collections.abc import Iterator

import pandas as pd

from bundler.calendar import DAYS_A_YEAR
from bundler.case import Case
from bundler.errors import Finding
from bundler.tables import rows

#: a share of components renewed on one New Year's day that looks like a default; our choice
DEFAULT_SHARE = 0.1
#: cost of an hour of work that far off the middle looks like another unit; our choice
FAR_OFF = 300.0
#: ages in characteristic lives that deserve a second look; our choice
OLD_RATIO = 1.5


def note(table: str, row: int, column: str, found: str, allowed: str, todo: str) -> Finding:
    """Return a finding that does not stop the run."""
    return Finding(f"{table}.csv", row, column, found, allowed, todo, "note")


def default_dates(case: Case) -> Iterator[Finding]:
    """Many components renewed on the same New Year's day are a register's default."""
    dates = case["components"]["renewed_date"].dropna()
    days = dates[(dates.dt.month == 1) & (dates.dt.day == 1)].value_counts().sort_index()
    for day, count in days.items():
        if count > max(3, DEFAULT_SHARE * len(case["components"])):
            yield note(
                "components",
                0,
                "renewed_date",
                f"{count} components were renewed on {str(day)[:10]}",
                "that looks like a default",
                "Ask for the real dates, or leave the cells empty.",
            )


def costs_in_other_units(case: Case) -> Iterator[Finding]:
    """A cost far from its fellows may be in another unit of money."""
    hours = case["action_hours"].groupby(["family", "action"])["work_hours"].sum()
    actions = case["actions"]
    own = hours.reindex(pd.MultiIndex.from_frame(actions[["family", "action"]])).to_numpy()
    ratio = (actions["cost"] / own).where(own > 0)
    middle = ratio.median()
    for row, value in zip(rows(actions), ratio, strict=True):
        if value > 0 and not middle / FAR_OFF < value < middle * FAR_OFF:
            yield note(
                "actions",
                row.file_row,
                "cost",
                f"{row.cost:g} for {row.family} {row.action} is far from other costs for its hours",
                f"costs are in {case.settings.currency}",
                "Check the unit of money.",
            )


def very_old(case: Case) -> Iterator[Finding]:
    """A component far past its characteristic life deserves a second look."""
    parts = case["components"].merge(
        case["families"][["family", "life_years"]], on="family", suffixes=("", "_family")
    )
    planning = pd.Timestamp(case.settings.planning_date)
    age = (planning - parts["renewed_date"]).dt.days / DAYS_A_YEAR * parts["age_ratio"]
    life = parts["life_years"].fillna(parts["life_years_family"])
    for row, years, scale in zip(rows(parts), age, life, strict=True):
        if years > OLD_RATIO * scale:
            yield note(
                "components",
                row.file_row,
                "renewed_date",
                f"{row.component} is {years:.0f} years old at a life of {scale:.0f}",
                "that is allowed",
                "Check date and life.",
            )


def work_without_hours(case: Case) -> Iterator[Finding]:
    """An action without hours uses no crew."""
    hours = case["action_hours"].groupby(["family", "action"])["work_hours"].sum()
    for row in rows(case["actions"]):
        if hours.get((row.family, row.action), 0.0) == 0:
            yield note(
                "actions",
                row.file_row,
                "action",
                f"{row.family} {row.action} has no hours",
                "work without crews is allowed",
                "Add rows to action_hours.csv if it needs any.",
            )


def budget_years(case: Case) -> Iterator[Finding]:
    """Years inside the horizon without a budget are not limited."""
    if case["budgets"].empty:
        return
    first, last = case.settings.planning_date.year, case.settings.horizon_end_date.year
    missing = sorted(set(range(first, last + 1)) - set(case["budgets"]["year"]))
    if missing:
        yield note(
            "budgets",
            0,
            "year",
            f"{len(missing)} years have no budget, the first is {missing[0]}",
            "years without a row are not limited",
            "Add rows if they are.",
        )


def same_names(case: Case) -> Iterator[Finding]:
    """Two families under the same name may be one."""
    seen: dict[str, str] = {}
    for row in rows(case["families"]):
        plain = "".join(char for char in row.name.lower() if char.isalnum())
        if plain in seen:
            found = f"{row.family} and {seen[plain]} have the same name"
            todo = "Join them if they are one family."
            yield note("families", row.file_row, "name", found, "that is allowed", todo)
        seen.setdefault(plain, row.family)
