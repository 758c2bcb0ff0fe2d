"""Records of lives: what is kept, what is counted, what is refused."""

import numpy as np
import pytest

from bundler.life.lives import Lives, failed_and_running, lives_from, together

INF = np.inf


def test_counts_by_kind_of_record() -> None:
    """Counted by hand: 2 x exact, 1 interval, 1 found at its first look, 3 running, halved sister."""
    lives = lives_from(
        [5, 4, 0, 9, 7],
        [5, 6, 3, INF, 7],
        weight_count=[2, 1, 1, 3, 0.5],
        entry_years=[0, 1, 0, 0, 2],
    )
    assert lives.count(lives.is_exact) == 2.5
    assert lives.count(lives.is_interval) == 1
    assert lives.count(lives.is_left) == 1
    assert lives.count(lives.is_running) == 3
    assert lives.failures_count == 4.5
    assert lives.failure_records_count == 4
    assert lives.items_count == 7.5
    assert lives.has_late_entry


def test_a_mode_sees_the_others_as_withdrawn() -> None:
    lives = lives_from([5, 6, 2, 9], [5, 6, 4, INF], mode=("wear", "crack", "crack", ""))
    seen = lives.of_mode("wear")
    assert seen.low_years.tolist() == [5, 6, 2, 9]
    assert seen.high_years.tolist() == [5, INF, INF, INF]
    assert seen.mode == ("wear", "", "", "")
    assert lives.of_mode("crack").high_years.tolist() == [INF, 6, 4, INF]
    with pytest.raises(ValueError, match="Record 0 of the lives: it failed but has no mode"):
        lives_from([3]).of_mode("wear")


def test_records_are_joined_weighted_and_kept_from_change() -> None:
    ages = np.array([3.0, 4.0])
    own = lives_from(ages)
    ages[0] = 99
    both = together(own, lives_from([8], INF).weighted(0.25))
    assert both.low_years.tolist() == [3, 4, 8]
    assert both.weight_count.tolist() == [1, 1, 0.25]
    with pytest.raises(ValueError, match="read-only"):
        own.low_years[0] = 1
    assert together().items_count == 0
    assert failed_and_running([], [4, 5]).failures_count == 0


@pytest.mark.parametrize(
    ("low", "high", "entry", "weight", "words"),
    [
        ([1, 5], [1, INF], [0, 6], 1, "Record 1 of the lives: entry_years is above low_years"),
        ([0], [4], [2], 1, "entry_years is above low_years"),
        ([5], [4], [0], 1, "high_years has to be low_years or more"),
        ([5], [np.nan], [0], 1, "high_years has to be low_years or more"),
        ([np.nan], [INF], [0], 1, "low_years has to be an age of 0 or more"),
        ([-1], [INF], [0], 1, "low_years has to be an age of 0 or more"),
        ([INF], [INF], [0], 1, "low_years has to be an age of 0 or more"),
        ([5], [5], [-1], 1, "entry_years has to be an age of 0 or more"),
        ([5], [5], [5], 1, "it fails at the age of its entry"),
        ([0], [0], [0], 1, "a failure at age 0 has no life"),
        ([5], [5], [0], 0, "weight_count has to be above 0"),
        ([5], [5], [0], np.nan, "weight_count has to be above 0"),
    ],
)
def test_what_cannot_be_is_refused(
    low: list[float], high: list[float], entry: list[float], weight: float, words: str
) -> None:
    with pytest.raises(ValueError, match=words):
        lives_from(low, high, entry_years=entry, weight_count=weight)


def test_columns_of_different_length_are_refused() -> None:
    three, two = np.ones(3), np.ones(2)
    with pytest.raises(ValueError, match="differ in length"):
        Lives(np.zeros(3), three, three, two, ("", "", ""))
    with pytest.raises(ValueError, match="differ in length"):
        lives_from(three, mode=("wear",))
