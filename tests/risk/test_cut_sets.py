"""Minimal cut sets and the chance of the top event against published trees and all states."""

from itertools import product

import numpy as np
import pytest

from bundler.risk.cut_sets import (
    CutSets,
    cut_sets_of,
    cut_sets_of_lines,
    exact_chance,
    min_cut_bound,
    minimal,
    rare_event_chance,
)

#: the bridge: arms 0, 1 to the middle, 3, 4 from it, 2 across
BRIDGE: CutSets = ((0, 1), (3, 4), (0, 2, 4), (1, 2, 3))
#: tank, relay K2, switch S, then S1, K1 and the timer
PRESSURE_TANK: CutSets = ((0,), (1,), (2, 3), (2, 4), (2, 5))
PRESSURE_TANK_Q = np.array([5e-6, 3e-5, 1e-4, 3e-5, 5e-6, 1e-4])
MOORING_Q = np.array(
    [1.73e-5, 4.20e-3, 9.31e-3, 8.64e-3, 8.95e-6, 8.95e-6, 9.93e-5, 4.37e-5, 5.46e-8, 4.17e-3]
)


def by_states(sets: CutSets, q: np.ndarray) -> float:
    """Return the top chance by trying all states."""
    total = 0.0
    for state in product((0, 1), repeat=len(q)):
        if any(all(state[member] for member in own) for own in sets):
            total += float(np.prod([p if out else 1 - p for out, p in zip(state, q, strict=True)]))
    return total


def test_minimal_drops_repeats_and_what_holds_another() -> None:
    assert minimal([(2, 1), (1, 2), (0, 1, 2), (3,), (3, 1), (4, 4)]) == ((3,), (4,), (1, 2))
    assert minimal([(1,), ()]) == ((),)
    assert minimal([]) == ()


@pytest.mark.parametrize(
    ("lines", "needed", "each", "works"),
    [(3, 2, 0.9, 0.972), (3, 2, 0.95, 0.99275), (4, 3, 0.9, 0.9477), (4, 2, 0.9, 0.9963),
     (2, 1, 0.9, 0.99)],
)  # fmt: skip
def test_lines_of_which_some_are_needed(lines: int, needed: int, each: float, works: float) -> None:
    """The binomial sums, exactly."""
    sets = cut_sets_of_lines([(number,) for number in range(lines)], needed)
    assert 1 - exact_chance(sets, np.full(lines, 1 - each)) == pytest.approx(works, rel=1e-12)


def test_lines_with_members_in_series() -> None:
    """A pump and its motor a line, one of two needed: one of each line, by hand."""
    assert cut_sets_of_lines([(0, 1), (2, 3)], 1) == ((0, 2), (0, 3), (1, 2), (1, 3))
    assert cut_sets_of_lines([(0, 1), (2, 3)], 2) == ((0,), (1,), (2,), (3,))
    # a supply that both lines have in common is a cut set of its own
    assert cut_sets_of_lines([(0, 4), (2, 4)], 1) == ((4,), (0, 2))
    assert cut_sets_of_lines([(0,), (1,)], 0) == ()
    assert cut_sets_of_lines([(0,), (1,)], 3) == ((),)


@pytest.mark.parametrize("needed", [1, 2, 3])
def test_cut_sets_of_lines_are_those_of_the_structure(needed: int) -> None:
    lines = [(0, 1), (2,), (3, 4)]

    def is_failed(state: tuple[bool, ...]) -> bool:
        return sum(not any(state[member] for member in line) for line in lines) < needed

    assert cut_sets_of_lines(lines, needed) == cut_sets_of(is_failed, 5)


def test_bridge() -> None:
    """All 0.9: 0.97848, the textbook figure."""
    q = np.full(5, 0.1)
    assert 1 - exact_chance(BRIDGE, q) == pytest.approx(0.97848, rel=1e-12)
    assert 1 - by_states(BRIDGE, q) == pytest.approx(0.97848, rel=1e-12)
    paths = ((0, 3), (1, 4), (0, 2, 4), (1, 2, 3))

    def is_failed(state: tuple[bool, ...]) -> bool:
        return not any(all(not state[member] for member in path) for path in paths)

    assert cut_sets_of(is_failed, 5) == BRIDGE


def test_pressure_tank() -> None:
    """Published 3.5013348120867e-5: NASA Fault Tree Handbook with Aerospace Applications (2002),
    tree "pt" of the FFORT benchmark suite; exactly 3.501334916e-5, which differs in the 8th digit.
    """
    exact = float(exact_chance(PRESSURE_TANK, PRESSURE_TANK_Q))
    assert exact == pytest.approx(3.5013348120867e-5, rel=1e-7)
    assert exact == pytest.approx(3.501334916e-5, rel=1e-9)
    assert exact == pytest.approx(by_states(PRESSURE_TANK, PRESSURE_TANK_Q), rel=1e-12)
    assert rare_event_chance(PRESSURE_TANK, PRESSURE_TANK_Q) == pytest.approx(3.50135e-5, rel=1e-9)
    bound = float(min_cut_bound(PRESSURE_TANK, PRESSURE_TANK_Q))
    assert bound == pytest.approx(3.501334953e-5, rel=1e-9)
    assert exact < bound < rare_event_chance(PRESSURE_TANK, PRESSURE_TANK_Q)


def test_two_more_published_trees() -> None:
    """Compression seals and mooring A1 of the same suite."""
    seals: CutSets = ((0, 1), (2, 3, 4, 5))
    found = exact_chance(seals, np.array([0.1, 1e-5, 1e-3, 1e-3, 1e-3, 1e-3]))
    assert found == pytest.approx(1.000000999999e-6, rel=1e-12)
    mooring = tuple((number,) for number in range(10))
    assert exact_chance(mooring, MOORING_Q) == pytest.approx(0.026246389824230341, rel=1e-12)
    # single members: the bound is exact
    assert min_cut_bound(mooring, MOORING_Q) == pytest.approx(0.026246389824230341, rel=1e-12)


def test_made_up_trees_against_all_states() -> None:
    """Fifty trees of up to 8 members; the three figures keep their order."""
    rng = np.random.default_rng(7)
    for _ in range(50):
        count = int(rng.integers(2, 9))
        picked = [
            rng.choice(count, int(rng.integers(1, min(count, 4) + 1)), False) for _ in range(5)
        ]
        sets, q = minimal([map(int, own) for own in picked]), rng.uniform(0, 1, count)
        exact = float(exact_chance(sets, q))
        assert exact == pytest.approx(by_states(sets, q), rel=1e-12, abs=1e-15)
        bound = float(min_cut_bound(sets, q))
        assert exact <= bound * (1 + 1e-12)
        assert bound <= rare_event_chance(sets, q) * (1 + 1e-12)


def test_many_cells_at_once_and_the_ends() -> None:
    q = np.linspace(0, 1, 6)[None, :] * np.ones((5, 1))
    found = exact_chance(BRIDGE, q)
    assert found == pytest.approx([by_states(BRIDGE, one) for one in q.T], abs=1e-15)
    assert found[[0, -1]] == pytest.approx([0, 1], abs=0)
    assert min_cut_bound(BRIDGE, q)[-1] == 1
    assert exact_chance((), q).tolist() == [0.0] * 6
    assert exact_chance(((),), q).tolist() == [1.0] * 6
