"""The text of a CSV file to its header and its rows of text cells."""

import csv
import io
from dataclasses import dataclass

from bundler.nearest import asked, nearest
from bundler.read.files import Intake
from bundler.tables import Column


@dataclass(frozen=True)
class Sheet:
    """The cells of a file as text: known columns by place, and (file row, cells) pairs."""

    places: dict[str, int]
    lines: list[tuple[int, list[str]]]


def _records(name: str, text: str, intake: Intake) -> list[tuple[int, list[str]]]:
    """Return each row that is not blank, with the line it starts in."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    found: list[tuple[int, list[str]]] = []
    start = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                found.append((start, [cell.strip() for cell in cells]))
            start = reader.line_num + 1
    except csv.Error as fault:
        intake.slip("broken csv", name, start, why=str(fault))
    return found


def _unknown(name: str, header: list[str], known: list[str], intake: Intake) -> set[str]:
    """Tell columns that are not known; return the known ones they were likely meant to be."""
    meant: set[str] = set()
    free = [column for column in known if column not in header]
    for number, column in enumerate(header, start=1):
        if not column:
            intake.slip("unnamed column", name, 1, number=number)
        elif column not in known:
            near = nearest(column, free)
            meant.add(near)
            intake.slip("unknown column", name, 1, column, hint=asked(near))
    return meant


def _header(
    name: str, header: list[str], columns: tuple[Column, ...], intake: Intake
) -> dict[str, int]:
    """Return the place of each known column, with findings for all that is wrong."""
    known = [column.column for column in columns]
    if len(header) == 1 and header[0] not in known:
        for sign, word in ((";", "semicolon"), ("\t", "tab")):
            if sign in header[0]:
                intake.slip("separator", name, 1, sign=word)
                return {}
    meant = _unknown(name, header, known, intake)
    for column in sorted({column for column in header if column and header.count(column) > 1}):
        intake.slip("column twice", name, 1, column)
    for wanted in columns:
        if wanted.is_required and wanted.column not in {*header, *meant}:
            intake.slip("missing column", name, 1, wanted.column, meaning=wanted.meaning)
    return {column: header.index(column) for column in header if column in known}


def sheet_of(name: str, text: str, columns: tuple[Column, ...], intake: Intake) -> Sheet:
    """Return the cells of a CSV file; rows that do not fit the header are told and left out."""
    before = len(intake.findings)
    records = _records(name, text, intake)
    if not records:
        if len(intake.findings) == before:
            intake.slip("no header", name)
        return Sheet({}, [])
    header = records[0][1]
    places = _header(name, header, columns, intake)
    lines = []
    for row, cells in records[1:]:
        if len(cells) == len(header):
            lines.append((row, cells))
        elif places:
            intake.slip("ragged", name, row, count=len(cells), expected=len(header))
    return Sheet(places, lines)
