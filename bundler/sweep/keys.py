"""What a run's result hangs on, as one hash: tables, settings, changes, options and version."""

import hashlib
import json
import platform
from collections.abc import Sequence
from dataclasses import asdict
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import bundler
from bundler.case import Case
from bundler.choice import Lives
from bundler.solve.highs import Options
from bundler.sweep.changes import Change

#: packages whose version may change a plan
PACKAGES = ("scope-bundler", "highspy", "numpy", "pandas", "pulp", "scipy")
#: options that change the plan; the others change how long it takes
OPTIONS = ("gap_share", "time_limit_seconds", "way")


def case_key(case: Case) -> str:
    """Return the hash of a case: its settings and the cells of its tables."""
    found = hashlib.sha256(json.dumps(asdict(case.settings), default=str).encode())
    for name in sorted(case.tables):
        table = case[name].drop(columns="file_row")
        found.update(f"\n{name}\n{table.to_csv(index=False)}".encode())
    return found.hexdigest()


def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return "not installed"


@cache
def code_key() -> str:
    """Return the hash of this package's own files and of the versions of those it stands on."""
    found = hashlib.sha256(platform.python_version().encode())
    for package in PACKAGES:
        found.update(f"{package} {_version(package)}\n".encode())
    root = Path(bundler.__file__).parent
    for path in sorted((*root.rglob("*.py"), root / "columns.csv")):
        found.update(f"{path.relative_to(root).as_posix()}\n".encode() + path.read_bytes())
    return found.hexdigest()


def run_key(own: str, changes: Sequence[Change], options: Options, lives: Lives | None) -> str:
    """Return the hash of a run; `own` is the key of its base case.

    Two runs with the same key have the same result, whatever they are called.
    """
    told = {
        "case": own,
        "changes": [asdict(change) for change in changes],
        "options": {name: getattr(options, name) for name in OPTIONS},
        "lives": None if lives is None else asdict(lives),
        "code": code_key(),
    }
    return hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()
