"""The dictionary of every table and column, read from columns.csv beside this file."""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pandas as pd

#: pandas type that a column of each kind holds after reading.
DTYPES = {"number": "float64", "share": "float64", "chance": "float64", "date": "datetime64[s]"}


@dataclass(frozen=True)
class Column:
    """One column: its kind, range, allowed words, default and meaning."""

    table: str
    column: str
    kind: str
    low: float | None
    high: float | None
    allowed: tuple[str, ...]
    default: str
    is_key: bool
    meaning: str

    @property
    def is_required(self) -> bool:
        """Whether the cell may not be left empty."""
        return self.default == "must"

    @property
    def dtype(self) -> str:
        """The pandas type of the column in a checked table."""
        if self.kind == "flag":
            return "bool"
        if self.kind == "count":
            return "float64" if self.default == "" else "int64"
        return DTYPES.get(self.kind, "str")


def _number(text: str) -> float | None:
    return float(text) if text else None


@cache
def dictionary() -> dict[str, tuple[Column, ...]]:
    """Return the columns of every table, in file order, keyed by table name."""
    tables: dict[str, list[Column]] = {}
    with Path(__file__).with_name("columns.csv").open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            tables.setdefault(row["table"], []).append(
                Column(
                    table=row["table"],
                    column=row["column"],
                    kind=row["kind"],
                    low=_number(row["low"]),
                    high=_number(row["high"]),
                    allowed=tuple(row["allowed"].split()),
                    default=row["default"],
                    is_key=row["is_key"] == "yes",
                    meaning=row["meaning"],
                )
            )
    return {name: tuple(columns) for name, columns in tables.items()}


def key_of(table: str) -> list[str]:
    """Return the key columns of a table, in order."""
    return [column.column for column in dictionary()[table] if column.is_key]


def empty(table: str) -> pd.DataFrame:
    """Return the table with its columns and no rows."""
    return pd.DataFrame(
        {column.column: pd.Series(dtype=column.dtype) for column in dictionary()[table]}
    )


def words(values: pd.Series, default: str) -> pd.Series:
    """Return text with `default` where there is none, also where all of it is missing."""
    return values.astype("object").where(values.notna(), default).astype("str")


def rows(table: pd.DataFrame) -> Iterator[Any]:
    """Return the rows of a table, each with its columns as attributes."""
    return iter(table.itertuples(index=False))
