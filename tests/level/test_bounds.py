"""Lower bounds: closed forms by hand, and never above the best of all schedules of small problems."""

import pytest

from bundler.errors import NoPlanError
from bundler.level.arrays import parts_of
from bundler.level.bounds import finish_bound, is_refuted, must_run, path_bound
from bundler.level.problem import Problem
from tests.level.checking import best_by_hand, problem
from tests.level.drawn import drawn


def equal(count: int, length: int, amount: int, **more: list[tuple[object, ...]]) -> Problem:
    """Return equal tasks on one crew of this amount."""
    names = [f"t{number}" for number in range(count)]
    tables: dict[str, list[tuple[object, ...]]] = {
        "tasks": [(name, 0, 60, 0) for name in names],
        "modes": [(name, 1, length) for name in names],
        "needs": [(name, 1, "crew", 2) for name in names],
        "resources": [("crew", amount, False)],
    }
    return problem(**{**tables, **more})


def test_the_longest_path_with_lags_and_a_late_start() -> None:
    """Starts at 3, 4 long, 2 between, 4 long: 13; the third alone ends at 4."""
    given = equal(3, 4, 100, tasks=[("t0", 3, 60, 0), ("t1", 0, 60, 0), ("t2", 0, 60, 0)],
                  follows=[("t0", "t1", 2, False)])  # fmt: skip
    parts = parts_of(given)
    assert path_bound(parts, must_run(parts, 0)) == 13 == finish_bound(parts, 0)


def test_a_path_takes_the_shortest_mode() -> None:
    given = equal(2, 4, 100, modes=[("t0", 1, 4), ("t0", 2, 3), ("t1", 1, 4)],
                  needs=[], follows=[("t0", "t1", 0, False)])  # fmt: skip
    assert finish_bound(parts_of(given), 0) == 7


@pytest.mark.parametrize(("amount", "finish"), [(2, 15), (3, 10), (4, 8), (5, 6), (6, 5), (100, 3)])
def test_work_over_capacity(amount: int, finish: int) -> None:
    """Five tasks of 3 slots x 2: work of 30 over the amount, rounded up, at least 3 (closed form)."""
    assert finish_bound(parts_of(equal(5, 3, amount)), 0) == finish


def test_what_others_hold_and_what_bands_add() -> None:
    """Work of 30: 2 of 3 are held for 6 slots, 6 + (30 - 6) / 3 = 14; bands of 3 there, 30 / 4."""
    taken: list[tuple[object, ...]] = [("crew", 0, 6, 2)]
    assert finish_bound(parts_of(equal(5, 3, 3, taken=taken)), 0) == 14
    more = equal(5, 3, 3, taken=taken, bands=[("crew", 0, 6, 3)])
    assert finish_bound(parts_of(more), 0) == 8


def test_work_squeezed_between_heads_and_tails() -> None:
    """Four tasks one at a time, 3 each, between 5 before and 4 after: 5 + 12 + 4."""
    names = ["t0", "t1", "t2", "t3"]
    given = equal(
        0, 3, 2,
        tasks=[(name, 0, 60, 0) for name in ["begin", *names, "end"]],
        modes=[("begin", 1, 5), *((name, 1, 3) for name in names), ("end", 1, 4)],
        needs=[(name, 1, "crew", 2) for name in names],
        follows=[*(("begin", name, 0, False) for name in names),
                 *((name, "end", 0, False) for name in names)],
    )  # fmt: skip
    parts = parts_of(given)
    assert path_bound(parts, must_run(parts, 0)) == 12
    assert finish_bound(parts, 0) == 21


def test_only_what_must_run_counts() -> None:
    """Of values 5 and 2, leaving out at most 2 keeps the first; what it needs runs with it."""
    given = equal(3, 4, 2, tasks=[("t0", 0, 60, 5), ("t1", 0, 60, 2), ("t2", 0, 60, 1)],
                  follows=[("t2", "t0", 0, True)])  # fmt: skip
    parts = parts_of(given)
    assert must_run(parts, 2).tolist() == [True, False, True]
    assert must_run(parts, 0).all()
    assert not must_run(parts, 8).any()
    assert [finish_bound(parts, left) for left in (8, 2, 0)] == [0, 8, 12]


@pytest.mark.parametrize("seed", range(40))
def test_no_bound_is_above_the_best_of_all_schedules(seed: int) -> None:
    given = drawn(seed)
    best = best_by_hand(given)
    try:
        parts = parts_of(given)
    except NoPlanError:
        assert best is None
        return
    if best is not None:
        left, finish, _ = best
        runs = must_run(parts, left)
        assert path_bound(parts, runs) <= finish_bound(parts, left) <= finish
        assert not is_refuted(parts, runs, finish)
