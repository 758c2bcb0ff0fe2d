"""Every ordered choice of works for one component that keeps its dates and bridges."""

from dataclasses import dataclass

import numpy as np

from bundler.choice import FloatArray, IntArray


@dataclass(frozen=True)
class DueRule:
    """A date by which counting work has to be done, and what moves that date.

    counts [P] : which placements count; they have to be done by the due date.
    first_due_days : the first due date with its grace; infinite where nothing is due yet.
    lasts_days [P] : counting work makes the next due date so long after it (infinite: never);
        other work makes one so long after it, if none is due earlier (infinite: it asks for none).
    """

    counts: np.ndarray
    first_due_days: float
    lasts_days: FloatArray


@dataclass(frozen=True)
class Sequences:
    """Courses of one component: `steps` [n, most] holds placement positions, -1 for none."""

    steps: IntArray
    dues_days: FloatArray


def _start(most: int, rules: tuple[DueRule, ...]) -> Sequences:
    """Return the empty course, with the first due date of every rule."""
    dues = np.array([[rule.first_due_days for rule in rules]], dtype=float)
    return Sequences(np.full((1, most), -1, dtype=np.int64), dues.reshape(1, len(rules)))


def _extend(
    held: Sequences, count: int, effect_days: FloatArray, done_days: FloatArray,
    rules: tuple[DueRule, ...],
) -> Sequences:  # fmt: skip
    """Return every course of `held` with one later work added, dropping what comes too late."""
    if count == 0:
        rows = np.zeros(len(effect_days), dtype=np.int64)
        cols = np.arange(len(effect_days))
    else:
        last = held.steps[:, count - 1]
        rows, cols = np.nonzero(effect_days[None, :] > effect_days[last][:, None])
    steps = held.steps[rows].copy()
    steps[:, count] = cols
    dues = held.dues_days[rows].copy()
    keep = np.ones(len(rows), dtype=bool)
    for index, rule in enumerate(rules):
        counts, due = rule.counts[cols], dues[:, index]
        following = done_days[cols] + rule.lasts_days[cols]
        keep &= ~counts | (done_days[cols] <= due)
        dues[:, index] = np.where(counts, following, np.minimum(due, following))
    return Sequences(steps[keep], dues[keep])


def all_sequences(
    effect_days: FloatArray,
    done_days: FloatArray,
    *,
    most: int,
    rules: tuple[DueRule, ...] = (),
    end_days: float = np.inf,
) -> IntArray:
    """Return every ordered choice of at most `most` works that keeps every due rule.

    Parameters
    ----------
    effect_days : when each placement takes effect [days]; a later work must take effect later.
    done_days : earliest finish of each placement [days], held against due dates.
    most : most works in a course.
    rules : due dates; one that is not met to `end_days` rules the course out.
    end_days : end of the component's life in the plan [days].

    Returns
    -------
    Array [n, most] of placement positions in time order, -1 for none. The empty course comes
    first if it is allowed.
    """
    level = _start(most, rules)
    found = [level]
    for count in range(most):
        level = _extend(level, count, effect_days, done_days, rules)
        if len(level.steps) == 0:
            break
        found.append(level)
    steps = np.concatenate([each.steps for each in found])
    dues = np.concatenate([each.dues_days for each in found])
    return steps[(dues >= end_days).all(axis=1)]
