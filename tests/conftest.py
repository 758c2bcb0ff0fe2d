"""Stations that many tests use: tiny (three components), the demo, and a copy to spoil."""

import os
import shutil
from pathlib import Path

import hypothesis
import pytest

from bundler.case import Case
from bundler.read.folder import read_case
from bundler.run import Run
from tests import demo_run
from tests.read.pen import Pen

#: the same examples in every run; a longer search for others: --hypothesis-profile=default
hypothesis.settings.register_profile("fixed", derandomize=True, database=None)
hypothesis.settings.load_profile("fixed")

TESTS = Path(__file__).parent
pytest.register_assert_rewrite("tests.end_to_end.traps_rules")


@pytest.fixture
def tiny_folder(tmp_path: Path) -> Path:
    """Return a copy of the tiny station that a test may spoil."""
    return Path(shutil.copytree(TESTS / "tiny", tmp_path / "tiny"))


@pytest.fixture
def edit(tiny_folder: Path, monkeypatch: pytest.MonkeyPatch) -> Pen:
    """Return a pen that writes into the copied tiny station."""
    return Pen(tiny_folder, monkeypatch)


@pytest.fixture(scope="session")
def tiny() -> Case:
    """Return the tiny station."""
    return read_case(TESTS / "tiny")


@pytest.fixture(scope="session")
def demo_folder() -> Path:
    """Return the folder of the demo station."""
    return TESTS.parent / "asset_data"


@pytest.fixture(scope="session")
def demo_run_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the file with the run of the demo that all processes of this test run share."""
    own = tmp_path_factory.getbasetemp()
    return demo_run.run_in(own if "PYTEST_XDIST_WORKER" not in os.environ else own.parent)


@pytest.fixture(scope="session")
def demo_plan(demo_run_file: Path) -> Run:
    """Return the run of the demo, as `plan_folder` gives it."""
    return demo_run.read(demo_run_file)


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the option that writes the stored LP texts anew."""
    parser.addoption("--update", action="store_true", help="write tests/program/golden anew")
