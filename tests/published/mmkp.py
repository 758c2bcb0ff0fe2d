"""Multiple-choice multidimensional knapsack: one item of each group, and a limit a resource.

A group is a component, an item a course. I01 to I13: Khan, Li, Manning and Akbar (2002), Studia
Informatica Universalis 2, 157-178. The library of 380 problems with proved values: Hiremath and Hill
(2007), International Journal of Operational Research 2, 495-512, and their solution tables. INST,
irregular and the D series: the public sets that the data's README names; their values are the best
seen, not proved. Pages are from memory.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray, IntArray
from bundler.solve.highs import Options
from tests.published.answer import Answer, Checked, solve
from tests.published.folder import Known, counts, known_of, numbers, take
from tests.published.tables import dense_uses, limit_names, option_tables

FAMILIES = {
    "khan": "khan", "hiremath-hill": "hiremath-hill", "inst": "inst", "irregular": "irregular",
    "large": "large",
}  # fmt: skip
TOLERANCE = 1e-6


@dataclass(frozen=True)
class Raw:
    """What a file says: sizes [groups]; value [items], use [items, limits]; capacity [limits]."""

    sizes: IntArray
    value: FloatArray
    use: FloatArray
    capacity: FloatArray


def known() -> list[Known]:
    """Return the problems."""
    return known_of("mmkp", FAMILIES)


def _raw(source: Iterator[float], groups: int, size: int, limits: int) -> Raw:
    """Read a problem after its head; size 0: each group says its own (else: its number)."""
    capacity = take(source, limits)
    parts = []
    for _ in range(groups):
        (first,) = counts(source, 1)
        parts.append(take(source, size or first, limits + 1))
    items = np.concatenate(parts)
    sizes = np.array([len(part) for part in parts], dtype=np.int64)
    return Raw(sizes, items[:, 0], items[:, 1:], capacity)


def read(known: Known) -> Raw:
    """Return the raw problem."""
    source = numbers(known.path)
    if known.family in ("inst", "irregular", "large"):
        groups, limits = counts(source, 2)
        return _raw(source, groups, 0, limits)
    if known.family == "khan":
        return _raw(source, *counts(source, 3))
    wanted, number = int(known.instance.rpartition("-")[2]), 0
    while number != wanted:
        (number,) = counts(source, 1)
        raw = _raw(source, *counts(source, 3))
    return raw


def tables(raw: Raw) -> Choices:
    """Return our tables; options are the items in the order of the file."""
    names = limit_names(len(raw.capacity))
    group = np.repeat(np.arange(len(raw.sizes)), raw.sizes)
    return option_tables(group, -raw.value, dense_uses(raw.use, names),
                         pd.Series(raw.capacity, names))  # fmt: skip


def check(raw: Raw, chosen: IntArray) -> Checked:
    """Return the value and the faults of a plan given by its items."""
    ends = np.cumsum(raw.sizes)
    seen = np.bincount(np.searchsorted(ends, chosen, side="right"), minlength=len(ends))
    faults = [f"group {g} has {seen[g]} items" for g in np.flatnonzero(seen != 1)]
    used = raw.use[chosen].sum(0)
    over = np.flatnonzero(used > raw.capacity + TOLERANCE)
    faults += [f"limit {r} has {used[r]:g} of {raw.capacity[r]:g}" for r in over]
    return Checked(float(raw.value[chosen].sum()), tuple(faults))


def answer(known: Known, options: Options) -> Answer:
    """Return the plan of a problem, checked."""
    raw = read(known)
    return solve(known, tables(raw), options, lambda chosen: check(raw, chosen))
