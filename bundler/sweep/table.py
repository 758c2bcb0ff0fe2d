"""The table of changes, one row a change, to the changed cases of a sweep; all slips at once."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd

from bundler.case import Case
from bundler.errors import DataError, Finding
from bundler.nearest import did_you_mean
from bundler.read.cells import BadCellError, value_of
from bundler.read.files import Intake, text_of
from bundler.read.lines import sheet_of
from bundler.read.slips import shown
from bundler.sweep.changes import KINDS, Change
from bundler.sweep.variants import BASE, Variant, check_variants
from bundler.tables import Column, rows

#: largest table of changes that is read [bytes]; our choice
MOST_BYTES = 5_000_000


def _column(name: str, kind: str, allowed: tuple[str, ...], default: str, meaning: str) -> Column:
    low, high = (0.0, 1000.0) if kind == "number" else (None, None)
    return Column("sweep", name, kind, low, high, allowed, default, False, meaning)


#: the columns of the table
COLUMNS = (
    _column("run", "key", (), "must", "name of the run; rows of one run are made together"),
    _column("what", "choice", tuple(KINDS), "must", "what is changed"),
    _column("which", "text", (), "", "year of a budget, trade or family; empty: all"),
    _column("ratio", "number", (), "", "new value over old"),
    _column("value", "number", (), "", "new value"),
)


def _cells(name: str, text: str, intake: Intake) -> pd.DataFrame:
    """Return the rows of the table whose cells can all be used, in the order of the file."""
    sheet = sheet_of(name, text, COLUMNS, intake)
    if not sheet.lines and not intake.findings:
        intake.slip("no rows", name)
    found: list[dict[str, Any]] = []
    for row, cells in sheet.lines:
        own: dict[str, Any] = {"file_row": row}
        for column in COLUMNS:
            place = sheet.places.get(column.column)
            try:
                own[column.column] = value_of(column, "" if place is None else cells[place])
            except BadCellError as fault:
                if place is not None:  # a column that is missing is told at the header
                    intake.findings.append(fault.at(name, row, column.column))
        if len(own) > len(COLUMNS):
            found.append(own)
    return pd.DataFrame(found, columns=["file_row", *(column.column for column in COLUMNS)])


def _which(name: str, row: Any, case: Case) -> Iterator[Finding]:
    """Yield what is wrong with the name in `which`."""
    kind, place = KINDS[row.what], (name, row.file_row, "which")
    if row.which and not kind.noun:
        found, allowed = f"{shown(row.which)} names a part of it", f"{row.what} is changed whole"
        yield Finding(*place, found, allowed, "Leave the cell empty.")
    elif row.which and row.which not in kind.names(case):
        found = f"there is no {kind.noun} {shown(row.which)}"
        table, column = kind.place
        hint = "" if row.which.isdigit() else did_you_mean(row.which, kind.names(case))
        remedy = f"{hint}Correct it, or leave it empty for all."
        yield Finding(*place, found, f"names are those in {table}.csv, {column}", remedy)


def _amount(name: str, row: Any) -> Iterator[Finding]:
    """Yield what is wrong with ratio and value."""
    given = [column for column in ("ratio", "value") if not pd.isna(getattr(row, column))]
    takes = KINDS[row.what].takes
    words = " or ".join(takes)
    if len(given) != 1:
        found = "both are filled" if given else "both are empty"
        allowed = f"{row.what} takes one {words}"
        yield Finding(name, row.file_row, "ratio and value", found, allowed, "Fill one of the two.")
    elif given[0] not in takes:
        found, allowed = f"{row.what} is given as {given[0]}", f"it takes a {words}"
        yield Finding(name, row.file_row, given[0], found, allowed, f"Fill {words} instead.")
    elif given == ["ratio"] and row.ratio == 0:
        found, allowed = "0 is out of range", "a ratio is above 0"
        yield Finding(name, row.file_row, "ratio", found, allowed, "Give a ratio above 0.")
    elif row.what == "tail" and row.value > 1:
        found = f"{row.value:g} is out of range"
        allowed = "the weight of bad lives is from 0 to 1"
        yield Finding(name, row.file_row, "value", found, allowed, "Give a weight up to 1.")


def _names(name: str, table: pd.DataFrame) -> Iterator[Finding]:
    """Yield runs that are called like the base plan, and changes that stand twice in a run."""
    first: dict[tuple[str, str, str], int] = {}
    for row in rows(table):
        if row.run == BASE:
            found, allowed = f'"{BASE}" is the plan without changes', "it is always made"
            yield Finding(name, row.file_row, "run", found, allowed, "Give the run another name.")
        key = (row.run, row.what, row.which)
        if key in first:
            found = f"the same change of run {row.run} is already in row {first[key]}"
            allowed = "a run changes one thing once"
            place = "run and what and which"
            yield Finding(name, row.file_row, place, found, allowed, "Delete one of the two.")
        first.setdefault(key, row.file_row)


def _change(row: Any) -> Change:
    ratio, value = (None if pd.isna(each) else float(each) for each in (row.ratio, row.value))
    return Change(row.what, row.which, ratio, value)


def read_variants(path: Path, case: Case) -> tuple[Variant, ...]:
    """Return the changed cases that a table asks for, in the order of their first rows.

    Raises DataError with every slip of the table; if it has none, with everything that keeps a
    changed case from being planned.
    """
    intake, name = Intake(), path.name
    text = text_of(path, intake, MOST_BYTES)
    table = pd.DataFrame() if text is None else _cells(name, text, intake)
    if any(finding.row <= 1 for finding in intake.findings):  # of the table as a whole
        raise DataError(intake.findings)
    for row in rows(table):
        intake.findings += [*_which(name, row, case), *_amount(name, row)]
    intake.findings += _names(name, table)
    if intake.findings:
        raise DataError(intake.findings)
    runs: dict[str, list[Change]] = {}
    for row in rows(table):
        runs.setdefault(row.run, []).append(_change(row))
    variants = tuple(Variant(run, tuple(changes)) for run, changes in runs.items())
    check_variants(case, variants)
    return variants
