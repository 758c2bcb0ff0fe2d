"""Three and more works that have to follow each other inside one outage.

Rows over pairs do not see that A before B and B before C fit while A, B and C do not.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bundler.limits.link_ties import LinkRow, Tie, finish_days, last_start_days
from bundler.tables import rows


@dataclass(frozen=True)
class Step:
    """A work that has to wait for another in the same outage, by one tie."""

    tie: Tie
    work: Any


Path = tuple[Any, tuple[Step, ...]]


def _fits(first: Any, steps: Sequence[Step]) -> bool:
    """Return whether works fit one after the other, each as early as it can be."""
    done = finish_days(first)
    for step in steps:
        start = max(step.work.start_days, done + step.tie.lag_days)
        if start > last_start_days(step.work) + 1e-6:
            return False
        done = start + step.work.days
    return True


def _next(ties: list[Tie]) -> dict[int, list[Step]]:
    """Return by placement the works that have to wait for it in its outage and can."""
    found: dict[int, list[Step]] = {}
    for tie in ties:
        by_period = {period: own for period, own in tie.second.groupby("period")}
        for first in rows(tie.first[tie.first["is_outage"]]):
            for second in rows(by_period.get(first.period, tie.second.iloc[:0])):
                step = Step(tie, second)
                if _fits(first, [step]):
                    found.setdefault(first.placement, []).append(step)
    return found


def _too_long(path: Path, steps_of: dict[int, list[Step]]) -> Iterator[Path]:
    """Yield every continuation of a path that fits up to its last work, which is then too late."""
    first, steps = path
    last = steps[-1].work if steps else first
    there = {first.component, *(step.work.component for step in steps)}
    for step in steps_of.get(last.placement, []):
        longer = (*steps, step)
        if step.work.component in there:
            continue
        if _fits(first, longer):
            yield from _too_long((first, longer), steps_of)
        elif _fits(longer[0].work, longer[1:]):
            yield first, longer


def _elsewhere(step: Step, period: str) -> pd.Series:
    """Return the works of a tie's first, in other outages, that are done before a step."""
    first = step.tie.first[step.tie.first["period"] != period]
    done = finish_days(first) + step.tie.lag_days
    found: pd.Series = first.loc[done <= last_start_days(step.work) + 1e-6, "placement"]
    return found


def _in_line(ties: list[Tie]) -> list[Tie]:
    """Return the ties that share a component which waits for one and is waited for by another."""
    before = {name for tie in ties for name in tie.first["component"]}
    middle = before & {name for tie in ties for name in tie.second["component"]}
    return [
        tie
        for tie in ties
        if not middle.isdisjoint({*tie.first["component"], *tie.second["component"]})
    ]


def path_terms(ties: list[Tie]) -> Iterator[LinkRow]:
    """Yield, for ties "before", the rows over shortest paths of works that do not fit.

    Not all of a path's works in one outage, unless one that has to go before was done elsewhere:
    sum z over the path - sum z elsewhere <= works of the path - 1.
    """
    ties = _in_line(ties)
    steps_of = _next(ties)
    firsts = {first.placement: first for tie in ties for first in rows(tie.first)}
    for placement in sorted(steps_of):
        for first, steps in _too_long((firsts[placement], ()), steps_of):
            terms = {first.placement: 1.0} | {step.work.placement: 1.0 for step in steps}
            for step in steps:
                terms |= dict.fromkeys(_elsewhere(step, first.period), -1.0)
            name = "+".join(step.tie.name for step in steps)
            yield LinkRow(name, "before", sorted(terms.items()), float(len(steps)))
