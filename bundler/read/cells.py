"""One cell of text to one value, by the kind of its column."""

import math
import re
from collections.abc import Callable
from datetime import date

from bundler.errors import Finding
from bundler.nearest import did_you_mean
from bundler.read.slips import SLIPS, shown
from bundler.tables import Column

Value = str | float | int | bool | date | None

KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,59}")
#: a key that may hold a star for the train, as chains have
STAR_KEY = re.compile(r"[A-Za-z0-9*][A-Za-z0-9._*-]{0,59}")
CONDITIONS = re.compile(rf"{STAR_KEY.pattern}(\+{STAR_KEY.pattern})*")
NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?")
DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
BOTH_TRAINS = re.compile(r"A\s*[^A-Za-z0-9]?\s*B|A\s+and\s+B|both", re.IGNORECASE)
LONGEST_TEXT = 300
#: numbers beyond this and dates outside these years are slips of the pen in any unit; our choice
LARGEST = 1e12
FIRST_DATE, LAST_DATE = date(1900, 1, 1), date(2200, 12, 31)
NUMBERS = ("number", "share", "chance", "count")


class BadCellError(Exception):
    """A cell that cannot be used: the kind of slip and the values of its sentence."""

    def __init__(self, slip: str, **values: object) -> None:
        self.slip, self.values = slip, values
        super().__init__(slip)

    def at(self, table: str, row: int, column: str) -> Finding:
        """Return the finding for the cell."""
        return SLIPS[self.slip].at(table, row, column, **self.values)


def _plain(bound: float) -> str:
    return f"{bound:.12g}"


def _range(column: Column) -> str:
    """Return the range of a number in words."""
    if column.high is None:
        return f"{_plain(column.low or 0)} or more"
    return f"from {_plain(column.low or 0)} to {_plain(column.high)}"


def _number(column: Column, text: str) -> float:
    if text.lower().lstrip("+-") in ("inf", "infinity", "nan"):
        raise BadCellError("not finite", text=shown(text))
    if not NUMBER.fullmatch(text):
        raise BadCellError("not a number", text=shown(text))
    value = float(text)
    if math.isinf(value):
        raise BadCellError("not finite", text=shown(text))
    low = -LARGEST if column.low is None else column.low
    high = LARGEST if column.high is None else column.high
    if not low <= value <= high:
        told = _range(column) if abs(value) <= LARGEST else f"up to {_plain(high)}"
        raise BadCellError("out of range", text=text[:40], range=told, meaning=column.meaning)
    return value + 0.0


def _count(column: Column, text: str) -> float | int:
    value = _number(column, text)
    if value != int(value):
        raise BadCellError("not whole", text=text)
    return int(value)


def _date(column: Column, text: str) -> date:
    try:
        value = date.fromisoformat(text) if DATE.fullmatch(text) else None
    except ValueError:
        value = None
    if value is None:
        raise BadCellError("not a date", text=shown(text))
    if not FIRST_DATE <= value <= LAST_DATE:
        told = f"from {FIRST_DATE} to {LAST_DATE}"
        raise BadCellError("out of range", text=text, range=told, meaning=column.meaning)
    return value


def _word(column: Column, text: str) -> str:
    if text in column.allowed:
        return text
    if column.column == "train" and BOTH_TRAINS.fullmatch(text):
        raise BadCellError("both trains", text=shown(text))
    words, hint = " or ".join(column.allowed), did_you_mean(text, column.allowed)
    raise BadCellError("not a word", text=shown(text), words=words, hint=hint)


def _flag(column: Column, text: str) -> bool:
    if text not in ("yes", "no"):
        hint = did_you_mean(text, ("yes", "no"))
        raise BadCellError("not a word", text=shown(text), words="yes or no", hint=hint)
    return text == "yes"


def _key(column: Column, text: str) -> str:
    if not (KEY if column.kind == "key" else STAR_KEY).fullmatch(text):
        raise BadCellError("bad key", text=shown(text))
    return text


def _conditions(column: Column, text: str) -> str:
    if not CONDITIONS.fullmatch(text):
        raise BadCellError("bad conditions", text=shown(text))
    return text


def _text(column: Column, text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise BadCellError("long text", length=len(text), most=LONGEST_TEXT)
    if not text.isprintable():
        raise BadCellError("unprintable", text=shown(text))
    return _key(column, text) if column.is_key else text


PARSERS: dict[str, Callable[[Column, str], Value]] = {
    "key": _key, "text": _text, "number": _number, "share": _number, "chance": _number,
    "count": _count, "date": _date, "choice": _word, "flag": _flag, "conditions": _conditions,
    "ref": _text,
}  # fmt: skip


def missing(column: Column) -> Value:
    """Return the value of a cell that is empty and has no default."""
    if column.kind in NUMBERS:
        return math.nan
    return None if column.kind == "date" else ""


def value_of(column: Column, text: str) -> Value:
    """Return the value of a cell; an empty one takes the default.

    Raises BadCellError, whose `at` gives the finding.
    """
    text = text.strip()
    if not text and column.is_required:
        raise BadCellError("empty", meaning=column.meaning)
    text = text or column.default
    if not text:
        return missing(column)
    return PARSERS[column.kind.partition(":")[0]](column, text)
