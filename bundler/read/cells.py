"""One cell of text to a value of its column's kind, or what is wrong with it."""

import difflib
import math
import re
from datetime import date
from typing import Any

from bundler.tables import Column

KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,59}")
LONGEST_TEXT = 300
EARLIEST, LATEST = date(1900, 1, 1), date(2200, 1, 1)


class CellError(Exception):
    """A cell that cannot be used: what is allowed, and what to do."""

    def __init__(self, allowed: str, remedy: str) -> None:
        super().__init__(allowed)
        self.allowed, self.remedy = allowed, remedy


def suggestion(word: str, known: list[str]) -> str:
    """Return a question that names the nearest known word, or the words themselves."""
    near = difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    if near:
        return f"Did you mean {near[0]}?"
    return f"Use one of: {', '.join(known[:12])}."


def _number(text: str, column: Column) -> float:
    try:
        value = float(text)
    except ValueError:
        raise CellError(
            "a plain number is allowed", "Write digits with a point, no unit."
        ) from None
    if not math.isfinite(value):
        raise CellError("a finite number is allowed", "Give a number or leave the cell empty.")
    low, high = column.low, column.high
    if (low is not None and value < low) or (high is not None and value > high):
        span = (
            f"{low:g} to {high:g}"
            if low is not None and high is not None
            else (f"{low:g} or more" if low is not None else f"{high:g} or less")
        )
        raise CellError(f"{span} is allowed", "Check the value and its unit.")
    return value


def _count(text: str, column: Column) -> float:
    value = _number(text, column)
    if value != int(value):
        raise CellError("a whole number is allowed", "Give a whole number.")
    return value


def _date(text: str, column: Column) -> date:
    try:
        value = date.fromisoformat(text)
    except ValueError:
        raise CellError("a day as YYYY-MM-DD is allowed", "Write the day as 2031-05-01.") from None
    if not EARLIEST <= value <= LATEST:
        raise CellError("a day from 1900 to 2200 is allowed", "Check the year.")
    return value


def _flag(text: str, column: Column) -> bool:
    if text not in ("yes", "no"):
        raise CellError("yes or no is allowed", "Write yes or no.")
    return text == "yes"


def _choice(text: str, column: Column) -> str:
    if text not in column.allowed:
        if column.column == "train" and len(set(text) & {"A", "B"}) == 2:
            raise CellError(
                "a lot over both trains cannot be placed, because both may never be out together",
                "Split it into one row for train A and one for train B.",
            )
        words = list(column.allowed)
        raise CellError(f"{', '.join(words)} are allowed", suggestion(text, words))
    return text


def _key(text: str, column: Column) -> str:
    if not KEY.fullmatch(text):
        raise CellError(
            "letters, digits, point, dash and underscore are allowed, 60 at most",
            "Rename it here and wherever it is used.",
        )
    return text


def _text(text: str, column: Column) -> str:
    if len(text) > LONGEST_TEXT:
        raise CellError(f"{LONGEST_TEXT} characters are allowed", "Shorten the text.")
    if any(ord(char) < 32 for char in text):
        raise CellError("plain text in one line is allowed", "Take out line breaks and tabs.")
    return text


READERS = {
    "number": _number,
    "share": _number,
    "chance": _number,
    "count": _count,
    "date": _date,
    "flag": _flag,
    "choice": _choice,
    "key": _key,
    "text": _text,
    "conditions": _text,
}


def read_cell(text: str, column: Column) -> Any:
    """Return the value of a cell; empty text gives the column's default, or None for no value.

    Raises CellError with what is allowed and what to do.
    """
    if text == "":
        if column.is_required:
            raise CellError("a value is required", f"Give it: {column.meaning}.")
        if column.default == "":
            return "" if column.dtype == "str" else None
        text = column.default
    kind = "key" if column.kind.startswith("ref:") else column.kind
    return READERS[kind](text, column)
