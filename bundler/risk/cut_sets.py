"""Minimal cut sets: least sets of members whose failures together fail the whole."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from itertools import combinations, product

import numpy as np

from bundler.life.curves import FloatArray

#: each set holds members by their number, rising; sets in rising order, shorter ones first
CutSets = tuple[tuple[int, ...], ...]


def minimal(sets: Iterable[Iterable[int]]) -> CutSets:
    """Return the sets that hold no other one, each once."""
    kept: list[frozenset[int]] = []
    ordered = sorted({tuple(sorted(set(each))) for each in sets}, key=lambda own: (len(own), own))
    for own in map(frozenset, ordered):
        if not any(other <= own for other in kept):
            kept.append(own)
    return tuple(tuple(sorted(own)) for own in kept)


def cut_sets_of_lines(lines: Sequence[Sequence[int]], needed_count: int) -> CutSets:
    """Return the minimal cut sets of lines of which so many are needed.

    `lines` holds the members of each line in series; a member may be in more than one line.
    Each choice of n - needed + 1 lines falls by one member of each.
    """
    out_count = len(lines) - needed_count + 1
    chosen = combinations(lines, max(out_count, 0))
    return minimal(own for some in chosen for own in product(*some))


def cut_sets_of(is_failed: Callable[[tuple[bool, ...]], bool], members_count: int) -> CutSets:
    """Return the minimal cut sets of any structure, by trying all 2^m states.

    `is_failed` tells whether the whole has failed from which of its members have; more failures
    may never mend it. Meant for up to some 15 members.
    """
    states = product((False, True), repeat=members_count)
    return minimal(
        tuple(number for number, is_out in enumerate(state) if is_out)
        for state in states
        if is_failed(state)
    )


def exact_chance(sets: CutSets, q: FloatArray) -> FloatArray:
    """Return the chance that all members of at least one cut set have failed, exactly.

    Members are independent; q [m] or [m, K]. Pivots on one member after the other (Shannon's
    decomposition): P = q P(it has failed) + (1 - q) P(it works); nothing is subtracted, so small
    chances keep all their digits.
    """
    if not sets or () in sets:
        return np.full(np.shape(q)[1:], float(bool(sets)))
    counts = Counter(member for own in sets for member in own)
    pivot = min(counts, key=lambda member: (-counts[member], member))
    failed = minimal([member for member in own if member != pivot] for own in sets)
    works = tuple(own for own in sets if pivot not in own)
    chance = q[pivot]
    result: FloatArray = chance * exact_chance(failed, q) + (1 - chance) * exact_chance(works, q)
    return result


def set_chances(sets: CutSets, q: FloatArray) -> FloatArray:
    """Return the chance that all members of each set have failed [sets] or [sets, K]."""
    result: FloatArray = np.array([np.prod(q[list(own)], axis=0) for own in sets])
    return result


def rare_event_chance(sets: CutSets, q: FloatArray) -> FloatArray:
    """Return the sum of the chances of all cut sets; never below the exact chance."""
    result: FloatArray = set_chances(sets, q).sum(axis=0)
    return result


def min_cut_bound(sets: CutSets, q: FloatArray) -> FloatArray:
    """Return 1 - product of (1 - chance of each cut set); between the exact one and the sum.

    The upper bound of Esary and Proschan for coherent structures (1963, from memory).
    """
    with np.errstate(divide="ignore"):
        result: FloatArray = -np.expm1(np.log1p(-set_chances(sets, q)).sum(axis=0))
    return result
