"""One CSV file to a typed table by the dictionary, sorted by key, with the row of the file."""

from pathlib import Path

import pandas as pd

from bundler.read.cells import BadCellError, Value, missing, value_of
from bundler.read.files import Intake, text_of
from bundler.read.lines import Sheet, sheet_of
from bundler.read.slips import shown
from bundler.tables import Column, dictionary, empty, key_of

#: largest table that is read [bytes]; our choice
MOST_BYTES = 50_000_000
FILE_ROW = "file_row"


def _filler(column: Column) -> Value:
    """Return what stands in a cell that could not be read, until the findings are raised."""
    if column.dtype in ("bool", "int64"):
        return 0
    return missing(column)


def _values(
    name: str, sheet: Sheet, column: Column, intake: Intake
) -> tuple[list[Value], set[int]]:
    """Return the values of one column and the rows whose cell cannot be used."""
    place = sheet.places.get(column.column)
    if place is None:
        blank = _filler(column) if column.is_required else value_of(column, "")
        return [blank] * len(sheet.lines), set()
    values: list[Value] = []
    bad: set[int] = set()
    for row, cells in sheet.lines:
        try:
            values.append(value_of(column, cells[place]))
        except BadCellError as fault:
            intake.findings.append(fault.at(name, row, column.column))
            values.append(_filler(column))
            bad.add(row)
    return values, bad


def _double_keys(name: str, frame: pd.DataFrame, key: list[str], intake: Intake) -> None:
    """Tell rows whose key stands in an earlier row."""
    first: dict[tuple[str, ...], int] = {}
    for row in frame.sort_values(FILE_ROW)[[*key, FILE_ROW]].itertuples(index=False, name=None):
        own = tuple(str(part) for part in row[:-1])
        if own in first:
            text = shown(", ".join(part for part in own if part))
            intake.slip("key twice", name, row[-1], " and ".join(key), text=text, first=first[own])
        first.setdefault(own, row[-1])


def empty_table(table: str) -> pd.DataFrame:
    """Return a table without rows, as an absent file gives it."""
    return empty(table).assign(**{FILE_ROW: pd.Series(dtype="int64")})


def read_table(path: Path, intake: Intake, *, needs_rows: bool) -> pd.DataFrame:
    """Return the table in a file; what is wrong goes to `intake`.

    All columns of the dictionary in its order, then `file_row`; one row a row of the file,
    sorted by key. Text that is missing is "", numbers NaN, dates NaT.
    """
    table, name = path.stem, path.name
    text = text_of(path, intake, MOST_BYTES)
    if text is None:
        return empty_table(table)
    columns, key, before = dictionary()[table], key_of(table), len(intake.findings)
    sheet = sheet_of(name, text, columns, intake)
    if needs_rows and not sheet.lines and len(intake.findings) == before:
        intake.slip("no rows", name)
    data: dict[str, pd.Series] = {}
    broken: set[int] = set()
    for column in columns:
        values, bad = _values(name, sheet, column, intake)
        data[column.column] = pd.Series(values, dtype=column.dtype)
        broken |= bad if column.is_key else set()
    data[FILE_ROW] = pd.Series([row for row, _ in sheet.lines], dtype="int64")
    frame = pd.DataFrame(data)
    if all(
        column.column in sheet.places for column in columns if column.is_key and column.is_required
    ):
        _double_keys(name, frame[~frame[FILE_ROW].isin(broken)], key, intake)
    return frame.sort_values(key, kind="stable", ignore_index=True)
