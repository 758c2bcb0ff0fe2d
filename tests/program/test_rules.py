"""Each rule has a contract, a line in the developer page, and a stored LP text."""

from pathlib import Path

import pulp
import pytest

from bundler.program.build import RULES, build_program
from tests.choices import Small, choices

GOLDEN = Path(__file__).parent / "golden"
DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"

#: the smallest problem in which each rule has a row
SMALLEST = {
    "one_course": Small([5.0], [[(3.0, "O", {}, "", 0.0), (4.0, "O", {}, "", 0.0)]]),
    "limits": Small(
        [5.0, 6.0],
        [[(3.0, "O", {"r": 7.0}, "", 0.0)], [(2.0, "O", {"r": 8.0}, "", 0.0)]],
        limits={"r": 10.0}, per_day={"r": 2.0}, most_days=3.0,
    ),
    "outage_days": Small([5.0], [[(3.0, "O", {}, "", 2.0)]], day_costs={"O": 9.0}, most_days=4.0),
    "access": Small(
        [5.0, 6.0],
        [[(3.0, "O", {}, "s", 0.0)], [(2.0, "O", {}, "s", 0.0)]],
        access={"s": (1.5, {})},
    ),
    "links": Small(
        [5.0, 6.0],
        [[(3.0, "O", {}, "", 0.0)], [(2.0, "O", {}, "", 0.0)]],
        links=[([(0, 0, 1.0), (1, 0, -1.0)], 0.0)],
    ),
}  # fmt: skip


def lp_text(small: Small, path: Path) -> str:
    program = build_program(choices(small))
    assert isinstance(program.problem, pulp.LpProblem)
    program.problem.writeLP(str(path))
    return path.read_text(encoding="utf-8")


def test_every_rule_has_a_contract_and_a_smallest_problem() -> None:
    assert {rule.NAME for rule in RULES} == set(SMALLEST)
    for rule in RULES:
        assert rule.FORMULA and rule.PRICE and rule.__doc__


def test_every_rule_stands_in_the_developer_page() -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    for rule in RULES:
        assert f"| `{rule.NAME}` | {rule.FORMULA} | {rule.PRICE} |" in text, rule.NAME


@pytest.mark.parametrize("name", sorted(SMALLEST))
def test_lp_text(name: str, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """The LP text of the smallest problem is as stored; --update rewrites it for review."""
    text = lp_text(SMALLEST[name], tmp_path / "rule.lp")
    stored = GOLDEN / f"{name}.lp"
    if request.config.getoption("--update"):
        stored.write_text(text, encoding="utf-8")
    assert text == stored.read_text(encoding="utf-8")
    assert any(name in line for line in text.splitlines()), "the rule has no row in its own problem"


def test_no_golden_text_is_orphaned() -> None:
    assert {path.stem for path in GOLDEN.glob("*.lp")} == set(SMALLEST)
