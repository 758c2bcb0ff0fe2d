"""Whatever stands in the files, reading gives a case or a DataError, and writes nothing."""

import csv
import io
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from bundler.check import check_case
from bundler.errors import DataError
from bundler.read.folder import read_case

TINY = Path(__file__).parents[1] / "tiny"
FILES = sorted(path.name for path in TINY.iterdir())
TABLES = [name for name in FILES if name.endswith(".csv")]
QUICK = settings(
    max_examples=15, deadline=None, derandomize=True, database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)  # fmt: skip
#: cells that trip readers: numbers that are none, dates off the calendar, names of others
CELLS = st.one_of(
    st.text(max_size=20),
    st.floats().map(str),
    st.integers().map(str),
    st.dates().map(str),
    st.sampled_from(
        ["", "yes", "no", "A", "B", "start", "end", "station", "on_line", "P1", "PUMP", "L*", "NaN"]
    ),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Return a copy of the tiny station; each example puts it right again."""
    yield Path(shutil.copytree(TINY, tmp_path_factory.mktemp("fuzz") / "tiny"))


def state(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def read_spoiled(folder: Path, name: str, content: bytes) -> None:
    """Read and check the station with one file spoiled; only a DataError may come."""
    path = folder / name
    whole = path.read_bytes()
    path.write_bytes(content)
    before = state(folder)
    try:
        case = read_case(folder)
    except DataError as fault:
        assert fault.findings
        assert all(finding.sentence.isprintable() for finding in fault.findings)
    else:
        for finding in check_case(case):
            assert finding.sentence.isprintable()
    finally:
        assert state(folder) == before
        path.write_bytes(whole)


@QUICK
@given(name=st.sampled_from(FILES), content=st.binary(max_size=300))
@example(name="station.yaml", content=b"[" * 5000)
@example(name="station.yaml", content=b"a: &a [x]\nb: [*a, *a]\n")
@example(name="station.yaml", content=b'station: "\\ud800"\n')
@example(name="station.yaml", content=b"{" * 5000)
@example(name="station.yaml", content=b"? [a]\n: b\n")
@example(name="areas.csv", content=b'area,name\n"' + b"x" * 200_000)
@example(name="areas.csv", content=b"\x00,\x00\n\x00,\x00\n")
def test_any_bytes(folder: Path, name: str, content: bytes) -> None:
    read_spoiled(folder, name, content)


@QUICK
@given(
    name=st.sampled_from(FILES),
    place=st.floats(0, 1, exclude_max=True),
    cut=st.integers(0, 6),
    put=st.binary(max_size=6),
)
def test_any_bytes_in_the_middle(
    folder: Path, name: str, place: float, cut: int, put: bytes
) -> None:
    content = (TINY / name).read_bytes()
    start = int(place * len(content))
    read_spoiled(folder, name, content[:start] + put + content[start + cut :])


@settings(QUICK, max_examples=60)
@given(
    name=st.sampled_from(TABLES),
    row=st.integers(0, 50),
    column=st.integers(0, 50),
    cell=CELLS,
)
def test_any_cell(folder: Path, name: str, row: int, column: int, cell: str) -> None:
    with (TINY / name).open(encoding="utf-8", newline="") as lines:
        cells = list(csv.reader(lines))
    line = cells[row % len(cells)]
    line[column % len(line)] = cell
    text = io.StringIO()
    csv.writer(text).writerows(cells)
    read_spoiled(folder, name, text.getvalue().encode("utf-8", "surrogatepass"))


@QUICK
@given(row=st.integers(0, 50), value=CELLS)
def test_any_setting(folder: Path, row: int, value: str) -> None:
    lines = (TINY / "station.yaml").read_text(encoding="utf-8").splitlines()
    name = lines[row % len(lines)].partition(":")[0]
    lines[row % len(lines)] = f"{name}: {value}"
    read_spoiled(folder, "station.yaml", "\n".join(lines).encode("utf-8", "surrogatepass"))


@QUICK
@given(name=st.sampled_from(TABLES), drop=st.integers(0, 50))
def test_any_row_missing(folder: Path, name: str, drop: int) -> None:
    lines = (TINY / name).read_bytes().splitlines(keepends=True)
    del lines[1 + drop % (len(lines) - 1)]
    read_spoiled(folder, name, b"".join(lines))
