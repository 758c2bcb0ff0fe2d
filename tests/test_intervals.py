"""Sets of days against a plain array with one place a day."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from bundler.intervals import Stretches, at_least, intersection, outside, union

DAYS = 40
parts = st.lists(
    st.tuples(st.integers(0, DAYS), st.integers(0, DAYS)).map(
        lambda ends: (float(min(ends)), float(max(ends)))
    ),
    max_size=6,
).map(tuple)


def by_day(own: Stretches) -> np.ndarray:
    days = np.zeros(DAYS, dtype=bool)
    for start, end in own:
        days[int(start) : int(end)] = True
    return days


def is_tidy(own: Stretches) -> bool:
    """Sorted, none empty, none touching the next."""
    edges = [day for part in own for day in part]
    return all(a < b for a, b in zip(edges, edges[1:], strict=False))


@given(parts, parts)
def test_two_sets_day_by_day(first: Stretches, second: Stretches) -> None:
    for found, hand in (
        (union(first), by_day(first)),
        (intersection(first, second), by_day(first) & by_day(second)),
        (outside(first, (0.0, float(DAYS))), ~by_day(first)),
    ):
        assert is_tidy(found)
        assert (by_day(found) == hand).all()


@given(st.lists(parts, min_size=1, max_size=5), st.integers(1, 5))
def test_at_least_so_many_sets_day_by_day(sets: list[Stretches], count: int) -> None:
    found = at_least(sets, count)
    assert is_tidy(found)
    assert (by_day(found) == (sum(by_day(own).astype(int) for own in sets) >= count)).all()


@given(parts, st.integers(0, DAYS), st.integers(0, DAYS))
def test_outside_stays_in_the_whole(own: Stretches, one: int, other: int) -> None:
    low, high = min(one, other), max(one, other)
    hand = ~by_day(own)
    hand[:low] = hand[high:] = False
    found = outside(own, (float(low), float(high)))
    assert is_tidy(found)
    assert (by_day(found) == hand).all()


def test_outside_of_nothing_is_always() -> None:
    assert outside(()) == ((-np.inf, np.inf),)
    assert outside(((3.0, np.inf),)) == ((-np.inf, 3.0),)
    assert outside(((-np.inf, np.inf),)) == ()
