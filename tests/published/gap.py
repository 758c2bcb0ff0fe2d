"""Generalised assignment: each job goes to exactly one agent, and no agent has more than he can.

A job is a component, an agent a course of it, and each agent's capacity one limit.

gap1 to gap6: Cattrysse, Salomon and Van Wassenhove (1994), European Journal of Operational Research
72, 167-174, from OR-Library (Beasley 1990). Types a to d: Chu and Beasley (1997), Computers and
Operations Research 24, 17-23. Type e: Yagiura, Ibaraki and Glover (2004), INFORMS Journal on
Computing 16, 133-151. Pages are from memory.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray, IntArray
from bundler.solve.highs import Options
from tests.published.answer import Answer, Checked, solve
from tests.published.folder import Known, counts, known_of, numbers, take
from tests.published.tables import limit_names, option_tables

FAMILIES = {"gap": "gap1-6", **{letter: "gap a-e" for letter in "abcde"}}


@dataclass(frozen=True)
class Raw:
    """What a file says: cost and use [agents, jobs], capacity [agents]."""

    cost: FloatArray
    use: FloatArray
    capacity: FloatArray


def known() -> list[Known]:
    """Return the instances; those of OR-Library stand twice, minimised and maximised."""
    return known_of("gap", FAMILIES)


def read(path: Path) -> Raw:
    """Return the raw instance."""
    source = numbers(path)
    agents, jobs = counts(source, 2)
    return Raw(take(source, agents, jobs), take(source, agents, jobs), take(source, agents))


def tables(raw: Raw, sign: float) -> Choices:
    """Return our tables; option number = job x agents + agent."""
    agents, jobs = raw.cost.shape
    names = limit_names(agents)
    option = np.arange(agents * jobs)
    uses = pd.DataFrame({
        "limit": np.asarray(names)[option % agents], "placement": option,
        "amount": raw.use.T.ravel(),
    })  # fmt: skip
    amounts = pd.Series(raw.capacity, names)
    return option_tables(option // agents, sign * raw.cost.T.ravel(), uses, amounts)


def check(raw: Raw, chosen: IntArray) -> Checked:
    """Return the value and the faults of a plan given by its options."""
    agents, jobs = raw.cost.shape
    times = np.zeros((agents, jobs))
    np.add.at(times, (chosen % agents, chosen // agents), 1)
    faults = [
        f"job {j} is done {times[:, j].sum():g} times" for j in np.flatnonzero(times.sum(0) != 1)
    ]
    used = (times * raw.use).sum(1)
    over = np.flatnonzero(used > raw.capacity)
    faults += [f"agent {a} has {used[a]:g} of {raw.capacity[a]:g}" for a in over]
    return Checked(float((times * raw.cost).sum()), tuple(faults))


def answer(known: Known, options: Options) -> Answer:
    """Return the plan of an instance, checked."""
    raw = read(known.path)
    return solve(known, tables(raw, known.sign), options, lambda chosen: check(raw, chosen))
