"""Every rule of the station has its line, its file, its four tests, its LP text and its judge."""

import ast
import csv
import re
from pathlib import Path

import pytest

import bundler

HERE, PACKAGE = Path(__file__).parent, Path(bundler.__file__).parent
README = PACKAGE.parent / "README.md"
WORDS = ("binds", "does_not_bind", "lp_text", "breach")


def register() -> list[dict[str, str]]:
    with (PACKAGE / "rules.csv").open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


RULES = register()


def names_of(number: int) -> list[str]:
    """Return the names of the tests of a rule."""
    names = []
    for path in HERE.glob("test_*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        names += [node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    return [name for name in names if name.startswith(f"test_rule_{number:02d}_")]


def test_all_thirty_rules_are_there_in_order() -> None:
    assert [int(rule["number"]) for rule in RULES] == list(range(1, 31))
    assert all(all(rule.values()) for rule in RULES)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule["rule"])
def test_rule_has_its_tests_and_its_lp_text(rule: dict[str, str]) -> None:
    number = int(rule["number"])
    for word in WORDS:
        start = f"test_rule_{number:02d}_{word}"
        assert any(name.startswith(start) for name in names_of(number)), start
    assert list((HERE / "golden").glob(f"{number:02d}_*.lp"))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule["rule"])
def test_rule_has_its_files_and_its_judge(rule: dict[str, str]) -> None:
    for path in rule["held_by"].split():
        assert (PACKAGE / path).is_file(), path
    judged = "\n".join(
        path.read_text(encoding="utf-8") for path in (PACKAGE / "judge").glob("*.py")
    )
    known = set(re.findall(r'Breach\(\s*f?"([a-z_]+)"', judged))
    assert set(rule["judged_as"].split()) <= known


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule["rule"])
def test_rule_has_its_line_in_the_readme(rule: dict[str, str]) -> None:
    line = "| {number} | {rule} | {words} | {tables} | {moved_by} |".format(**rule)
    assert line in README.read_text(encoding="utf-8")


def test_no_lp_text_is_orphaned() -> None:
    numbers = {int(path.name[:2]) for path in (HERE / "golden").glob("*.lp")}
    assert numbers == set(range(1, 31))
