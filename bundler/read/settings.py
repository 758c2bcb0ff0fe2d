"""station.yaml to `Settings`: one plain value a line, nothing that YAML can do beyond that."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

from bundler.case import Settings
from bundler.errors import Finding
from bundler.nearest import asked, nearest
from bundler.read.cells import BadCellError, value_of
from bundler.read.files import Intake, text_of
from bundler.read.slips import SLIPS
from bundler.tables import Column, dictionary

NAME = "station.yaml"
#: largest settings file that is read [bytes]; our choice
MOST_BYTES = 1_000_000
#: plain words that mean "no value" in YAML
NOTHING = ("", "~", "null", "Null", "NULL")


class _StopError(Exception):
    """Reading cannot go on after this finding."""

    def __init__(self, finding: Finding) -> None:
        self.finding = finding
        super().__init__(finding.sentence)


def _stop(slip: str, row: int, column: str = "", **values: object) -> _StopError:
    return _StopError(SLIPS[slip].at(NAME, row, column, **values))


def _row(event: yaml.Event) -> int:
    return event.start_mark.line + 1 if event.start_mark else 0


def _text(event: yaml.Event, column: str) -> str:
    """Return the text of a value; lists, groups, anchors, aliases and tags are refused."""
    row = _row(event)
    if getattr(event, "anchor", None) or getattr(event, "tag", None):
        raise _stop("reference", row, column)
    if not isinstance(event, yaml.ScalarEvent):
        raise _stop("nested", row, column)
    value: str = event.value
    return "" if event.style is None and value in NOTHING else value.strip()


def _events(text: str) -> Iterator[tuple[str, str, int]]:
    """Return name, value and row of each setting, as text."""
    events = yaml.parse(text, Loader=yaml.SafeLoader)
    first = [next(events) for _ in range(2)]
    opened = next(events) if isinstance(first[1], yaml.DocumentStartEvent) else first[1]
    if not isinstance(opened, yaml.MappingStartEvent):
        raise _stop("no mapping", 0)
    for event in events:
        if isinstance(event, yaml.MappingEndEvent):
            break
        name = _text(event, "")
        yield name, _text(next(events), name), _row(event)
    next(events)
    last = next(events)
    if not isinstance(last, yaml.StreamEndEvent):
        raise _stop("no mapping", _row(last))


def _pairs(text: str, intake: Intake) -> list[tuple[str, str, int]]:
    """Return the settings that can be read; a fault ends them with a finding."""
    pairs: list[tuple[str, str, int]] = []
    try:
        for pair in _events(text):
            pairs.append(pair)
    except _StopError as stop:
        intake.findings.append(stop.finding)
    except yaml.MarkedYAMLError as fault:
        mark = fault.problem_mark
        why = str(fault.problem or "no reason told")
        intake.slip("broken yaml", NAME, mark.line + 1 if mark else 0, why=why)
    except (yaml.YAMLError, ValueError, OverflowError):
        intake.slip("broken yaml", NAME, why="a sign that is no text")
    return pairs


def _value(column: Column, text: str, row: int, intake: Intake) -> Any:
    try:
        return value_of(column, text)
    except BadCellError as fault:
        intake.findings.append(fault.at(NAME, row, column.column))
        return None


def read_settings(path: Path, intake: Intake) -> Settings | None:
    """Return the settings of a station; None, with findings in `intake`, if they are not whole."""
    text = text_of(path, intake, MOST_BYTES)
    if text is None:
        return None
    before = len(intake.findings)
    pairs = _pairs(text, intake)
    is_whole = len(intake.findings) == before
    columns = {column.column: column for column in dictionary()["settings"]}
    values: dict[str, Any] = {}
    meant: set[str] = set()
    free = set(columns) - {name for name, _, _ in pairs}
    for name, given, row in pairs:
        if name in values:
            intake.slip("setting twice", NAME, row, name)
        elif name in columns:
            values[name] = _value(columns[name], given, row, intake)
        else:
            near = nearest(name, free)
            meant.add(near)
            intake.slip("unknown setting", NAME, row, name, hint=asked(near))
    for column in columns.values() if is_whole else ():
        if column.is_required and column.column not in {*values, *meant}:
            intake.slip("missing setting", NAME, 0, column.column, meaning=column.meaning)
    return Settings(**values) if len(intake.findings) == before else None
