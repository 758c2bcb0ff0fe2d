"""What is read, written and read again stays the same; order and line ends do not matter."""

import hashlib
import random
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest
from pandas.testing import assert_frame_equal

from bundler.case import Case
from bundler.read.folder import REQUIRED, read_case
from bundler.tables import dictionary, key_of
from tests.read.pen import Pen

TABLES = [name for name in dictionary() if name != "settings"]


def write_tables(case: Case, folder: Path) -> None:
    """Write every table with rows as a station's folder holds it."""
    for name, table in case.tables.items():
        flags = [column.column for column in dictionary()[name] if column.kind == "flag"]
        texts = {flag: table[flag].map({True: "yes", False: "no"}) for flag in flags}
        (folder / f"{name}.csv").unlink(missing_ok=True)
        if len(table):
            own = table.assign(**texts).drop(columns="file_row")
            own.to_csv(folder / f"{name}.csv", index=False, date_format="%Y-%m-%d")


def assert_same(one: Case, two: Case) -> None:
    """Compare settings and tables, but not the rows of the files."""
    assert one.settings == two.settings
    assert list(one.tables) == list(two.tables) == TABLES
    for name in TABLES:
        plain = [case[name].drop(columns="file_row") for case in (one, two)]
        assert_frame_equal(plain[0], plain[1])


def test_tables_written_and_read_again_are_the_same(tiny: Case, tiny_folder: Path) -> None:
    write_tables(tiny, tiny_folder)
    assert_same(read_case(tiny_folder), tiny)


def test_demo_written_and_read_again_is_the_same(demo_folder: Path, tiny_folder: Path) -> None:
    demo = read_case(demo_folder)
    for path in tiny_folder.glob("*.csv"):
        path.unlink()
    (tiny_folder / "station.yaml").write_bytes((demo_folder / "station.yaml").read_bytes())
    write_tables(demo, tiny_folder)
    assert_same(read_case(tiny_folder), demo)


@pytest.mark.parametrize("seed", range(3))
def test_order_of_rows_and_columns_does_not_matter(seed: int, tiny: Case, edit: Pen) -> None:
    draw = random.Random(seed)
    for path in edit.folder.glob("*.csv"):
        frame = pd.read_csv(path, dtype=str, keep_default_na=False)
        frame = frame.sample(frac=1, random_state=draw.randrange(2**31))
        frame[draw.sample(list(frame.columns), len(frame.columns))].to_csv(path, index=False)
    assert_same(read_case(edit.folder), tiny)


@pytest.mark.parametrize(
    "change",
    [
        lambda content: b"\xef\xbb\xbf" + content,
        lambda content: content.replace(b"\n", b"\r\n"),
        lambda content: content.rstrip(b"\n"),
        lambda content: content + b"\n\n",
    ],
    ids=["byte order mark", "line ends of two signs", "no last line end", "blank lines at the end"],
)
def test_signs_of_other_programs_do_not_matter(
    change: Callable[[bytes], bytes], tiny: Case, tiny_folder: Path
) -> None:
    for path in tiny_folder.iterdir():
        path.write_bytes(change(path.read_bytes()))
    assert_same(read_case(tiny_folder), tiny)


def test_rows_of_only_commas_and_blanks_round_cells_do_not_matter(tiny: Case, edit: Pen) -> None:
    edit.replace("areas.csv", "TB,turbine basement,1000", ",,\n TB , turbine basement ,1000 ")
    case = read_case(edit.folder)
    assert_same(case, tiny)
    assert case["areas"]["file_row"].tolist() == [3]


def test_file_row_is_the_line_in_the_file(edit: Pen) -> None:
    edit.text("areas.csv", 'area,name,usable_m2\nTB,hall,1000\n\nTA,"yard",500\n')
    areas = read_case(edit.folder)["areas"]
    assert areas["area"].tolist() == ["TA", "TB"]
    assert areas["file_row"].tolist() == [4, 2]


def test_table_has_every_column_of_the_dictionary_with_its_type(tiny: Case) -> None:
    for name in TABLES:
        columns = dictionary()[name]
        assert list(tiny[name].columns) == [*(c.column for c in columns), "file_row"]
        for column in columns:
            assert str(tiny[name][column.column].dtype) == column.dtype, column
        assert isinstance(tiny[name].index, pd.RangeIndex)
        assert tiny[name]["file_row"].dtype == "int64"
        assert not tiny[name].duplicated(key_of(name)).any()


def test_empty_cells_take_the_default_or_are_missing(tiny: Case) -> None:
    valve = tiny["components"].set_index("component").loc["VALVE-1"]
    assert valve["train"] == "" and valve["age_ratio"] == 1.0
    assert pd.isna(valve["renewed_date"]) and pd.isna(valve["life_years"])
    assert tiny["resources"]["has_overtime"].all()
    assert not tiny["areas"]["is_by_train"].any()
    assert tiny["windows"]["to_anchor"].isin(["start", "end"]).all()
    assert tiny["chains"].empty


def test_hashes_are_of_the_files_read(tiny: Case, edit: Pen) -> None:
    edit.text("README.md", "not read")
    (edit.folder / "raw").mkdir()
    hashes = read_case(edit.folder).hashes
    assert hashes == tiny.hashes
    content = (edit.folder / "units.csv").read_bytes()
    assert hashes["units.csv"] == hashlib.sha256(content).hexdigest()
    assert set(hashes) == {"station.yaml"} | {path.name for path in edit.folder.glob("*.csv")}
    assert {f"{name}.csv" for name in REQUIRED} <= set(hashes)
