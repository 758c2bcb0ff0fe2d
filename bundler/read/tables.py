"""One CSV to a typed table that remembers its rows, with every finding gathered."""

import csv
import io
from pathlib import Path
from typing import Any

import pandas as pd

from bundler.errors import Finding
from bundler.read.cells import CellError, read_cell, suggestion
from bundler.tables import Column, dictionary, empty, key_of, rows

#: largest file that is read [bytes]
LARGEST = 100_000_000


def _lines(path: Path, findings: list[Finding]) -> list[list[str]]:
    """Return the cells of a CSV file, row by row, as text."""
    name = path.name
    try:
        if path.stat().st_size > LARGEST:
            findings.append(
                Finding(
                    name, 0, "", "the file is too large", "100 MB are allowed", "Split or clean it."
                )
            )
            return []
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        findings.append(
            Finding(
                name,
                0,
                "",
                "the text is not UTF-8",
                "UTF-8 is allowed",
                "Save the file as CSV in UTF-8.",
            )
        )
        return []
    except OSError as fault:
        findings.append(
            Finding(
                name,
                0,
                "",
                f"the file cannot be read ({fault.strerror})",
                "a readable file is needed",
                "Check its rights.",
            )
        )
        return []
    if "\0" in text:
        findings.append(
            Finding(
                name,
                0,
                "",
                "the file holds zero bytes",
                "plain text is allowed",
                "Save it as CSV again.",
            )
        )
        return []
    try:
        return list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except csv.Error as fault:
        findings.append(
            Finding(
                name,
                0,
                "",
                f"the CSV is broken ({fault})",
                "comma separated cells are allowed",
                "Check the quotes.",
            )
        )
        return []


def _header(
    table: str, name: str, header: list[str], findings: list[Finding]
) -> list[Column | None]:
    """Return the column of each place in the header; None where it is not known."""
    columns = {column.column: column for column in dictionary()[table]}
    for word in sorted({word for word in header if header.count(word) > 1}):
        findings.append(
            Finding(
                name,
                1,
                word,
                "the column is there twice",
                "once is allowed",
                "Take one of them out.",
            )
        )
    for word in header:
        if word not in columns:
            remedy = suggestion(word, [c for c in columns if c not in header] or list(columns))
            findings.append(
                Finding(
                    name,
                    1,
                    word,
                    "the column is not known",
                    "only the columns of the dictionary are allowed",
                    remedy,
                )
            )
    for column in columns.values():
        if column.is_required and column.column not in header:
            findings.append(
                Finding(
                    name,
                    1,
                    column.column,
                    "the column is missing",
                    "it is required",
                    f"Add it: {column.meaning}.",
                )
            )
    return [columns.get(word) for word in header]


def _cell(name: str, number: int, column: Column, text: str, findings: list[Finding]) -> Any:
    try:
        return read_cell(text, column)
    except CellError as fault:
        found = f"{text!r} cannot be used" if text else "the cell is empty"
        findings.append(Finding(name, number, column.column, found, fault.allowed, fault.remedy))
        return "" if column.dtype == "str" else None


def _frame(table: str, records: list[dict[str, Any]]) -> pd.DataFrame:
    """Return the records as a typed table in the dictionary's order, sorted by key."""
    data = {}
    for column in dictionary()[table]:
        values = [record[column.column] for record in records]
        if column.dtype == "bool":
            values = [bool(value) for value in values]
        if column.dtype == "int64":
            values = [0 if value is None else value for value in values]
        data[column.column] = pd.Series(values, dtype=column.dtype)
    frame = pd.DataFrame(data)
    frame["file_row"] = pd.Series([record["file_row"] for record in records], dtype="int64")
    return frame.sort_values([*key_of(table), "file_row"], ignore_index=True)


def _duplicates(table: str, name: str, frame: pd.DataFrame, findings: list[Finding]) -> None:
    keys = key_of(table)
    for row in rows(frame[frame.duplicated(keys)]):
        words = " ".join(str(getattr(row, key)) for key in keys).strip()
        found, remedy = f"{words!r} is there already", "Rename or delete one of the rows."
        place = ", ".join(keys)
        findings.append(
            Finding(name, row.file_row, place, found, "each key is allowed once", remedy)
        )


def _record(
    name: str, number: int, cells: list[str], columns: list[Column | None], findings: list[Finding]
) -> dict[str, Any]:
    """Return one row as values by column, without the columns that the file leaves out."""
    record: dict[str, Any] = {"file_row": number}
    for column, cell in zip(columns, cells, strict=True):
        if column is not None:
            record[column.column] = _cell(name, number, column, cell.strip(), findings)
    return record


def _left_out(table: str, header: list[str]) -> dict[str, Any]:
    """Return the defaults of the columns that the file leaves out."""
    rest = [column for column in dictionary()[table] if column.column not in header]
    nothing = {column.column: "" if column.dtype == "str" else None for column in rest}
    given = {c.column: read_cell("", c) for c in rest if not c.is_required}
    return nothing | given


def _records(path: Path, lines: list[list[str]], findings: list[Finding]) -> list[dict[str, Any]]:
    """Return every row that has as many cells as the header."""
    table, name = path.stem, path.name
    header = [word.strip() for word in lines[0]]
    columns = _header(table, name, header, findings)
    rest = _left_out(table, header)
    records = []
    for number, cells in enumerate(lines[1:], start=2):
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) == len(header):
            records.append(rest | _record(name, number, cells, columns, findings))
            continue
        found, allowed = f"the row has {len(cells)} cells", f"{len(header)} are allowed"
        remedy = "Check commas and quotes; the header has one name a cell."
        findings.append(Finding(name, number, "", found, allowed, remedy))
    return records


def read_table(path: Path, findings: list[Finding]) -> pd.DataFrame:
    """Return one typed table; the file's stem is the table's name. Findings are added.

    Every cell is read as text and turned into its column's kind; empty cells take the column's
    default. The column file_row is the line of the row in the file (the header is row 1).
    """
    table, name, before = path.stem, path.name, len(findings)
    lines = _lines(path, findings)
    if not lines:
        if len(findings) == before:
            remedy = "Write the column names into the first row."
            findings.append(Finding(name, 0, "", "the file is empty", "a header is needed", remedy))
        return empty(table).assign(file_row=pd.Series(dtype="int64"))
    frame = _frame(table, _records(path, lines, findings))
    _duplicates(table, name, frame, findings)
    return frame
