"""station.yaml to settings."""

from dataclasses import fields
from datetime import date

import pytest

from bundler.case import Case, Settings
from bundler.errors import DataError
from bundler.read.folder import read_case
from tests.read.pen import Pen


def test_settings_are_typed_and_defaults_are_taken(tiny: Case) -> None:
    own = tiny.settings
    assert own.planning_date == date(2027, 1, 1)
    assert (own.currency, own.price_year, own.receive_days) == ("k$", 2027, 0.0)
    assert (own.grid_years, own.shifts_count) == (0.25, 2)
    for field in fields(Settings):
        assert type(getattr(own, field.name)).__name__ == getattr(field.type, "__name__", "")


@pytest.mark.parametrize("written", ["k$", "'k$'", '"k$"', "k$  # thousands", "|-\n  k$"])
def test_ways_to_write_text(written: str, edit: Pen) -> None:
    edit.setting("currency", written)
    assert read_case(edit.folder).settings.currency == "k$"


def test_words_for_nothing_take_the_default(edit: Pen) -> None:
    edit.setting("grid_years", "null")
    assert read_case(edit.folder).settings.grid_years == 0.25


def test_a_bomb_of_aliases_is_refused_at_its_first_anchor(edit: Pen) -> None:
    levels = [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 40)]
    edit.text("station.yaml", "\n".join(["a0: &a0 x", *levels]))
    with pytest.raises(DataError) as caught:
        read_case(edit.folder)
    assert any("an anchor, an alias" in finding.found for finding in caught.value.findings)


def test_tables_are_told_also_when_settings_are_broken(edit: Pen) -> None:
    edit.text("station.yaml", "station: [")
    edit.cell("units", 2, "capacity_mw", "x")
    with pytest.raises(DataError) as caught:
        read_case(edit.folder)
    assert [finding.table for finding in caught.value.findings] == ["station.yaml", "units.csv"]
