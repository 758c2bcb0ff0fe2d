"""Each rule has a contract, a line in the developer page, and a stored LP text."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pulp
import pytest

from bundler.choice import Choices, Lives, Tail
from bundler.program.build import RULES, build_elastic, build_program
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
    "tail": Small(
        [5.0],
        [[(3.0, "O", {}, "", 0.0)]],
        tail=Tail(
            Lives(2, weight_share=0.25, worst_share=0.5), np.array([0.5, 0.5]),
            np.array([[4.0, 8.0], [1.0, 0.0]]),
        ),
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


def test_without_weight_the_tail_adds_no_row_and_costs_are_means() -> None:
    """At w = 0 the program is the plain one with the mean risk over scenarios."""
    small = SMALLEST["tail"]
    assert small.tail is not None
    tail = replace(small.tail, lives=replace(small.tail.lives, weight_share=0.0))
    program = build_program(replace_choices(small, tail))
    assert not any(rule == "tail" for rule, _ in program.rows) and not program.u
    objective = program.problem.objective
    assert objective is not None
    for x in program.x.values():
        x.varValue = 0.0
    program.x[0].varValue = 1.0
    assert objective.value() == pytest.approx(0.0 + 6.0)
    program.x[0].varValue, program.x[1].varValue = 0.0, 1.0
    assert objective.value() == pytest.approx(3.0 + 0.5)


def replace_choices(small: Small, tail: Tail | None) -> Choices:
    return replace(choices(small), tail=tail)


def test_what_is_missing_is_asked_without_the_tail() -> None:
    """When nothing fits, only limits are looked at."""
    assert not build_elastic(choices(SMALLEST["tail"]), set()).u
