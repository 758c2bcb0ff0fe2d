"""A station's folder to a case; every finding of reading is raised at once."""

from pathlib import Path

import pandas as pd

from bundler.case import Case
from bundler.errors import DataError
from bundler.nearest import asked, nearest
from bundler.read.files import Intake
from bundler.read.settings import NAME, read_settings
from bundler.read.slips import SLIPS
from bundler.read.tables import empty_table, read_table
from bundler.tables import dictionary

#: tables that every station has; the others may be absent and are empty then
REQUIRED = (
    "units", "outage_kinds", "outages", "conditions", "windows", "resources", "crews", "areas",
    "families", "actions", "action_hours", "components",
)  # fmt: skip


def _unknown_files(names: set[str], known: list[str], intake: Intake) -> set[str]:
    """Tell tables and settings that nobody reads; return what they were likely meant to be."""
    meant: set[str] = set()
    free = {Path(file).stem: file for file in known if file not in names}
    for name in sorted(names - set(known)):
        if name.startswith((".", "~")):
            continue
        if Path(name).suffix.lower() in (".csv", ".yaml", ".yml"):
            near = free.get(nearest(Path(name).stem, free), "")
            meant.add(near)
            intake.slip("unknown file", name, hint=asked(near))
    return meant


def _names(folder: Path) -> set[str]:
    """Return the names of what lies in the folder; raise DataError where there is no folder."""
    if not folder.is_dir():
        raise DataError([SLIPS["no folder"].at(str(folder), 0, "")])
    try:
        return {path.name for path in folder.iterdir()}
    except OSError as fault:
        why = fault.strerror or "no reason told"
        raise DataError([SLIPS["unreadable"].at(str(folder), 0, "", why=why)]) from fault


def read_case(folder: Path) -> Case:
    """Return the case in a folder of station.yaml and CSV tables; nothing is written.

    Raises DataError with everything that could not be read, file by file and row by row.
    """
    names, intake = _names(folder), Intake()
    tables = [table for table in dictionary() if table != "settings"]
    meant = _unknown_files(names, [NAME, *(f"{table}.csv" for table in tables)], intake)
    for file in sorted({NAME, *(f"{table}.csv" for table in REQUIRED)} - names - meant):
        intake.slip("missing file", file)
    settings = read_settings(folder / NAME, intake) if NAME in names else None
    read: dict[str, pd.DataFrame] = {}
    for table in tables:
        path = folder / f"{table}.csv"
        is_there, needed = path.name in names, table in REQUIRED
        read[table] = (
            read_table(path, intake, needs_rows=needed) if is_there else empty_table(table)
        )
    if intake.findings or settings is None:
        raise DataError(intake.findings)
    return Case(settings, read, dict(sorted(intake.hashes.items())))
