"""Pairs of inspections: what is counted and what is refused."""

import numpy as np
import pytest

from bundler.life.grades import GradePairs, checked_departures


def pairs(then: list[int], later: list[int]) -> GradePairs:
    return GradePairs(np.array(then), np.array(later), np.ones(len(then)), 4)


def test_counts_and_departures() -> None:
    """By hand: a fall from 1 to 3 leaves 1, and on its way 2 where steps are single."""
    good = pairs([1, 1, 1, 2, 2, 2, 3, 3, 3, 3], [1, 3, 2, 3, 3, 2, 4, 4, 4, 3])
    assert good.counts.sum() == 10 and good.counts[0].tolist() == [1, 1, 1, 0]
    more = pairs([1, 1, 1, 2, 2, 3, 3, 3], [3, 2, 2, 3, 3, 4, 4, 4])
    assert checked_departures(more, False, True).tolist() == [3, 3, 3]
    with pytest.raises(ValueError, match="Grade 2 was left 2 times.*Merge"):
        checked_departures(more, False, False)


def test_upward_pairs() -> None:
    """Refused by place and grades; let through where readings have errors."""
    up = pairs([1, 1, 1, 3, 2, 2, 2, 3, 3, 3], [2, 2, 2, 2, 3, 3, 3, 4, 4, 4])
    with pytest.raises(ValueError, match="Pair 3 goes from grade 3 to 2.*work between"):
        checked_departures(up, False, True)
    assert checked_departures(up, True, True).tolist() == [3, 3, 3]


def test_refusals() -> None:
    one = np.array([1])
    with pytest.raises(ValueError, match="two grades and the years"):
        GradePairs(one, np.array([1, 2]), np.ones(1), 3)
    with pytest.raises(ValueError, match="two grades and the years"):
        GradePairs(one[:0], one[:0], np.ones(0), 3)
    for grade in (0, 4, 1.5):
        with pytest.raises(ValueError, match="between 1 and 3"):
            GradePairs(one, np.array([grade]), np.ones(1), 3)
    for years in (0.0, np.nan, np.inf):
        with pytest.raises(ValueError, match="above 0"):
            GradePairs(one, one, np.array([years]), 3)
