"""A station's folder to a case."""

import hashlib
from pathlib import Path

import pandas as pd

from bundler.case import Case
from bundler.errors import DataError, Finding
from bundler.read.cells import suggestion
from bundler.read.settings import NAME, read_settings
from bundler.read.tables import read_table
from bundler.tables import dictionary, empty

#: tables without which there is nothing to decide
REQUIRED = (
    "units", "outage_kinds", "outages", "conditions", "windows", "resources", "crews", "areas",
    "families", "actions", "action_hours", "components",
)  # fmt: skip


def _regular(path: Path, findings: list[Finding]) -> bool:
    """Say whether a path is a plain file; a link could lead out of the folder."""
    if path.is_file() and not path.is_symlink():
        return True
    findings.append(
        Finding(
            path.name,
            0,
            "",
            "it is not a plain file",
            "plain files are allowed",
            "Put the file itself into the folder.",
        )
    )
    return False


def _tables(folder: Path, findings: list[Finding]) -> dict[str, pd.DataFrame]:
    names = [name for name in dictionary() if name != "settings"]
    for path in sorted(folder.glob("*.csv")):
        if path.stem not in names:
            findings.append(
                Finding(
                    path.name,
                    0,
                    "",
                    "no table has this name",
                    "only the tables of the dictionary are allowed",
                    suggestion(path.stem, names),
                )
            )
    found = {}
    for name in names:
        path = folder / f"{name}.csv"
        if path.exists() or path.is_symlink():
            if _regular(path, findings):
                found[name] = read_table(path, findings)
            continue
        if name in REQUIRED:
            findings.append(
                Finding(
                    path.name,
                    0,
                    "",
                    "the table is missing",
                    "it is required",
                    "Add it; see columns.csv for its columns.",
                )
            )
        found[name] = empty(name).assign(file_row=pd.Series(dtype="int64"))
    return found


def read_case(folder: Path) -> Case:
    """Return the station in a folder, typed and sorted; nothing is written.

    Raises DataError with every finding about the shape of the files.
    """
    if not folder.is_dir():
        raise DataError(
            [
                Finding(
                    str(folder),
                    0,
                    "",
                    "there is no such folder",
                    "a folder with station.yaml and CSV tables is needed",
                    "Check the path.",
                )
            ]
        )
    findings: list[Finding] = []
    settings = None
    path = folder / NAME
    if not (path.exists() or path.is_symlink()):
        findings.append(
            Finding(
                NAME,
                0,
                "",
                "the file is missing",
                "it is required",
                "Add it with the settings of columns.csv.",
            )
        )
    elif _regular(path, findings):
        settings = read_settings(path, findings)
    tables = _tables(folder, findings)
    if findings or settings is None:
        raise DataError(findings)
    files = [path, *sorted(folder.glob("*.csv"))]
    hashes = {file.name: hashlib.sha256(file.read_bytes()).hexdigest() for file in files}
    return Case(settings, tables, hashes)
