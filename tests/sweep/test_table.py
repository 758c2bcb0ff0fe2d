"""The table of changes: what it asks for, and one sentence for each slip, all at once."""

from collections.abc import Callable
from pathlib import Path

import pytest

from bundler.case import Case
from bundler.errors import DataError
from bundler.sweep.changes import Change
from bundler.sweep.table import read_variants
from bundler.sweep.variants import RATIOS, TRIED, Variant, default_variants
from tests.cases import case, one_unit
from tests.cases import settings as base

Write = Callable[[str], Path]
HEAD = "run,what,which,ratio,value\n"


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Return a writer of a table of changes."""

    def written(text: str) -> Path:
        path = tmp_path / "changes.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return written


def sentences(path: Path, made: Case) -> list[str]:
    with pytest.raises(DataError) as told:
        read_variants(path, made)
    return [finding.sentence for finding in told.value.findings]


def test_rows_of_one_run_are_made_together_in_the_order_of_the_file(
    tiny: Case, write: Write
) -> None:
    """Columns may be left out, and rows of a run need not follow each other."""
    path = write(
        "run,what,which,ratio,value\n"
        "late,discount_rate,,,0.03\nshort,lives,PUMP,0.7,\nlate,budgets,2029,1.5,\nbad,tail,,,0.5\n"
    )
    assert read_variants(path, tiny) == (
        Variant(
            "late",
            (Change("discount_rate", value=0.03), Change("budgets", "2029", ratio=1.5)),
        ),
        Variant("short", (Change("lives", "PUMP", ratio=0.7),)),
        Variant("bad", (Change("tail", value=0.5),)),
    )
    path = write("run,what,ratio\nfew,crews,0.9\n")
    assert read_variants(path, tiny) == (Variant("few", (Change("crews", ratio=0.9),)),)


SLIPS = [
    ("a,crew,,0.8,", 'row 2, what: "crew" is not an allowed word; discount_rate or day_value or budgets or crews or lives or tail is allowed. Did you mean "crews"? Use an allowed word.'),
    ("a,crews,m,0.8,", 'row 2, which: there is no trade "m"; names are those in crews.csv, resource. Did you mean "M"? Correct it, or leave it empty for all.'),
    ("a,lives,PMP,0.8,", 'row 2, which: there is no family "PMP"; names are those in families.csv, family. Did you mean "PUMP"? Correct it, or leave it empty for all.'),
    ("a,budgets,2047,0.8,", 'row 2, which: there is no year "2047"; names are those in budgets.csv, year. Correct it, or leave it empty for all.'),
    ("a,day_value,U1,0.8,", 'row 2, which: "U1" names a part of it; day_value is changed whole. Leave the cell empty.'),
    ("a,lives,,,", "row 2, ratio and value: both are empty; lives takes one ratio. Fill one of the two."),
    ("a,discount_rate,,0.8,0.05", "row 2, ratio and value: both are filled; discount_rate takes one ratio or value. Fill one of the two."),
    ("a,crews,,,8", "row 2, value: crews is given as value; it takes a ratio. Fill ratio instead."),
    ("a,tail,,0.5,", "row 2, ratio: tail is given as ratio; it takes a value. Fill value instead."),
    ("a,tail,,,1.5", "row 2, value: 1.5 is out of range; the weight of bad lives is from 0 to 1. Give a weight up to 1."),
    ("a,lives,,0,", "row 2, ratio: 0 is out of range; a ratio is above 0. Give a ratio above 0."),
    ("a,lives,,-1,", "row 2, ratio: -1 is out of range; from 0 to 1000 is allowed. Check value and unit (new value over old)."),
    ("a,lives,,short,", 'row 2, ratio: "short" is no number; numbers are digits with a point for decimals. Write it without unit, blanks or thousands separators.'),
    ("a b,lives,,0.8,", 'row 2, run: "a b" is no name for the tables; names have up to 60 letters, digits, dots, dashes and underscores, and start with a letter or digit. Rename it here and wherever it is used.'),
    ("base,lives,,0.8,", 'row 2, run: "base" is the plan without changes; it is always made. Give the run another name.'),
    ("a,lives,,0.8,\na,lives,,0.9,", "row 3, run and what and which: the same change of run a is already in row 2; a run changes one thing once. Delete one of the two."),
    (",lives,,0.8,", "row 2, run: it is empty; it has to be filled: name of the run; rows of one run are made together. Fill it."),
]  # fmt: skip


@pytest.mark.parametrize(("row", "sentence"), SLIPS, ids=[row for row, _ in SLIPS])
def test_each_slip_has_its_sentence(row: str, sentence: str, tiny: Case, write: Write) -> None:
    assert sentences(write(HEAD + row + "\n"), tiny) == [f"changes.csv {sentence}"]


def test_all_slips_are_told_at_once(tiny: Case, write: Write) -> None:
    """Cells, names and amounts of different rows come together, by row."""
    found = sentences(write(HEAD + "a,crews,Q,0.8,\nb,lives,,x,\nc,tail,,,\n"), tiny)
    assert [text.split(":")[0] for text in found] == [
        "changes.csv row 2, which",
        "changes.csv row 3, ratio",
        "changes.csv row 4, ratio and value",
    ]


@pytest.mark.parametrize(
    ("text", "start"),
    [
        (HEAD, "changes.csv: the table has no rows"),
        ("", "changes.csv: the file is empty"),
        ("run,what,factor\na,lives,0.8\n", "changes.csv row 1, factor: the column is not known"),
        ("run;what\na;lives\n", "changes.csv row 1: the header has no comma but a semicolon"),
        ("what,ratio\nlives,0.8\n", "changes.csv row 1, run: the column is missing"),
    ],
)
def test_a_table_that_cannot_be_read(text: str, start: str, tiny: Case, write: Write) -> None:
    found = sentences(write(text), tiny)
    assert len(found) == 1 and found[0].startswith(start), found


def test_a_changed_value_out_of_its_range_names_the_run(write: Write) -> None:
    """A rate of 0.2 x 2 is above 0.3; a life of 30 x 100 is above 1000 years."""
    made = case(base(discount_share_per_year=0.2), **one_unit())
    found = sentences(write(HEAD + "dear,discount_rate,,2,\nold,lives,,100,\n"), made)
    assert found == [
        "run dear: station.yaml, discount_share_per_year: 0.4 is out of range; "
        "0 or more and at most 0.3 is allowed. Give another ratio or value.",
        "run old: families.csv row 2, life_years: 3000 is out of range; "
        "0.1 or more and at most 1000 is allowed. Give another ratio or value.",
    ]


def crowded() -> Case:
    """Return a station whose base scope takes 90 % of its crew's hours in an outage."""
    hours = 0.9 * 10 * 0.5 * 50 / 7 * 40
    scope = [{"kind": "planned", "resource": "M", "work_hours": hours}]
    return case(base(discount_share_per_year=0.2), **one_unit(base_scope=scope))


def test_what_the_checks_find_in_a_changed_case_names_the_run(write: Write) -> None:
    """With 0.8 of the crew, base scope that takes 0.9 of it does not fit; with 0.95 it does."""
    path = write(HEAD + "few,crews,M,0.8,\nless,crews,M,0.95,\n")
    (found,) = sentences(path, crowded())
    assert found.startswith("run few: base_scope.csv row 2, work_hours: base scope takes 1285.71 h")


def test_without_a_table_each_assumption_is_tried_alone() -> None:
    """Two ratios each and the weight of bad lives; what cannot be planned is left out and told."""
    variants, left = default_variants(crowded())
    names = [f"{what}-{ratio:g}" for what in TRIED for ratio in RATIOS]
    assert set(left) == {"crews-0.8", "budgets-0.8", "budgets-1.25"}
    assert "base_scope.csv" in left["crews-0.8"] and "nothing to change" in left["budgets-0.8"]
    assert [each.name for each in variants] == [n for n in names if n not in left] + ["tail-0.5"]
    assert all(len(each.changes) == 1 for each in variants)
    assert RATIOS == (0.8, 1.25)
