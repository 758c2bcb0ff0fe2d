"""Draws of what may turn out otherwise: durations that hang together, discoveries, late deliveries.

Every draw falls once into each of as many strata as there are runs and stands for it by its middle
(Latin hypercube sampling), so that a chance of 0.25 comes true in a quarter of the runs.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from bundler.choice import FloatArray, IntArray
from bundler.errors import DataError, Finding
from bundler.level.three_points import Pert, ThreePoints, from_band
from bundler.tables import rows, words

BoolArray = NDArray[np.bool_]

DOUBTS = {
    "tasks": ["task", "low_share", "high_share", "system", "common_cause", "cost"],
    "discoveries": ["discovery", "task", "chance", "days", "cost", "group"],
    "deliveries": ["delivery", "task", "chance", "days", "group"],
}
TEXT = {"task", "system", "common_cause", "discovery", "delivery", "group"}
NUMBER = (-np.inf, np.inf, "a number")
#: correlation of durations inside a system [-]; practice of estimators is 0.2 to 0.4
SYSTEM_CORRELATION = 0.3
#: correlation of durations with a common cause, such as one late contractor [-]; as practice
CAUSE_CORRELATION = 0.6


def no_doubt(name: str) -> pd.DataFrame:
    """Return an empty table of doubts, with its columns."""
    kinds = {column: "str" if column in TEXT else "float64" for column in DOUBTS[name]}
    return pd.DataFrame({column: pd.Series(dtype=kind) for column, kind in kinds.items()})


@dataclass(frozen=True)
class Doubt:
    """What may turn out otherwise than planned.

    tasks : one row a task; low_share and high_share, P10 and P90 of its duration over the planned,
        less 1 [S]; system and common_cause, whose durations move together ("": alone); cost, of
        the planned duration; it grows as the duration does.
    discoveries : one row a discovery; it comes true with `chance` and adds days and cost to its
        task. Those of one group come true together, a rarer one only where a likelier one does.
    deliveries : one row a delivery; it is late with `chance` and shifts the earliest start of its
        task by days; groups as above, those of discoveries apart.
    shape : `Pert` or `Triangular`.
    system_correlation, cause_correlation : of the normals behind the durations, for two tasks of
        one system and for two with one cause [-]; both at once add up.
    """

    tasks: pd.DataFrame
    discoveries: pd.DataFrame
    deliveries: pd.DataFrame
    shape: type[ThreePoints] = Pert
    system_correlation: float = SYSTEM_CORRELATION
    cause_correlation: float = CAUSE_CORRELATION

    def __post_init__(self) -> None:
        found = _missing(self) or [*_wrong_numbers(self), *_wrong_bands(self)]
        if found:
            raise DataError(found)


def _missing(doubt: Doubt) -> list[Finding]:
    """Return a finding for each column that is not there."""
    return [
        Finding(name, 0, column, "no such column", "it is needed", "Add it.")
        for name, columns in DOUBTS.items()
        for column in columns
        if column not in getattr(doubt, name).columns
    ]


def _wrong_numbers(doubt: Doubt) -> list[Finding]:
    """Return a finding for each chance, day and cost that cannot be."""
    allowed = {"chance": (0, 1, "0 to 1"), "days": (0, np.inf, "0 or more"), "cost": NUMBER}
    return [
        Finding(name, number, column, f"{value:g}", f"{words} is allowed", "Correct it.")
        for name, columns in DOUBTS.items()
        for column in columns
        if column in allowed
        for low, high, words in [allowed[column]]
        for number, value in enumerate(getattr(doubt, name)[column], start=1)
        if not low <= value <= high
    ]


def _wrong_bands(doubt: Doubt) -> list[Finding]:
    """Return a finding for each band that no distribution has."""
    found = []
    for number, row in enumerate(rows(doubt.tasks), start=1):
        try:
            _fitted(doubt.shape, row.low_share, row.high_share)
        except ValueError as error:
            said = f"{row.low_share:g} to {row.high_share:g}"
            found.append(Finding("tasks", number, "low_share", said, str(error), "Correct it."))
    return found


@cache
def _fitted(shape: type[ThreePoints], low_share: float, high_share: float) -> ThreePoints:
    """Return the factor on an estimate; bands come again and again."""
    return from_band(shape, low_share, high_share)


def ranks(values: FloatArray) -> IntArray:
    """Return the place of each value in its row, from 0 [n, runs]."""
    order = np.argsort(values, axis=1, kind="stable")
    result = np.empty(values.shape, dtype=np.int64)
    np.put_along_axis(result, order, np.arange(values.shape[1])[None, :], axis=1)
    return result


def strata(runs_count: int) -> FloatArray:
    """Return the middles of equally likely strata [runs] from 0 to 1."""
    result: FloatArray = (np.arange(runs_count) + 0.5) / runs_count
    return result


def correlated_ranks(
    labels: pd.DataFrame,
    correlations: Mapping[str, float],
    *,
    rng: np.random.Generator,
    runs_count: int,
) -> IntArray:
    """Return in which of `runs_count` strata each draw falls [n, runs], each stratum once a row.

    Parameters
    ----------
    labels : one row each of the n; a column of names for each kind of factor, "" for none.
    correlations : of the normals of two rows with the same label, by column [-].

    Gaussian copula: normal = sum over kinds of sqrt(rho) factor[label] + sqrt(1 - sum rho) own;
    the rank correlation is 6 / pi asin(sum of rho shared / 2). Latin hypercube sampling that keeps
    the order of what hangs together (Stein 1987, from memory). Raises ValueError where the
    correlations of one row add up to more than 1.
    """
    own = np.ones(len(labels))
    normals = np.zeros((len(labels), runs_count))
    for column, rho in correlations.items():
        named = words(labels[column], "")
        codes, names = pd.factorize(named, sort=True)
        load = rho * (named != "").to_numpy(dtype=float)
        shared = rng.standard_normal((len(names), runs_count))
        normals += np.sqrt(load)[:, None] * shared[codes]
        own -= load
    if (own < -1e-9).any():
        total = 1 - own.min()
        raise ValueError(f"Correlations add up to {total:g}; at most 1 is possible. Lower one.")
    normals += np.sqrt(own.clip(0))[:, None] * rng.standard_normal(normals.shape)
    return ranks(normals)


def factors(doubt: Doubt, *, rng: np.random.Generator, runs_count: int) -> FloatArray:
    """Return each duration over the planned one [-], [runs, tasks], tasks as in the doubt."""
    correlations = {"system": doubt.system_correlation, "common_cause": doubt.cause_correlation}
    places = correlated_ranks(doubt.tasks, correlations, rng=rng, runs_count=runs_count)
    result = np.empty(places.shape)
    for (low, high), own in doubt.tasks.reset_index().groupby(["low_share", "high_share"]):
        levels = _fitted(doubt.shape, low, high).quantile(strata(runs_count))
        result[own.index] = levels[places[own.index]]
    return result.T


def happenings(
    table: pd.DataFrame, key: str, *, rng: np.random.Generator, runs_count: int
) -> BoolArray:
    """Return which rows come true in each run [runs, rows].

    Parameters
    ----------
    table : one row each; columns `key`, chance and group: rows of one group share their draw.
    key : the column of names.
    """
    shared = zip(words(table["group"], ""), words(table[key], ""), strict=True)
    groups = [(group, "") if group else ("", name) for group, name in shared]
    places = {group: place for place, group in enumerate(sorted(set(groups)))}
    uniforms = strata(runs_count)[ranks(rng.random((len(places), runs_count)))]
    own = uniforms[[places[group] for group in groups]]
    result: BoolArray = (own < table["chance"].to_numpy(dtype=float)[:, None]).T
    return result


@dataclass(frozen=True)
class Runs:
    """What happens in each run; arrays [runs, ...], tasks by name.

    durations, earliest : of each task, with discoveries and late deliveries [d].
    costs : of works and discoveries [runs].
    moves, movers : what moves a finish [d], [runs, movers], and its kind, name and task.
    is_found, found : which discoveries come true [runs, discoveries], and their names.
    """

    durations: FloatArray
    earliest: FloatArray
    costs: FloatArray
    moves: FloatArray
    movers: pd.DataFrame
    is_found: BoolArray
    found: tuple[str, ...]


def drawn(tasks: pd.DataFrame, doubt: Doubt, *, rng: np.random.Generator, runs_count: int) -> Runs:
    """Return what happens in each run [d]; tasks have task, duration_days and earliest_days.

    Rows of tables may come in any order. `doubt.tasks` has the same tasks.
    """
    planned = tasks.sort_values("task")
    told = replace(
        doubt,
        tasks=doubt.tasks.sort_values("task"),
        discoveries=doubt.discoveries.sort_values(["discovery", "task"]),
        deliveries=doubt.deliveries.sort_values(["delivery", "task"]),
    )
    place = {name: number for number, name in enumerate(planned["task"])}
    ratios = factors(told, rng=rng, runs_count=runs_count)
    durations = np.asfortranarray(ratios * planned["duration_days"].to_numpy(dtype=float))
    earliest = np.repeat(planned["earliest_days"].to_numpy(dtype=float)[:, None], runs_count, 1).T
    costs = ratios @ told.tasks["cost"].to_numpy(dtype=float)
    is_found = np.zeros((runs_count, 0), dtype=bool)
    moves, movers = (
        [durations.copy()],
        [planned[["task"]].assign(kind="task", name=planned["task"])],
    )
    for kind, table, target in (
        ("discovery", told.discoveries, durations),
        ("delivery", told.deliveries, earliest),
    ):
        is_true = happenings(table, kind, rng=rng, runs_count=runs_count)
        added = is_true * table["days"].to_numpy(dtype=float)
        for number, name in enumerate(table["task"]):
            target[:, place[name]] += added[:, number]
        if kind == "discovery":
            is_found = is_true
            costs = costs + is_true @ table["cost"].to_numpy(dtype=float)
        moves.append(added)
        movers.append(table[["task"]].assign(kind=kind, name=table[kind]))
    named = tuple(str(name) for name in told.discoveries["discovery"])
    return Runs(
        durations, earliest, costs, np.hstack(moves), pd.concat(movers, ignore_index=True),
        is_found, named,
    )  # fmt: skip
