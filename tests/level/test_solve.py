"""Levelling: against every schedule there is of small problems, and rule by rule with answers by hand."""

import numpy as np
import pandas as pd
import pytest

from bundler.errors import NoPlanError
from bundler.level import solve
from bundler.level.arrays import parts_of
from bundler.level.bounds import finish_bound
from bundler.level.cliques import cliques
from bundler.level.problem import Levelled, Problem
from bundler.level.solve import Effort, level
from tests.level.checking import best_by_hand, faults_of, problem
from tests.level.drawn import drawn

SHORT = Effort(work=2.0, tries=5, even_share=0.5)


def rank(given: Problem, levelled: Levelled) -> tuple[int, int, int]:
    value = dict(zip(given.tasks["task"], given.tasks["value"], strict=True))
    left = sum(int(value[task]) for task in levelled.left_out)
    return left, levelled.finish, len(levelled.bands)


def starts(levelled: Levelled) -> dict[str, int]:
    return {row.task: int(row.start) for row in levelled.starts.itertuples()}


@pytest.mark.parametrize("seed", range(30))
def test_the_best_of_all_schedules_is_found_and_proven(seed: int) -> None:
    """All modes, starts, omissions and bands of three tasks enumerated."""
    given = drawn(seed)
    best = best_by_hand(given)
    if best is None:
        with pytest.raises(NoPlanError):
            level(given, SHORT)
        return
    levelled = level(given, SHORT)
    assert not faults_of(given, levelled)
    assert rank(given, levelled) == best
    assert levelled.is_proven and levelled.left_bound == best[0]


@pytest.mark.parametrize("seed", range(8))
def test_the_solver_alone_finds_them_too(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a first schedule nothing is there to hide a fault of the constraint program."""
    monkeypatch.setattr(solve, "serial", lambda *_, **__: None)
    given = drawn(seed)
    best = best_by_hand(given)
    if best is None:
        with pytest.raises(NoPlanError):
            level(given, SHORT)
    else:
        assert rank(given, level(given, SHORT)) == best


def test_the_drawn_problems_hold_what_they_should() -> None:
    """Some have no schedule, some leave tasks out, some use bands: or the tests above say little."""
    found = [best_by_hand(drawn(seed)) for seed in range(30)]
    assert any(one is None for one in found)
    assert any(one[0] for one in found if one) and any(one[2] for one in found if one)


def two_jobs(**more: list[tuple[object, ...]]) -> Problem:
    """Return two tasks of 2 slots that each take the one crew there is, in 10 slots."""
    tables: dict[str, list[tuple[object, ...]]] = {
        "tasks": [("a", 0, 10, 0), ("b", 0, 10, 0)], "modes": [("a", 1, 2), ("b", 1, 2)],
        "needs": [("a", 1, "crew", 1), ("b", 1, "crew", 1)], "resources": [("crew", 1, False)],
    }  # fmt: skip
    return problem(**{**tables, **more})


def test_more_taken_than_there_is_is_full() -> None:
    """Slots 0 and 1 hold 3 of 1: both jobs come after them, 2 to 6."""
    levelled = level(two_jobs(taken=[("crew", 0, 2, 3)]), SHORT)
    assert levelled.finish == levelled.finish_bound == 6


def test_a_band_is_used_where_it_ends_sooner_and_only_there() -> None:
    """Both at once from 0 to 2 in the first band; the second would be of no use."""
    bands: list[tuple[object, ...]] = [("crew", 0, 4, 1), ("crew", 4, 8, 1)]
    levelled = level(two_jobs(bands=bands), SHORT)
    assert levelled.finish == 2
    assert levelled.bands.to_numpy().tolist() == [["crew", 0, 4]]
    assert level(two_jobs(bands=bands, band_most=[("crew", 0)]), SHORT).finish == 4


def test_a_band_that_saves_nothing_is_not_used() -> None:
    """A third task of 4 slots without a crew: the finish is 4 with and without the band."""
    levelled = level(
        two_jobs(
            tasks=[("a", 0, 10, 0), ("b", 0, 10, 0), ("long", 0, 10, 0)],
            modes=[("a", 1, 2), ("b", 1, 2), ("long", 1, 4)],
            bands=[("crew", 0, 4, 1)],
        ),
        SHORT,
    )
    assert levelled.finish == 4 and levelled.bands.empty


def test_the_dearest_stay_in() -> None:
    """Room for one of three: of 3, 5 and 4 the one of 5 runs, 7 is left out."""
    levelled = level(
        two_jobs(
            tasks=[("a", 0, 3, 3), ("b", 0, 3, 5), ("c", 0, 3, 4)],
            modes=[("a", 1, 2), ("b", 1, 2), ("c", 1, 2)],
            needs=[(name, 1, "crew", 1) for name in "abc"],
        ),
        SHORT,
    )
    assert levelled.left_out == ("a", "c") and levelled.left_bound == 7
    assert levelled.status == "proven"


def test_what_needs_another_goes_with_it() -> None:
    """a cannot run in its window (2 slots into 1), so b, which needs it, is left out too."""
    asked = {"tasks": [("a", 0, 1, 1), ("b", 0, 10, 9)]}
    assert level(two_jobs(**asked, follows=[("a", "b", 0, True)]), SHORT).left_out == ("a", "b")
    assert level(two_jobs(**asked, follows=[("a", "b", 0, False)]), SHORT).left_out == ("a",)


def test_a_lag_below_the_horizon_binds_presence_alone() -> None:
    """b needs a, and a needs b: neither can run without the other, whichever is first."""
    both: list[tuple[object, ...]] = [("a", "b", 0, True), ("b", "a", -10, True)]
    tasks: list[tuple[object, ...]] = [("a", 0, 10, 3), ("b", 0, 3, 1)]
    assert level(two_jobs(tasks=tasks, follows=both), SHORT).left_out == ("a", "b")
    assert level(two_jobs(follows=both), SHORT).finish == 4


def test_evenness_lowers_the_peak_where_the_finish_stays() -> None:
    """Beside 6 slots of c, a and b can run one after the other: a peak of 1 in the place of 2."""
    given = problem(
        tasks=[("a", 0, 10, 0), ("b", 0, 10, 0), ("c", 0, 10, 0)],
        modes=[("a", 1, 2), ("b", 1, 2), ("c", 1, 6)],
        needs=[("a", 1, "crew", 1), ("b", 1, "crew", 1)],
        resources=[("crew", 5, False)],
    )
    times = {even: starts(level(given, Effort(2.0, 5, even_share=even))) for even in (0.0, 0.5)}
    assert times[0.0]["a"] == times[0.0]["b"] == 0
    assert abs(times[0.5]["a"] - times[0.5]["b"]) >= 2
    unweighed = Effort(2.0, 5, even_share=0.5, weights=(("crew", 0),))
    assert starts(level(given, unweighed)) == times[0.0]


def crowd(count: int = 14) -> Problem:
    """Return tasks of many lengths in a narrow crew: nothing is proven at once."""
    rng = np.random.default_rng(5)
    names = [f"t{n:02d}" for n in range(count)]
    length, size = rng.integers(2, 9, count), rng.integers(1, 5, (count, 2))
    return problem(
        tasks=[(name, 0, 120, 0) for name in names],
        modes=[(n, 1, int(d)) for n, d in zip(names, length, strict=True)],
        needs=[(n, 1, r, int(s[k])) for n, s in zip(names, size, strict=True) for k, r in enumerate("pq")],
        resources=[("p", 6, False), ("q", 6, False)],
        follows=[(names[n], names[n + 4], 1, False) for n in range(0, count - 4, 3)],
    )  # fmt: skip


@pytest.mark.parametrize("workers_count", [1, 2])
def test_the_same_problem_gives_the_same_schedule(workers_count: int) -> None:
    given, effort = crowd(), Effort(0.3, 3, 60.0, workers_count)
    first, second = level(given, effort), level(given, effort)
    pd.testing.assert_frame_equal(first.starts, second.starts)
    assert (first.finish_bound, first.status) == (second.finish_bound, second.status)


def test_the_order_of_rows_changes_nothing() -> None:
    given = crowd()
    mixed = Problem(**{
        name: getattr(given, name).sample(frac=1.0, random_state=3).reset_index(drop=True)
        for name in Problem.__dataclass_fields__
    })  # fmt: skip
    first, second = (level(one, Effort(0.3, 3)) for one in (given, mixed))
    pd.testing.assert_frame_equal(first.starts, second.starts)


def test_a_search_that_the_clock_ends_says_so() -> None:
    """No time at all: the first schedule stands, with the bound that needs no solver."""
    given = crowd(40)
    levelled = level(given, Effort(50.0, 0, most_seconds=0.0))
    assert levelled.status == "found, ended by the clock"
    assert not faults_of(given, levelled)
    assert levelled.finish_bound == finish_bound(parts_of(given), 0) < levelled.finish


def test_what_cannot_be_is_told() -> None:
    ring: list[tuple[object, ...]] = [("a", "b", 0, False), ("b", "a", 0, False)]
    with pytest.raises(NoPlanError, match="in a ring: .*a.* before .*b"):
        level(two_jobs(follows=ring), SHORT)
    with pytest.raises(NoPlanError, match="Task a may not be left out"):
        level(two_jobs(tasks=[("a", 0, 1, 0), ("b", 0, 10, 0)]), SHORT)
    with pytest.raises(NoPlanError, match="No schedule keeps"):
        level(two_jobs(tasks=[("a", 0, 3, 0), ("b", 0, 3, 0)]), SHORT)
    with pytest.raises(ValueError, match="follows names c, which is not there"):
        level(two_jobs(follows=[("a", "c", 0, False)]), SHORT)


def test_nothing_to_do() -> None:
    assert level(problem(), SHORT).status == "nothing runs"
    none = level(two_jobs(tasks=[("a", 0, 1, 1), ("b", 0, 1, 1)]), SHORT)
    assert none.status == "nothing runs" and none.left_out == ("a", "b") and none.is_proven


def test_progress_is_told_in_order() -> None:
    told: list[float] = []
    level(two_jobs(), SHORT, lambda _, share: told.append(share))
    assert told == sorted(told) and told[0] == 0.0 and told[-1] == 1.0


def test_groups_that_are_all_apart_hold_every_pair_and_no_other() -> None:
    rng = np.random.default_rng(2)
    pairs = np.array([(i, j) for i in range(12) for j in range(i + 1, 12) if rng.random() < 0.6])
    known = {tuple(pair) for pair in pairs.tolist()}
    held = {(i, j) for group in cliques(pairs) for n, i in enumerate(group) for j in group[n + 1 :]}
    assert held == known
    assert cliques(np.array([[0, 1], [0, 2], [1, 2]])) == [[0, 1, 2]]
