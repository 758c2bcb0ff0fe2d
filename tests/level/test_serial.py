"""Schedules task by task: they hold, are never better than the best there is, and reach known ones."""

import numpy as np
import pandas as pd
import pytest

from bundler.errors import NoPlanError
from bundler.level.arrays import Parts, parts_of, turned
from bundler.level.board import Board, Placed
from bundler.level.problem import Levelled
from bundler.level.serial import put_in, serial
from tests.level.checking import best_by_hand, faults_of, problem
from tests.level.drawn import drawn


def levelled(parts: Parts, placed: Placed) -> Levelled:
    runs, used = np.flatnonzero(placed.mode >= 0), np.flatnonzero(placed.is_used(parts))
    starts = pd.DataFrame({
        "task": [parts.tasks[i] for i in runs], "mode": parts.modes.number[placed.mode[runs]],
        "start": placed.start[runs], "end": placed.end(parts)[runs],
    })  # fmt: skip
    bands = pd.DataFrame({"resource": [parts.resources[parts.bands.resource[b]] for b in used],
                          "start": parts.bands.start[used], "end": parts.bands.end[used]})  # fmt: skip
    left = tuple(parts.tasks[i] for i in np.flatnonzero(placed.mode < 0))
    return Levelled(starts, left, placed.rank(parts)[1], 0, bands, "found")


@pytest.mark.parametrize("seed", range(40))
def test_a_schedule_holds_and_is_no_better_than_the_best(seed: int) -> None:
    given = drawn(seed)
    try:
        parts = parts_of(given)
    except NoPlanError:
        return
    placed, best = serial(parts, finish=0, tries=5), best_by_hand(given)
    if placed is not None:
        assert not faults_of(given, levelled(parts, placed))
        assert best is not None and placed.rank(parts) >= best


def test_most_small_problems_are_solved_at_once() -> None:
    """Or the test above would say nothing; at least two thirds reach the best, most a schedule."""
    reached = []
    for seed in range(30):
        best = best_by_hand(drawn(seed))
        if best is not None:
            parts = parts_of(drawn(seed))
            placed = serial(parts, finish=0, tries=5)
            reached.append(placed is not None and placed.rank(parts)[:2] == best[:2])
    assert len(reached) >= 15 and np.mean(reached) >= 2 / 3


def chain_and_two() -> Parts:
    """Return a chain of 3 + 3 and two tasks of 2, one crew of 2, each takes 1: 6 slots at best."""
    return parts_of(problem(
        tasks=[(name, 0, 20, 0) for name in "abcd"],
        modes=[("a", 1, 3), ("b", 1, 3), ("c", 1, 2), ("d", 1, 2)],
        needs=[(name, 1, "crew", 1) for name in "abcd"],
        resources=[("crew", 2, False)], follows=[("a", "b", 0, False)],
    ))  # fmt: skip


def test_a_list_is_kept_and_the_best_list_ends_first() -> None:
    """c and d before a: 2, then the chain: 8; the chain first: c and d beside it: 6."""
    board = Board(chain_and_two(), np.zeros(0, dtype=np.int64))
    worst = put_in(board, np.array([3.0, 4.0, 1.0, 2.0]))
    assert worst is not None and worst.start.tolist() == [2, 5, 0, 0]
    best = put_in(board, np.array([1.0, 4.0, 2.0, 3.0]))
    assert best is not None and best.start.tolist() == [0, 3, 0, 2]
    found = serial(chain_and_two(), finish=6, tries=0)
    assert found is not None and found.rank(chain_and_two()) == (0, 6, 0)


def test_totals_are_left_for_those_that_come_later() -> None:
    """The quick mode of a takes all of the total that b cannot do without."""
    parts = parts_of(problem(
        tasks=[("a", 0, 20, 0), ("b", 0, 20, 0)],
        modes=[("a", 1, 1), ("a", 2, 5), ("b", 1, 2)],
        needs=[("a", 1, "parts", 3), ("b", 1, "parts", 1)],
        resources=[("parts", 3, True)],
    ))  # fmt: skip
    placed = serial(parts, finish=0, tries=0)
    assert placed is not None and parts.modes.number[placed.mode].tolist() == [2, 1]


def test_time_turned_twice_is_time_as_it_was() -> None:
    parts = parts_of(drawn(1))
    again = turned(turned(parts))
    for name in ("earliest", "latest", "base", "taken"):
        assert (getattr(again, name) == getattr(parts, name)).all()
    assert (again.follows.first == parts.follows.first).all()
    assert (again.bands.start == parts.bands.start).all()
    assert (turned(parts).earliest == parts.horizon - parts.latest).all()


def test_the_same_schedule_every_time() -> None:
    parts = chain_and_two()
    first, second = (serial(parts, finish=0, tries=20) for _ in range(2))
    assert first is not None and second is not None
    assert (first.start == second.start).all() and (first.mode == second.mode).all()


def test_peaks_count_what_others_hold() -> None:
    """a takes 1 from 0 to 2, others hold 2 from 1 to 3: 3 at once in slot 1."""
    parts = parts_of(problem(
        tasks=[("a", 0, 4, 0)], modes=[("a", 1, 2)], needs=[("a", 1, "crew", 1)],
        resources=[("crew", 3, False)], taken=[("crew", 1, 3, 2)],
    ))  # fmt: skip
    placed = serial(parts, finish=0, tries=0)
    assert placed is not None and placed.peaks(parts).tolist() == [3]
