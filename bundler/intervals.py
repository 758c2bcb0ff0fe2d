"""Sets of days as stretches from a start to before an end, sorted and apart from each other."""

from collections.abc import Iterable, Sequence

Stretch = tuple[float, float]
Stretches = tuple[Stretch, ...]

ALWAYS: Stretch = (float("-inf"), float("inf"))


def _reached(parts: Iterable[Stretch], count: int) -> Stretches:
    """Return the days that lie in at least so many of the stretches."""
    steps: dict[float, int] = {}
    for start, end in parts:
        if start < end:
            steps[start] = steps.get(start, 0) + 1
            steps[end] = steps.get(end, 0) - 1
    found, held, begin = [], 0, 0.0
    for day in sorted(steps):
        before, held = held, held + steps[day]
        if before < count <= held:
            begin = day
        elif held < count <= before:
            found.append((begin, day))
    return tuple(found)


def union(parts: Iterable[Stretch]) -> Stretches:
    """Return the days that lie in any of the stretches; stretches that touch are joined."""
    return _reached(parts, 1)


def at_least(sets: Sequence[Iterable[Stretch]], count: int) -> Stretches:
    """Return the days that lie in at least `count` of the sets, 1 or more."""
    return _reached([part for own in sets for part in union(own)], count)


def intersection(first: Iterable[Stretch], second: Iterable[Stretch]) -> Stretches:
    """Return the days that lie in both sets."""
    return at_least([first, second], 2)


def outside(parts: Iterable[Stretch], whole: Stretch = ALWAYS) -> Stretches:
    """Return the days of the whole that lie in none of the stretches."""
    low, high = whole
    held = [low, *(day for part in union(parts) for day in part), high]
    gaps = zip(held[::2], held[1::2], strict=True)
    inside = ((max(start, low), min(end, high)) for start, end in gaps)
    return union(inside)
