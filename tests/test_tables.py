"""The dictionary holds together: settings, kinds, references, units, meanings."""

import re
from dataclasses import MISSING, fields

import pytest

from bundler.case import Settings
from bundler.read.cells import value_of
from bundler.read.folder import REQUIRED
from bundler.tables import Column, dictionary, empty, key_of
from bundler.units import PLAIN, label, unit_of

COLUMNS = [column for columns in dictionary().values() for column in columns]
PLAIN_KINDS = {
    "key", "text", "number", "share", "chance", "count", "date", "flag", "choice", "conditions",
}  # fmt: skip
MEASURED = {"number", "share", "chance", "count", "date"}


def name_of(column: Column) -> str:
    return f"{column.table}.{column.column}"


def test_settings_are_those_of_the_dictionary_with_the_same_defaults() -> None:
    rows = {column.column: column for column in dictionary()["settings"]}
    assert {field.name for field in fields(Settings)} == set(rows)
    for field in fields(Settings):
        row = rows[field.name]
        assert row.is_required == (field.default is MISSING), field.name
        if not row.is_required:
            assert value_of(row, "") == field.default, field.name


@pytest.mark.parametrize("column", COLUMNS, ids=name_of)
def test_column_is_whole(column: Column) -> None:
    assert re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", column.column)
    assert len(column.meaning) > 3
    kind, _, target = column.kind.partition(":")
    assert kind in PLAIN_KINDS | {"ref"}
    if kind == "ref":
        table, name = target.split(".")
        assert name in key_of(table)
    assert bool(column.allowed) == (kind == "choice")
    if kind in MEASURED - {"date"}:
        assert column.low is not None
    if kind in ("flag",):
        assert column.default in ("yes", "no")
    if kind == "key":
        assert column.is_key and column.is_required
    if column.default not in ("", "must"):
        value_of(column, "")


@pytest.mark.parametrize("column", COLUMNS, ids=name_of)
def test_measured_column_ends_in_its_unit(column: Column) -> None:
    if column.kind in MEASURED and column.column not in PLAIN:
        assert unit_of(column.column), column
    if column.kind == "flag":
        assert column.column.split("_")[0] in ("is", "has", "takes")
    if column.kind in ("share", "chance"):
        assert unit_of(column.column).split("_")[0] == column.kind
    if column.kind == "date":
        assert unit_of(column.column) == "date"


@pytest.mark.parametrize(
    ("column", "shown"),
    [
        ("day_value_cost_per_day", "k$/d"),
        ("repair_cost", "k$"),
        ("cost", "k$"),
        ("dose_person_msv", "person-mSv"),
        ("dose_value_cost_per_person_msv", "k$/person-mSv"),
        ("work_hours", "h"),
        ("hours_per_day", "h/d"),
        ("failure_rate_per_year", "1/year"),
        ("price_year", "year"),
        ("name", ""),
        ("forecast", ""),
    ],
)
def test_labels(column: str, shown: str) -> None:
    assert label(column, "k$") == shown


def test_tables_are_plural_and_have_keys() -> None:
    for table in set(dictionary()) - {"settings"}:
        assert key_of(table), table
        assert empty(table).empty
    assert set(REQUIRED) <= set(dictionary())
