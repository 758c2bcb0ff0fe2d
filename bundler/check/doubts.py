"""What is allowed but looks wrong: notes, never errors."""

from collections.abc import Iterator

import pandas as pd

from bundler.case import Case
from bundler.check.dates import ages
from bundler.check.outages import left_out
from bundler.check.told import note
from bundler.check.works import kinds_of_work
from bundler.errors import Finding
from bundler.hours import planned_hours
from bundler.tables import rows

#: so many components, and such a share of all, renewed on one New Year's day; our choice
DEFAULT_COUNT, DEFAULT_SHARE = 3, 0.1
#: cost of an hour over or under the middle of all that looks like another unit; our choice
FAR_OFF = 300.0
#: age in characteristic lives that deserves a second look; our choice
OLD_RATIO = 1.5


def default_dates(case: Case) -> Iterator[Finding]:
    """Many components renewed on the same New Year's day look like a register's default."""
    dates = case["components"]["renewed_date"].dropna()
    days = dates[(dates.dt.month == 1) & (dates.dt.day == 1)].value_counts().sort_index()
    for day, count in days.items():
        if count >= max(DEFAULT_COUNT, DEFAULT_SHARE * len(case["components"])):
            found = f"{count} components were renewed on {str(day)[:10]}"
            allowed = "so many on 1 January look like a date that a register fills in"
            remedy = "Ask for the real dates, or leave the cells empty."
            yield note("components", 0, "renewed_date", found, allowed, remedy)


def very_old(case: Case) -> Iterator[Finding]:
    """A component far past its life deserves a second look."""
    parts = ages(case)
    parts = parts[~parts["curve"].isin(["exponential", "stepped"])]
    for row in rows(parts[parts["age_years"] > OLD_RATIO * parts["life_years"]]):
        found = f"{row.component} is {row.age_years:.0f} years old at a life of {row.life_years:g}"
        allowed = f"an age over {OLD_RATIO:g} lives is allowed but rare"
        remedy = "Check renewed_date, age_ratio and life_years."
        yield note("components", row.file_row, "renewed_date", found, allowed, remedy)


def _with_hours(case: Case) -> pd.DataFrame:
    """Return actions with the hours of one work and what these hours cost."""
    hours = planned_hours(case).merge(case["resources"][["resource", "cost_per_hour"]])
    hours["labour_cost"] = hours["work_hours"] * hours["cost_per_hour"]
    sums = hours.groupby(["family", "action"])[["work_hours", "labour_cost"]].sum().reset_index()
    return case["actions"].merge(sums, how="left").fillna({"work_hours": 0.0, "labour_cost": 0.0})


def costs_far_off(case: Case) -> Iterator[Finding]:
    """A cost an hour far from its fellows may be in another unit of money."""
    table = _with_hours(case)
    table = table[(table["work_hours"] > 0) & (table["cost"] > 0)]
    each = table["cost"] / table["work_hours"]
    middle = each.median()
    currency = case.settings.currency
    for row in rows(table[(each > middle * FAR_OFF) | (each < middle / FAR_OFF)]):
        found = (
            f"{row.cost:g} for {row.work_hours:g} hours is {row.cost / row.work_hours:.3g} an hour"
        )
        allowed = f"the middle of all actions is {middle:.3g}, and costs are in {currency}"
        remedy = f"Check that the cost is written in {currency}."
        yield note("actions", row.file_row, "cost", found, allowed, remedy)


def costs_hold_labour(case: Case) -> Iterator[Finding]:
    """The cost of a work covers what its hours cost."""
    table = _with_hours(case)
    for row in rows(table[table["cost"] < table["labour_cost"] - 1e-9]):
        found = f"{row.family} {row.action} costs {row.cost:g}"
        allowed = f"its hours alone cost {row.labour_cost:g}, and the cost is with labour"
        yield note("actions", row.file_row, "cost", found, allowed, "Check cost and hours.")


def work_without_hours(case: Case) -> Iterator[Finding]:
    """An action without hours uses no crew."""
    table = _with_hours(case)
    for row in rows(table[table["work_hours"] == 0]):
        found, allowed = f"{row.family} {row.action} has no hours", "work without crews is rare"
        remedy = "Add its trades to action_hours.csv."
        yield note("actions", row.file_row, "action", found, allowed, remedy)


def work_without_place(case: Case) -> Iterator[Finding]:
    """An action whose conditions never hold together can go nowhere."""
    table = kinds_of_work(case)
    for row in rows(table[table["kind"] == ""]):
        found = f"{row.family} {row.action} can be placed nowhere"
        allowed = "its conditions hold together in no kind of outage and not on line"
        remedy = "Check the conditions, or add rows to windows.csv."
        yield note("actions", row.file_row, "conditions", found, allowed, remedy)


def outages_left_out(case: Case) -> Iterator[Finding]:
    """An outage that ends after the last day of its unit is not planned."""
    beyond = left_out(case)
    for row in rows(case["outages"]):
        if row.outage in beyond:
            found = (
                f"{row.outage} ends after {beyond[row.outage].date()}, the last day of {row.unit}"
            )
            remedy = "Take it out, or move the end of the plan."
            yield note(
                "outages", row.file_row, "start_date", found, "the plan leaves it out", remedy
            )


def budget_years(case: Case) -> Iterator[Finding]:
    """Years of the plan without a budget are not limited."""
    if case["budgets"].empty:
        return
    first, last = case.settings.planning_date.year, case.settings.horizon_end_date.year
    missing = sorted(set(range(first, last + 1)) - set(case["budgets"]["year"]))
    if missing:
        years = ", ".join(str(year) for year in missing[:5]) + (", ..." if missing[5:] else "")
        found, allowed = f"there is no budget for {years}", "a year without a row has no limit"
        yield note("budgets", 0, "year", found, allowed, "Add the years that have a limit.")


def _plain(text: str) -> str:
    return "".join(sign for sign in text.casefold() if sign.isalnum())


def same_families(case: Case) -> Iterator[Finding]:
    """Two families under nearly the same code or name may be one."""
    for column in ("family", "name"):
        seen: dict[str, tuple[str, str]] = {}
        for row in rows(case["families"]):
            text = str(getattr(row, column))
            other, word = seen.setdefault(_plain(text), (row.family, text))
            if other != row.family:
                found = f'"{text}" of {row.family} is nearly "{word}" of {other}'
                allowed = "components that share life data are one family"
                remedy = "Join the two if they are the same."
                yield note("families", row.file_row, column, found, allowed, remedy)


def same_components(case: Case) -> Iterator[Finding]:
    """Two components whose names differ in case or signs only may be one."""
    seen: dict[str, str] = {}
    for row in rows(case["components"]):
        other = seen.setdefault(_plain(row.component), row.component)
        if other != row.component:
            found = f"{row.component} is nearly {other}"
            allowed = "a component stands in one row"
            remedy = "Delete one of the two if they are the same."
            yield note("components", row.file_row, "component", found, allowed, remedy)


def family_without_component(case: Case) -> Iterator[Finding]:
    """A family that no component belongs to changes nothing."""
    used = set(case["components"]["family"])
    for row in rows(case["families"]):
        if row.family not in used:
            found = f"no component belongs to family {row.family}"
            remedy = "Check the family of its components."
            yield note(
                "families", row.file_row, "family", found, "it has no part in the plan", remedy
            )
