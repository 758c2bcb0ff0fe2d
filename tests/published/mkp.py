"""Multidimensional knapsack: a component with two courses, taken or left, and a limit a weight.

mknap1: Petersen (1967), Management Science 13, 736-750, from OR-Library (Beasley 1990, Journal of the
Operational Research Society 41, 1069-1072). SAC-94: the suite with the problems of Petersen (1967),
Weingartner and Ness (1967), Senju and Toyoda (1968) and Shih (1979). mknapcb: Chu and Beasley (1998),
Journal of Heuristics 4, 63-86. Pages are from memory.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray, IntArray
from bundler.solve.highs import Options
from tests.published.answer import Answer, Checked, solve
from tests.published.folder import Known, counts, known_of, numbers, take
from tests.published.tables import dense_uses, limit_names, option_tables

FAMILIES = {"mknap1": "mknap1", "sac94": "sac94", "mknapcb": "mknapcb"}
#: what a weight may exceed a capacity by: a few are decimal fractions
TOLERANCE = 1e-6


@dataclass(frozen=True)
class Raw:
    """What a file says of one problem: profit [items], weight [limits, items], capacity [limits]."""

    profit: FloatArray
    weight: FloatArray
    capacity: FloatArray


def known() -> list[Known]:
    """Return the problems."""
    return known_of("mkp", FAMILIES)


def _place(known: Known) -> int:
    """Return which problem of its file this is, from 0."""
    if known.family == "sac94":
        return 0
    number = int(known.instance.rpartition("-")[2])
    return number - 1 if known.family == "mknap1" else number


def read(known: Known) -> Raw:
    """Return the raw problem."""
    source = numbers(known.path)
    if known.family != "sac94":
        counts(source, 1)
    for _ in range(_place(known) + 1):
        items, limits = counts(source, 2)
        take(source, 1)
        raw = Raw(take(source, items), take(source, limits, items), take(source, limits))
    return raw


def tables(raw: Raw) -> Choices:
    """Return our tables; option 2 i leaves item i, option 2 i + 1 takes it."""
    limits, items = raw.weight.shape
    option = np.arange(2 * items)
    names = limit_names(limits)
    cost, use = np.zeros(2 * items), np.zeros((2 * items, limits))
    cost[1::2], use[1::2] = -raw.profit, raw.weight.T
    return option_tables(option // 2, cost, dense_uses(use, names), pd.Series(raw.capacity, names))


def check(raw: Raw, chosen: IntArray) -> Checked:
    """Return the value and the faults of a plan given by its options."""
    items = len(raw.profit)
    seen = np.bincount(chosen // 2, minlength=items)
    faults = [f"item {i} has {seen[i]} answers" for i in np.flatnonzero(seen != 1)]
    taken = np.isin(2 * np.arange(items) + 1, chosen)
    used = raw.weight @ taken
    over = np.flatnonzero(used > raw.capacity + TOLERANCE)
    faults += [f"limit {r} has {used[r]:g} of {raw.capacity[r]:g}" for r in over]
    return Checked(float(raw.profit @ taken), tuple(faults))


def answer(known: Known, options: Options) -> Answer:
    """Return the plan of a problem, checked."""
    raw = read(known)
    return solve(known, tables(raw), options, lambda chosen: check(raw, chosen))
