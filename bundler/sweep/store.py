"""The folder of a sweep: every finished run is kept at once, in a file that is whole or absent."""

import os
from pathlib import Path

from bundler.errors import BundlerError
from bundler.sweep.done import Done, done_of, text_of

#: folder of the runs in that of the sweep, and the tables beside it
RUNS = "runs"
TABLES = ("sweep", "sweep_works", "sweep_firm", "sweep_seconds")
NAMES = frozenset({RUNS, *(f"{name}.csv" for name in TABLES)})
#: end of a file that is being written
FRESH = ".fresh"


def check_folder(folder: Path) -> None:
    """Raise a BundlerError with one sentence if a sweep may not be written to the folder."""
    names = {path.name for path in folder.iterdir()} if folder.is_dir() else set()
    others = {name for name in names - NAMES if not name.endswith(FRESH)}
    if others or (folder.exists() and not folder.is_dir()):
        raise BundlerError(
            f"{folder} holds more than an earlier sweep, so it is left as it is. "
            "Move your files out of it, or name another folder with --out."
        )


def write_whole(path: Path, text: str) -> None:
    """Write a file beside its place and move it there, so that it is never half there.

    Raises BundlerError if it cannot be written.
    """
    fresh = path.with_name(f"{path.name}.{os.getpid()}{FRESH}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh.write_text(text, encoding="utf-8", newline="")
        fresh.replace(path)
    except OSError as fault:
        fresh.unlink(missing_ok=True)
        raise BundlerError(
            f"{path} could not be written ({fault.strerror}). Free the space or name another "
            "folder with --out; runs that are finished are kept."
        ) from fault


class Store:
    """The finished runs in a folder, by the key of what they hang on."""

    def __init__(self, folder: Path) -> None:
        check_folder(folder)
        self.folder = folder / RUNS

    def _path(self, key: str) -> Path:
        return self.folder / f"{key[:40]}.json"

    def read(self, key: str) -> Done | None:
        """Return a finished run; None where there is none, or none that can be read."""
        try:
            return done_of(key, self._path(key).read_text(encoding="utf-8"))
        except (OSError, UnicodeDecodeError):
            return None

    def write(self, key: str, done: Done) -> None:
        """Keep a finished run; raises BundlerError if it cannot be written."""
        write_whole(self._path(key), text_of(key, done))

    def tidy(self) -> None:
        """Delete what writers that were killed left half written."""
        for folder in (self.folder, self.folder.parent):
            for path in folder.glob(f"*{FRESH}"):
                path.unlink(missing_ok=True)
