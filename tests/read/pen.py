"""A pen to spoil a copy of a station in a test."""

import csv
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

Cells = list[list[str]]


@dataclass(frozen=True)
class Pen:
    """Writes into the folder of a copied station; rows are counted as in the file."""

    folder: Path
    monkeypatch: pytest.MonkeyPatch

    def path(self, table: str) -> Path:
        return self.folder / f"{table}.csv"

    def _change(self, table: str, change: Callable[[Cells], None]) -> None:
        with self.path(table).open(encoding="utf-8", newline="") as lines:
            cells = list(csv.reader(lines))
        change(cells)
        with self.path(table).open("w", encoding="utf-8", newline="") as lines:
            csv.writer(lines, lineterminator="\n").writerows(cells)

    def cell(self, table: str, row: int, column: str, value: str) -> None:
        """Write one cell; a column that is not there is added, empty in all other rows."""

        def change(cells: Cells) -> None:
            if column not in cells[0]:
                for number, line in enumerate(cells):
                    line.append("" if number else column)
            cells[row - 1][cells[0].index(column)] = value

        self._change(table, change)

    def row(self, table: str, **values: str) -> None:
        """Add a row; the table is made if it is not there."""
        if not self.path(table).exists():
            self.text(f"{table}.csv", ",".join(values) + "\n")
        for column in values:
            self.cell(table, 1, column, column)

        self._change(table, lambda cells: cells.append([values.get(name, "") for name in cells[0]]))

    def drop_row(self, table: str, row: int) -> None:
        self._change(table, lambda cells: cells.__delitem__(row - 1))

    def drop_column(self, table: str, column: str) -> None:
        def change(cells: Cells) -> None:
            place = cells[0].index(column)
            for line in cells:
                del line[place]

        self._change(table, change)

    def text(self, name: str, text: str) -> None:
        (self.folder / name).write_text(text, encoding="utf-8", newline="")

    def replace(self, name: str, old: str, new: str) -> None:
        text = (self.folder / name).read_text(encoding="utf-8")
        assert old in text
        self.text(name, text.replace(old, new, 1))

    def setting(self, name: str, value: str) -> None:
        """Write one setting, in its line if it has one."""
        path = self.folder / "station.yaml"
        lines = path.read_text(encoding="utf-8").splitlines()
        found = [number for number, line in enumerate(lines) if line.startswith(f"{name}:")]
        line = f"{name}: {value}"
        lines = [*lines, line] if not found else lines
        if found:
            lines[found[0]] = line
        self.text("station.yaml", "\n".join(lines) + "\n")

    def lock(self, name: str) -> None:
        """Let one file refuse to be opened."""
        plain = Path.read_bytes

        def read_bytes(path: Path) -> bytes:
            if path.name == name:
                raise PermissionError(13, "Permission denied")
            return plain(path)

        self.monkeypatch.setattr(Path, "read_bytes", read_bytes)
