"""Every ordered choice of works, against itertools, and against due dates."""

from itertools import combinations

import numpy as np

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
    rule = DueRule(np.ones(4, dtype=bool), 35.0, 30.0)
    steps = all_sequences(days, days, most=4, rules=(rule,), end_days=100.0)
    assert [tuple(row) for row in steps] == [(0, 1, 2, 3)]


def test_only_counting_work_meets_a_mandate() -> None:
    days = np.array([10.0, 20.0])
    rule = DueRule(np.array([False, True]), 25.0, np.inf)
    found = {
        tuple(row[row >= 0])
        for row in all_sequences(days, days, most=2, rules=(rule,), end_days=99.0)
    }
    assert found == {(1,), (0, 1)}


def test_no_work_at_all() -> None:
    none = np.zeros(0)
    assert all_sequences(none, none, most=2).tolist() == [[-1, -1]]
