"""Turns of made-up cost curves whose crossings are known in closed form."""

import numpy as np
import pytest

from bundler.choice import FloatArray, IntArray
from bundler.explain.turning import NEVER, first_turn

LADDER = np.geomspace(1.02, 2.5, 40)


def lines(slopes: list[float], heights: list[float]):  # type: ignore[no-untyped-def]
    """Return the exact cost of courses that are straight in the value."""
    slope, height = np.array(slopes), np.array(heights)

    def exact(value: float, some: IntArray) -> FloatArray:
        return height[some] + slope[some] * value

    coarse = height[:, None] + slope[:, None] * LADDER
    return exact, coarse


def test_crossing_of_two_lines() -> None:
    """10 x against 8 + 4 x: they cross at x = 4 / 3."""
    exact, coarse = lines([10.0, 4.0], [0.0, 8.0])
    turn = first_turn(exact, 1.0, LADDER, coarse, np.array([0, 1]), 0)
    assert turn.at == pytest.approx(4 / 3, rel=1e-7)
    assert turn.code == 1


def test_other_courses_of_the_same_decision_put_the_turn_off() -> None:
    """A second course of the decision, 12 + x, takes over at 12 / 9 and is overtaken at 1.5."""
    exact, coarse = lines([10.0, 1.0, -7.0], [0.0, 12.0, 24.0])
    turn = first_turn(exact, 1.0, LADDER, coarse, np.array([0, 0, 1]), 0)
    assert turn.at == pytest.approx(1.5, rel=1e-7)


def test_a_coarse_table_that_is_off_near_the_start_is_not_believed() -> None:
    """The coarse costs call a turn at the first step; the exact ones have it at 4 / 3."""
    exact, coarse = lines([10.0, 4.0], [0.0, 8.0])
    coarse[0, :3] += 3.0
    turn = first_turn(exact, 1.0, LADDER, coarse, np.array([0, 1]), 0)
    assert turn.at == pytest.approx(4 / 3, rel=1e-7)


def test_no_turn_where_none_is() -> None:
    exact, coarse = lines([1.0, 1.0], [0.0, 5.0])
    assert first_turn(exact, 1.0, LADDER, coarse, np.array([0, 1]), 0) is NEVER
    assert first_turn(exact, 1.0, LADDER, coarse, np.array([0, 0]), 0) is NEVER


def test_downward_ladder() -> None:
    exact, _ = lines([-10.0, -4.0], [0.0, -4.5])
    down = 1 / LADDER
    slope, height = np.array([-10.0, -4.0]), np.array([0.0, -4.5])
    coarse = height[:, None] + slope[:, None] * down
    turn = first_turn(exact, 1.0, down, coarse, np.array([0, 1]), 0)
    assert turn.at == pytest.approx(0.75, rel=1e-7)
