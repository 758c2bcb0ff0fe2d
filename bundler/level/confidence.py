"""The chance of finishing in time: a levelled outage in many runs, with all that is in doubt."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy import stats

from bundler.choice import FloatArray
from bundler.errors import DataError, Finding
from bundler.level.draws import Doubt, Runs, drawn
from bundler.level.paths import (
    Network,
    StartRule,
    Wiring,
    finish,
    floats,
    forward,
    held_to_plan,
    late_share,
    on_longest,
)

#: what is told of a finish: to work to, to promise, for the cautious [-]
LEVELS = (0.5, 0.8, 0.9)
#: share of the runs that makes the tail of cost [S]
WORST_SHARE = 0.2
#: chance that the true quantile lies inside the error told [-]
SURE_CHANCE = 0.95
TOP_COUNT = 10
TOLD = ["longest_chance", "overrun_chance", "end_days"]
#: runs times tasks that are held at once; about ten arrays of 8 bytes each [1]
MOST_CELLS = 2_500_000
#: chances closer than this are the same [-]
SAME_CHANCE = 1e-9


@dataclass(frozen=True)
class Outcomes:
    """Equally likely outcomes of one quantity [runs], in its own unit."""

    values: FloatArray

    def mean(self) -> float:
        """Return the mean."""
        return float(self.values.mean())

    def at(self, chance: float) -> float:
        """Return the least outcome that is not passed in at least a share `chance` of the runs.

        The inverse of the distribution function, so an outcome that did happen: exact where
        discoveries make steps. Raises ValueError for a chance that is none.
        """
        if not 0 < chance <= 1:
            raise ValueError(f"A chance is {chance:g}; it is above 0 and at most 1. Correct it.")
        count = len(self.values)
        rank = max(int(np.ceil(count * (chance - SAME_CHANCE))), 1)
        return float(np.partition(self.values, rank - 1)[rank - 1])

    def error(self, chance: float) -> tuple[float, float]:
        """Return the outcomes between which the true quantile lies with 95 % [same unit].

        Order statistics at the binomial quantiles of the rank (David and Nagaraja 2003, section
        7.1, from memory): no shape is assumed; strata make the true error smaller.
        """
        count, ordered = len(self.values), np.sort(self.values)
        side = (1 - SURE_CHANCE) / 2
        ranks = stats.binom.ppf(np.array([side, 1 - side]), count, chance) - [1, 0]
        ranks = np.clip(ranks, 0, count - 1).astype(int)
        return float(ordered[ranks[0]]), float(ordered[ranks[1]])

    def chance_by(self, value: float) -> float:
        """Return the share of runs at or below a value [S]."""
        return float((self.values <= value).mean())

    def worst_mean(self, share: float = WORST_SHARE) -> float:
        """Return the mean of the greatest `share` of all runs; the run at the edge counts in part.

        Conditional value at risk of 1 - share (Rockafellar and Uryasev 2002, from memory).
        """
        ordered = np.sort(self.values)[::-1]
        most = len(ordered) * share
        weights = np.clip(most - np.arange(len(ordered)), 0.0, 1.0)
        return float(weights @ ordered / most)


@dataclass(frozen=True)
class Confidence:
    """When an outage will finish and what it will cost, and what that hangs on.

    finish : of each run [d]. cost : of each run, with what its finish costs.
    planned_days : the finish if every task takes its planned days and nothing is found or late.
    merge_bias_days : mean finish less the finish of mean days: what comes of chains that meet.
    tasks : task; longest_chance, of being on a longest chain; overrun_chance, of ending after its
        window closes; end_days, the mean end.
    drivers : kind, name, task, variance_share: the part of what moves the finish, largest first.
        Product measure of a linear regression of the finish on days (Pratt 1987, from memory):
        coefficient x covariance with the finish, none below 0, made to add up to 1.
    explained_share : the part of the variance of the finish that the regression explains [S].
    """

    finish: Outcomes
    cost: Outcomes
    planned_days: float
    merge_bias_days: float
    tasks: pd.DataFrame
    drivers: pd.DataFrame
    explained_share: float

    @property
    def top_drivers(self) -> pd.DataFrame:
        """The ten that move the finish most."""
        return self.drivers.head(TOP_COUNT)

    def margin_days(self, levelled_days: float, chance: float) -> float:
        """Return the days after a levelled finish that a chance needs; below 0 where more."""
        return self.finish.at(chance) - levelled_days

    def levels(self, chances: Iterable[float] = LEVELS) -> pd.DataFrame:
        """Return finish [d] and cost not passed with each chance, and the error of sampling.

        Columns chance, then for each of finish_days and cost the value, its low and its high.
        """
        names = {
            "finish": ("finish_days", "finish_low_days", "finish_high_days"),
            "cost": ("cost", "low_cost", "high_cost"),
        }
        found: dict[str, list[float]] = {"chance": [float(chance) for chance in chances]}
        for name, columns in names.items():
            own: Outcomes = getattr(self, name)
            told = [(own.at(chance), *own.error(chance)) for chance in found["chance"]]
            found |= {column: [row[k] for row in told] for k, column in enumerate(columns)}
        return pd.DataFrame(found)


def joined(network: Network, doubt: Doubt) -> None:
    """Raise DataError where doubts and network do not speak of the same tasks."""
    names = set(network.tasks["task"])
    found = [
        Finding(name, number, "task", f"{task} is no task", "tasks of the network", "Correct it.")
        for name in ("tasks", "discoveries", "deliveries")
        for number, task in enumerate(getattr(doubt, name)["task"], start=1)
        if task not in names
    ]
    told = doubt.tasks["task"]
    twice = sorted({*names - set(told), *told[told.duplicated()]})
    found += [
        Finding(
            "tasks", 0, "task", f"{name} has no doubt of its own", "one row a task", "Give one."
        )
        for name in twice
    ]
    if found:
        raise DataError(found)


@dataclass(frozen=True)
class _Block:
    """What is kept of some runs: outcomes, means over runs, and moments of movers and finish."""

    finishes: FloatArray
    costs: FloatArray
    means: dict[str, FloatArray]
    moments: FloatArray
    movers: pd.DataFrame


def _block(
    network: Network, tasks: pd.DataFrame, wiring: Wiring, runs: Runs, rule: StartRule
) -> _Block:
    """Return what is kept of the runs of one block."""
    held = rule(runs.earliest, tasks["start_days"].to_numpy(dtype=float))
    starts = forward(wiring, runs.durations, held)
    ends = starts + runs.durations
    finishes = finish(starts, runs.durations)
    slack = floats(wiring, runs.durations, starts, finishes)
    means = {
        "longest_chance": on_longest(slack),
        "overrun_chance": late_share(ends, tasks["latest_days"]),
        "end_days": ends.mean(axis=0),
        "durations": runs.durations.mean(axis=0),
        "earliest": runs.earliest.mean(axis=0),
    }
    both = np.column_stack([runs.moves, finishes])
    both -= both.mean(axis=0)
    late = np.maximum(finishes - network.due_days, 0.0)
    costs = runs.costs + network.day_cost * late
    return _Block(finishes, costs, means, both.T @ both / len(both), runs.movers)


def variance_shares(moments: FloatArray) -> tuple[FloatArray, float]:
    """Return the share of the last quantity's variance by each other, and what they explain [S].

    Parameters
    ----------
    moments : covariances, those of the explained quantity last.

    Product measure: coefficient of the regression x covariance, over the variance. What moves
    fully together is counted in equal parts (least squares of least length).
    """
    spread = np.sqrt(np.diag(moments))
    scale = np.where(spread > 1e-12, spread, np.inf)
    correlations = moments / np.outer(scale, scale)
    own, with_last = correlations[:-1, :-1], correlations[:-1, -1]
    parts = np.linalg.pinv(own, rcond=1e-10, hermitian=True) @ with_last * with_last
    positive = parts.clip(0)
    total = positive.sum()
    return positive / (total if total > 0 else 1.0), float(parts.sum())


def _finish_of_means(wiring: Wiring, durations: FloatArray, held: FloatArray) -> float:
    """Return the finish of one run [d]."""
    one = durations[None, :]
    return float(finish(forward(wiring, one, held[None, :]), one)[0])


def confidence(
    network: Network,
    doubt: Doubt,
    *,
    rng: np.random.Generator,
    runs_count: int = 10_000,
    rule: StartRule = held_to_plan,
) -> Confidence:
    """Return when the outage finishes [d] and what it costs, with which chance.

    Parameters
    ----------
    network : tasks, and arcs of links and of crews.
    doubt : what may turn out otherwise, for the same tasks.
    rng : whatever draws.
    runs_count : how many runs; more than `MOST_CELLS` over the tasks go in blocks of equal size.
    rule : `held_to_plan`, no task before its levelled start; or `come_forward`.

    Raises DataError where the tables do not fit together.
    """
    joined(network, doubt)
    tasks, wiring = network.tasks.sort_values("task"), Wiring.of(network)
    block_count = -(-runs_count * max(len(tasks), 1) // MOST_CELLS)
    sizes = [len(part) for part in np.array_split(np.empty(runs_count), block_count)]
    blocks = [
        _block(network, tasks, wiring, drawn(tasks, doubt, rng=rng, runs_count=size), rule)
        for size in sizes
    ]
    return _gathered(tasks, wiring, blocks, rule)


def _gathered(
    tasks: pd.DataFrame, wiring: Wiring, blocks: list[_Block], rule: StartRule
) -> Confidence:
    """Return the confidence of all blocks together."""
    sizes = np.array([len(block.finishes) for block in blocks], dtype=float)
    weights = sizes / sizes.sum()
    means = {
        name: weights @ np.array([block.means[name] for block in blocks])
        for name in blocks[0].means
    }
    moments = np.tensordot(weights, np.array([block.moments for block in blocks]), axes=1)
    shares, explained = variance_shares(moments)
    drivers = blocks[0].movers[["kind", "name", "task"]].assign(variance_share=shares)
    outcomes = Outcomes(np.concatenate([block.finishes for block in blocks]))
    start = tasks["start_days"].to_numpy(dtype=float)
    planned = tasks["duration_days"].to_numpy(dtype=float)
    earliest = tasks["earliest_days"].to_numpy(dtype=float)
    mean_finish = _finish_of_means(wiring, means["durations"], rule(means["earliest"], start))
    return Confidence(
        finish=outcomes,
        cost=Outcomes(np.concatenate([block.costs for block in blocks])),
        planned_days=_finish_of_means(wiring, planned, rule(earliest, start)),
        merge_bias_days=outcomes.mean() - mean_finish,
        tasks=pd.DataFrame({"task": wiring.names, **{k: means[k] for k in TOLD}}),
        drivers=drivers.sort_values(
            "variance_share", ascending=False, kind="stable", ignore_index=True
        ),
        explained_share=explained,
    )
