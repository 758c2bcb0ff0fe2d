"""Results on disk: written beside, then moved into place, so that nothing is half there."""

import json
import shutil
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

import pandas as pd

from bundler.errors import BundlerError
from bundler.frontier import Frontier
from bundler.level.chances import TABLES as CHANCES
from bundler.report.summary import summary
from bundler.results import RESULTS
from bundler.run import Run

SUMMARY = "summary.json"


def findings_table(run: Run) -> pd.DataFrame:
    """Return the notes on the input as a table."""
    names = ["level", "table", "row", "column", "sentence"]
    rows = [(f.level, f.table, f.row, f.column, f.sentence) for f in run.findings]
    return pd.DataFrame(rows, columns=names)


def _write(folder: Path, run: Run) -> None:
    for name, table in {**run.tables, "findings": findings_table(run)}.items():
        table.to_csv(folder / f"{name}.csv", index=False, lineterminator="\n")
    text = json.dumps(summary(run), indent=2, ensure_ascii=False)
    (folder / SUMMARY).write_text(text + "\n", encoding="utf-8")


#: every file that a plan writes, and every file that a frontier writes
BESIDE = ("findings", "scenarios", "outage_dates")
NAMES = frozenset({SUMMARY, *(f"{name}.csv" for name in (*RESULTS, *BESIDE))})
FRONTIER_NAMES = frozenset({"frontier.csv", "scenarios.csv"})
#: every file that a levelled plan writes, that its chances write, and that a slip writes
LEVEL_NAMES = frozenset({
    "level.json", "level_finish.csv", "level_days.csv", "level_weeks.csv", "level_windows.csv",
    "level_rounds.csv", "level_works.csv", "level_stuck.csv", "levelled.csv", "level_pins.csv",
})  # fmt: skip
CHANCE_NAMES = frozenset(f"{name}.csv" for name in CHANCES)
SLIP_NAMES = frozenset({"slip.csv"})
#: folders of these names, and no others, may be replaced
KNOWN = (FRONTIER_NAMES, LEVEL_NAMES, CHANCE_NAMES, SLIP_NAMES)


def _may_replace(folder: Path) -> bool:
    """Say whether the folder is free, or holds nothing but earlier results of ours."""
    if not folder.exists():
        return True
    if not folder.is_dir():
        return False
    names = {path.name for path in folder.iterdir()}
    is_plan = SUMMARY in names and names <= NAMES
    return not names or is_plan or names in KNOWN


def check_target(folder: Path) -> None:
    """Raise a BundlerError with one sentence if results may not be written to the folder."""
    if not _may_replace(folder):
        raise BundlerError(
            f"{folder} holds more than an earlier plan, so it is left as it is. "
            "Move your files out of it, or name another folder with --out."
        )


def _save(folder: Path, write: Callable[[Path], None]) -> None:
    """Let `write` fill a fresh folder, and put it in the place of `folder` in one move."""
    check_target(folder)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
        try:
            write(fresh)
            fresh.chmod(0o755)
            old = fresh.with_name(fresh.name + "-old")
            if folder.exists():
                folder.rename(old)
            fresh.rename(folder)
            shutil.rmtree(old, ignore_errors=True)
        finally:
            shutil.rmtree(fresh, ignore_errors=True)
    except OSError as fault:
        raise BundlerError(
            f"{folder} could not be written ({fault.strerror}). Free the space or name another "
            "folder with --out; the earlier results are as they were."
        ) from fault


def save(run: Run, folder: Path) -> None:
    """Write every table and the summary into `folder`, replacing an earlier plan in one move.

    Raises BundlerError if the folder holds something else or cannot be written.
    """
    _save(folder, lambda fresh: _write(fresh, run))


def save_frontier(found: Frontier, folder: Path) -> None:
    """Write frontier.csv and scenarios.csv into `folder`, replacing an earlier one in one move.

    Raises BundlerError if the folder holds something else or cannot be written.
    """

    def write(fresh: Path) -> None:
        found.table.to_csv(fresh / "frontier.csv", index=False, lineterminator="\n")
        found.scenarios.to_csv(fresh / "scenarios.csv", index=False, lineterminator="\n")

    _save(folder, write)


def save_tables(
    tables: Mapping[str, pd.DataFrame], folder: Path, texts: Mapping[str, str] | None = None
) -> None:
    """Write tables as CSV, and texts by file name, into `folder`, replacing it in one move.

    Raises BundlerError if the folder holds something else or cannot be written.
    """

    def write(fresh: Path) -> None:
        for name, table in tables.items():
            table.to_csv(fresh / f"{name}.csv", index=False, lineterminator="\n")
        for name, text in (texts or {}).items():
            (fresh / name).write_text(text, encoding="utf-8")

    _save(folder, write)
