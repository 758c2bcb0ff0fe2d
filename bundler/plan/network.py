"""Activities that follow each other as a network: order, passes in time, the longest chain."""

from collections.abc import Callable, Iterable
from heapq import heapify, heappop, heappush
from typing import Any

import pandas as pd

from bundler.tables import rows

#: times closer than this are the same [days]
SAME_DAYS = 1e-6
FOLLOWS = ["first", "second", "lag_days"]


def _ring(left: set[Any], follows: pd.DataFrame) -> list[Any]:
    """Return activities that wait for each other, each before the next; the first is the last."""
    after = {row.first: row.second for row in rows(follows) if row.second in left}
    path = [min(left, key=str)]
    while after[path[-1]] not in path:
        path.append(after[path[-1]])
    back = after[path[-1]]
    return [*path[path.index(back) :], back]


def from_the_end(
    names: Iterable[Any], follows: pd.DataFrame, key: Callable[[Any], Any] = lambda name: name
) -> list[Any]:
    """Return activities in an order that every row of `follows` allows, the greatest key last.

    From the back: of those that nothing left has to follow, the one with the greatest key.
    Raises ValueError with the ring where activities wait for each other.
    """
    left: dict[Any, int] = dict.fromkeys(names, 0)
    before: dict[Any, list[Any]] = {name: [] for name in left}
    for row in rows(follows):
        left[row.first] += 1
        before[row.second].append(row.first)
    order: list[Any] = []
    by_key = sorted(left, key=key, reverse=True)
    rank = {name: number for number, name in enumerate(by_key)}
    free = [rank[name] for name in by_key if not left[name]]
    heapify(free)
    while free:
        name = by_key[heappop(free)]
        order.append(name)
        for other in before[name]:
            left[other] -= 1
            if not left[other]:
                heappush(free, rank[other])
    if len(order) < len(left):
        ring = " before ".join(map(str, _ring(left.keys() - set(order), follows)))
        raise ValueError(f"Works wait for each other in a ring: {ring}. Take out one of them.")
    return order[::-1]


def _checked(days: pd.Series, follows: pd.DataFrame) -> None:
    """Raise ValueError for an activity that is not there, or there twice, or without days."""
    strange = sorted({*follows["first"], *follows["second"]} - set(days.index), key=str)
    if strange:
        raise ValueError(f"{strange[0]} follows or is followed but has no days; give it its days.")
    if not days.index.is_unique:
        raise ValueError(f"{days.index[days.index.duplicated()][0]} is there twice; give it once.")
    if not (days >= 0).all():
        wrong = days.index[~(days >= 0)][0]
        raise ValueError(f"{wrong} takes {days[wrong]:g} days; give 0 or more.")


def passes(days: pd.Series, follows: pd.DataFrame) -> tuple[pd.Series, pd.Series]:
    """Return the earliest start and the total float of each activity [d].

    Critical path method, activities on nodes: the earliest start is the greatest of 0 and of
    start + days + lag of all that come before; the float is what is left to the latest start
    with which nothing ends after the last of all. `days` are durations [d] by activity; `follows`
    has first, second and lag_days, the days between the end of the first and the start of the
    second. Raises ValueError, in words, where activities wait for each other in a ring.
    """
    _checked(days, follows)
    length = days.to_dict()
    order = from_the_end(length, follows)
    before: dict[Any, list[tuple[Any, float]]] = {name: [] for name in order}
    for row in rows(follows):
        before[row.second].append((row.first, row.lag_days))
    start: dict[Any, float] = {}
    for name in order:
        ready = [start[first] + length[first] + lag for first, lag in before[name]]
        start[name] = max([0.0, *ready])
    last = max((start[name] + length[name] for name in order), default=0.0)
    late = {name: last - length[name] for name in order}
    for name in reversed(order):
        for first, lag in before[name]:
            late[first] = min(late[first], late[name] - lag - length[first])
    starts = pd.Series(start, index=days.index, dtype="float64")
    return starts, pd.Series(late, index=days.index, dtype="float64") - starts


def critical_chain(days: pd.Series, follows: pd.DataFrame) -> list[Any]:
    """Return the activities of the longest chain, in order; among equal ones the first by name."""
    starts, _ = passes(days, follows)
    ends = starts + days
    name = min(ends.index, key=lambda own: (-round(ends[own] / SAME_DAYS), own))
    chain = [name]
    while True:
        own = follows[follows["second"] == name]
        ready = own["first"].map(ends) + own["lag_days"]
        pressing = own.loc[ready >= starts[name] - SAME_DAYS, "first"]
        if pressing.empty:
            return chain[::-1]
        name = min(pressing)
        chain.append(name)
