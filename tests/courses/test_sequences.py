"""Every ordered choice of works, against itertools, due dates, and half measures."""

from itertools import combinations

import numpy as np
import pytest

from bundler.courses.sequences import DueRule, all_sequences


def test_all_choices_up_to_two_of_five() -> None:
    """1 + 5 + 10 choices; compared with itertools.combinations."""
    days = np.array([10.0, 20.0, 30.0, 40.0, 50.0])
    steps = all_sequences(days, days, most=2)
    found = {tuple(row[row >= 0]) for row in steps}
    wanted = {pair for count in range(3) for pair in combinations(range(5), count)}
    assert found == wanted
    assert len(steps) == 16


def test_works_at_the_same_time_exclude_each_other() -> None:
    days = np.array([10.0, 10.0, 20.0])
    found = {tuple(row[row >= 0]) for row in all_sequences(days, days, most=2)}
    assert (0, 1) not in found and (0, 2) in found and (1, 2) in found


def test_a_mandate_every_30_days_to_day_100() -> None:
    """Due at 35 first, then 30 days after each: of works at 20, 40, 60, 80 only the full row holds."""
    days = np.array([20.0, 40.0, 60.0, 80.0])
    rule = DueRule(np.ones(4, dtype=bool), 35.0, np.full(4, 30.0))
    steps = all_sequences(days, days, most=4, rules=(rule,), end_days=100.0)
    assert [tuple(row) for row in steps] == [(0, 1, 2, 3)]


def test_only_counting_work_meets_a_mandate() -> None:
    days = np.array([10.0, 20.0])
    rule = DueRule(np.array([False, True]), 25.0, np.full(2, np.inf))
    found = {
        tuple(row[row >= 0])
        for row in all_sequences(days, days, most=2, rules=(rule,), end_days=99.0)
    }
    assert found == {(1,), (0, 1)}


def test_no_work_at_all() -> None:
    none = np.zeros(0)
    assert all_sequences(none, none, most=2).tolist() == [[-1, -1]]


def follows_in_time(
    course: tuple[int, ...], days: np.ndarray, bridges: np.ndarray, whole: np.ndarray, end: float
) -> bool:
    """Return whether each half measure of a course is followed by whole work, or outlasts life."""
    for place, work in enumerate(course):
        over = days[work] + bridges[work]
        if np.isinf(over):
            continue
        after = [days[later] for later in course[place + 1 :] if whole[later]]
        if min([*after, end]) > over:
            return False
    return True


@pytest.mark.parametrize("seed", range(30))
def test_half_measures_against_every_choice(seed: int) -> None:
    """All choices of at most three of seven works, each half measure looked at by itself."""
    rng = np.random.default_rng(seed)
    days = np.sort(rng.uniform(0, 100, 7))
    is_half = rng.random(7) < 0.4
    is_half[0] = True
    bridges = np.where(is_half, rng.uniform(5, 60, 7), np.inf)
    whole = ~is_half & (rng.random(7) < 0.7)
    steps = all_sequences(
        days, days, most=3, rules=(DueRule(whole, np.inf, bridges),), end_days=100.0
    )
    choices = [pair for count in range(4) for pair in combinations(range(7), count)]
    wanted = {one for one in choices if follows_in_time(one, days, bridges, whole, 100.0)}
    assert {tuple(row[row >= 0]) for row in steps} == wanted
    assert len(wanted) < len(choices)


def test_a_second_half_measure_does_not_extend_the_first() -> None:
    """Half at 10 and 25 bridge 20 each: whole work at 40 is too late for the first, at 28 not."""
    days, half = np.array([10.0, 25.0, 28.0, 40.0]), np.array([True, True, False, False])
    rule = DueRule(~half, np.inf, np.where(half, 20.0, np.inf))
    steps = all_sequences(days, days, most=3, rules=(rule,), end_days=99.0)
    found = {tuple(row[row >= 0]) for row in steps}
    assert {(0, 2), (0, 1, 2), (1, 3), (1, 2)} <= found
    assert not found & {(0,), (1,), (0, 1), (0, 3), (0, 1, 3)}


def test_a_half_measure_at_the_end_of_life_needs_nothing() -> None:
    days = np.array([10.0, 80.0])
    rule = DueRule(np.zeros(2, dtype=bool), np.inf, np.full(2, 20.0))
    steps = all_sequences(days, days, most=2, rules=(rule,), end_days=100.0)
    assert {tuple(row[row >= 0]) for row in steps} == {(), (1,)}
