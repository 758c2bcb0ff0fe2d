"""station.yaml to Settings."""

from datetime import date
from pathlib import Path
from typing import Any

import yaml

from bundler.case import Settings
from bundler.errors import Finding
from bundler.read.cells import CellError, read_cell, suggestion
from bundler.tables import Column, dictionary

#: largest settings file that is read [bytes]
LARGEST = 1_000_000
NAME = "station.yaml"


class _Loader(yaml.SafeLoader):
    """Reads plain scalars as text and refuses aliases and double keys."""

    def compose_node(self, parent: Any, index: Any) -> Any:
        """Refuse aliases, which can make a small file huge."""
        if self.check_event(yaml.events.AliasEvent):
            raise yaml.YAMLError("aliases are not allowed")
        return super().compose_node(parent, index)


def _problem(found: str, allowed: str, remedy: str, column: str = "", row: int = 0) -> Finding:
    return Finding(NAME, row, column, found, allowed, remedy)


def _pairs(text: str) -> list[tuple[str, str, int]]:
    """Return key, value and line of each entry as text; raise YAMLError if it is not flat."""
    node = yaml.compose(text, Loader=_Loader)
    if not isinstance(node, yaml.MappingNode):
        raise yaml.YAMLError("the file is not a list of names with values")
    pairs = []
    for key, value in node.value:
        if not isinstance(key, yaml.ScalarNode) or not isinstance(value, yaml.ScalarNode):
            raise yaml.YAMLError(f"line {key.start_mark.line + 1} does not hold one plain value")
        pairs.append((key.value, value.value, key.start_mark.line + 1))
    return pairs


def _entries(path: Path, findings: list[Finding]) -> list[tuple[str, str, int]]:
    try:
        if path.stat().st_size > LARGEST:
            findings.append(
                _problem(
                    "the file is too large", "1 MB is allowed", "Keep only the settings in it."
                )
            )
            return []
        return _pairs(path.read_bytes().decode("utf-8-sig"))
    except UnicodeDecodeError:
        findings.append(
            _problem("the text is not UTF-8", "UTF-8 is allowed", "Save the file in UTF-8.")
        )
    except (yaml.YAMLError, RecursionError) as fault:
        mark = getattr(fault, "problem_mark", None)
        where = f" at line {mark.line + 1}" if mark else ""
        what = str(getattr(fault, "problem", None) or fault).splitlines()[0][:120]
        findings.append(
            _problem(
                f"the file cannot be read{where} ({what})",
                "one name and value a line is allowed",
                "Write it as planning_date: 2027-01-01.",
            )
        )
    except OSError as fault:
        findings.append(
            _problem(
                f"the file cannot be read ({fault.strerror})",
                "a readable file is needed",
                "Check its rights.",
            )
        )
    return []


def _value(column: Column, text: str, row: int, findings: list[Finding]) -> Any:
    try:
        value = read_cell(text.strip(), column)
        return int(value) if column.kind == "count" and value is not None else value
    except CellError as fault:
        found = f"{text!r} cannot be used" if text else "the value is empty"
        findings.append(_problem(found, fault.allowed, fault.remedy, column.column, row))
        return None


def read_settings(path: Path, findings: list[Finding]) -> Settings | None:
    """Return the settings, None if they cannot be used; findings are added."""
    columns = {column.column: column for column in dictionary()["settings"]}
    given: dict[str, Any] = {}
    before = len(findings)
    for key, text, row in _entries(path, findings):
        if key in given:
            findings.append(
                _problem(
                    "the name is there twice", "once is allowed", "Take one of them out.", key, row
                )
            )
        elif key not in columns:
            findings.append(
                _problem(
                    "the name is not known",
                    "only the settings of the dictionary are allowed",
                    suggestion(key, list(columns)),
                    key,
                    row,
                )
            )
        else:
            given[key] = _value(columns[key], text, row, findings)
    if len(findings) == before:
        for column in columns.values():
            if column.is_required and column.column not in given:
                findings.append(
                    _problem(
                        "the setting is missing",
                        "it is required",
                        f"Add it: {column.meaning}.",
                        column.column,
                    )
                )
    if len(findings) > before:
        return None
    assert isinstance(given["planning_date"], date)
    return Settings(**{key: value for key, value in given.items() if value is not None})
