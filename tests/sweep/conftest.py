"""Sweeps that several tests use: three changed cases of the tiny station, made once."""

from pathlib import Path

import pandas as pd
import pytest

from bundler.case import Case
from bundler.sweep.run import sweep
from tests.sweep.asked import ASKED


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of the sweep."""
    return tmp_path_factory.mktemp("sweep") / "whole"


@pytest.fixture(scope="session")
def found(tiny: Case, folder: Path) -> pd.DataFrame:
    """Return its table of runs, with the folder written."""
    return sweep(tiny, ASKED, folder).tables["sweep"].set_index("run")
