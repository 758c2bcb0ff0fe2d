"""Stocks that have to fit the families and actions that take from them."""

from collections.abc import Iterator

import pandas as pd

from bundler.case import Case
from bundler.check.told import error
from bundler.errors import Finding
from bundler.tables import rows


def stocks_of_components(case: Case) -> Iterator[Finding]:
    """The family of a stock has a component."""
    there = set(case["components"]["family"])
    for row in rows(case["stocks"]):
        if row.family not in there:
            found, allowed = f"{row.family} has no component", "a stock is for components there are"
            remedy = "Correct the family, or take the stock out."
            yield error("stocks", row.file_row, "family", found, allowed, remedy)


def stocks_days(case: Case) -> Iterator[Finding]:
    """A failure that finds no item loses at least as much as one that finds one."""
    own_days = case["components"].groupby("family")["forced_days"].max().to_dict()
    for row in rows(case["stocks"].merge(case["families"][["family", "forced_days"]], on="family")):
        own = own_days.get(row.family, float("nan"))
        with_days = row.forced_days if pd.isna(own) else max(own, row.forced_days)
        if row.without_days < with_days:
            found = f"{row.without_days:g} days are lost without an item"
            allowed = f"a failure of {row.family} loses {with_days:g} (forced_days) with one"
            remedy = "Correct one of the two."
            yield error("stocks", row.file_row, "without_days", found, allowed, remedy)


def stocks_used_up(case: Case) -> Iterator[Finding]:
    """A stock that is used up says what happens then, and in one way only."""
    for row in rows(case["stocks"]):
        if row.use_count_per_year <= 0:
            continue
        for column in ("out_failures_per_year", "out_days"):
            if getattr(row, column) <= 0:
                found = f"it is 0, and {row.use_count_per_year:g} items are used up in a year"
                allowed = "a stock that is used up tells what is lost once no item is left"
                remedy = "Fill it, or set use_count_per_year to 0."
                yield error("stocks", row.file_row, column, found, allowed, remedy)
        if not pd.isna(row.without_days):
            found = f"it is {row.without_days:g}, and use_count_per_year is above 0"
            allowed = "a stock that is used up tells by out_days what is lost without an item"
            remedy = "Empty it, or set use_count_per_year to 0."
            yield error("stocks", row.file_row, "without_days", found, allowed, remedy)


def stocks_once(case: Case) -> Iterator[Finding]:
    """Failures of a family take from one stock, and one of its stocks is used up."""
    stocks = case["stocks"]
    for column, is_meant in (
        ("without_days", stocks["without_days"].notna()),
        ("use_count_per_year", stocks["use_count_per_year"] > 0),
    ):
        first: dict[str, str] = {}
        for row in rows(stocks[is_meant].sort_values("file_row")):
            if row.family in first:
                found = f"{row.stock} is for {row.family}, and so is {first[row.family]}"
                allowed = "one stock of a family fills this column"
                remedy = "Put the two together, or empty this cell in one of them."
                yield error("stocks", row.file_row, column, found, allowed, remedy)
            first.setdefault(row.family, row.stock)


def stocks_for_freed(case: Case) -> Iterator[Finding]:
    """A work that frees items frees them for a stock that is used up."""
    stocks = case["stocks"]
    used = set(stocks.loc[stocks["use_count_per_year"] > 0, "family"])
    for row in rows(case["actions"]):
        if row.frees_count > 0 and row.family not in used:
            found = f"{row.action} frees {row.frees_count:g} items of {row.family}"
            allowed = "items are freed for a stock of the family with use_count_per_year above 0"
            remedy = "Add that stock to stocks.csv, or set frees_count to 0."
            yield error("actions", row.file_row, "frees_count", found, allowed, remedy)


#: the checks of stocks, in order
OWN = (stocks_of_components, stocks_days, stocks_used_up, stocks_once, stocks_for_freed)
