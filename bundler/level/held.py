"""Whether a schedule keeps what its problem asks for, read from the tables without any solver."""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from bundler.choice import IntArray
from bundler.level.problem import Levelled, Problem
from bundler.tables import rows


def _who(problem: Problem, levelled: Levelled) -> Iterator[str]:
    """Yield tasks that are neither there once nor left out as they may."""
    known, ran, left = problem.tasks["task"], levelled.starts["task"], list(levelled.left_out)
    counts = pd.Series([*ran, *left], dtype="str").value_counts()
    for task in sorted(set(counts.index) - set(known)):
        yield f"{task} is no task"
    told = known.map(counts).fillna(0)
    for task, count in zip(known[told != 1], told[told != 1], strict=True):
        yield f"{task} is there {count:g} times"
    fixed = set(known[problem.tasks["value"] == 0])
    yield from (f"{task} may not be left out" for task in left if task in fixed)


def _when(problem: Problem, levelled: Levelled) -> Iterator[str]:
    """Yield tasks that run outside their window or not as long as their mode."""
    own = levelled.starts.merge(problem.tasks, on="task", how="left")
    own = own.merge(problem.modes, on=["task", "mode"], how="left")
    for row in rows(own[own["duration"] != own["end"] - own["start"]]):
        yield f"{row.task} runs from {row.start} to {row.end}, which is none of its modes"
    for row in rows(own[(own["start"] < own["earliest"]) | (own["end"] > own["latest"])]):
        yield f"{row.task} runs from {row.start} to {row.end}, outside its window"


def _paired(levelled: Levelled, pairs: pd.DataFrame) -> pd.DataFrame:
    """Return pairs with the starts and ends of both; empty for one that does not run."""
    times = levelled.starts[["task", "start", "end"]]
    for name in ("first", "second"):
        pairs = pairs.merge(times.add_prefix(f"{name}_").rename(columns={f"{name}_task": name}),
                            on=name, how="left")  # fmt: skip
    return pairs


def _order(problem: Problem, levelled: Levelled) -> Iterator[str]:
    """Yield tasks that start too soon after others, without them, or beside them."""
    own = _paired(levelled, problem.follows)
    for row in rows(own[own["second_start"] < own["first_end"] + own["lag"]]):
        yield f"{row.second} starts at {row.second_start:g}, too soon after {row.first}"
    for row in rows(own[own["is_needed"] & own["first_end"].isna() & own["second_end"].notna()]):
        yield f"{row.second} runs without {row.first}"
    both = _paired(levelled, problem.apart)
    beside = np.minimum(both["first_end"], both["second_end"]) > np.maximum(
        both["first_start"], both["second_start"]
    )
    yield from (f"{row.first} and {row.second} run at once" for row in rows(both[beside]))


def _profile(table: pd.DataFrame, names: pd.Index, horizon: int) -> IntArray:
    """Return the sum of amounts that hold from `start` until before `end` [names, slots]."""
    steps = np.zeros((len(names), horizon + 1), dtype=np.int64)
    own = table[table["resource"].isin(names)]
    row, amount = names.get_indexer(pd.Index(own["resource"])), own["amount"].to_numpy()
    np.add.at(steps, (row, own["start"].clip(0, horizon).to_numpy()), amount)
    np.add.at(steps, (row, own["end"].clip(0, horizon).to_numpy()), -amount)
    return steps.cumsum(axis=1)[:, :-1]


def _amounts(problem: Problem, levelled: Levelled) -> Iterator[str]:
    """Yield resources of which more is taken than there is, in a slot or in all."""
    resources = problem.resources.set_index("resource")
    names = resources.index[~resources["is_total"]]
    last = int(levelled.starts["end"].max()) if len(levelled.starts) else 0
    needs = levelled.starts.merge(problem.needs, on=["task", "mode"])
    used = levelled.bands.merge(problem.bands, on=["resource", "start", "end"])
    there = resources.loc[names, "amount"].to_numpy()[:, None] + _profile(used, names, last)
    free = np.maximum(there - _profile(problem.taken, names, last), 0)
    load = _profile(needs, names, last)
    for name, slot in np.argwhere(load > free):
        yield f"{names[name]} has {load[name, slot]} of {free[name, slot]} in slot {slot}"
    total = needs.groupby("resource")["amount"].sum().reindex(resources.index, fill_value=0)
    over = resources.index[resources["is_total"] & (total > resources["amount"])]
    yield from (f"{name} has {total[name]} of {resources['amount'][name]} in all" for name in over)


def _bands(problem: Problem, levelled: Levelled) -> Iterator[str]:
    """Yield bands that are none, and resources that use more of them than they may."""
    keys = ["resource", "start", "end"]
    known = levelled.bands.merge(problem.bands[keys], on=keys, how="left", indicator=True)
    yield from (f"{row.resource} has no band at {row.start}"
                for row in rows(known[known["_merge"] != "both"]))  # fmt: skip
    used = levelled.bands["resource"].value_counts()
    for row in rows(problem.band_most):
        if used.get(row.resource, 0) > row.most:
            yield f"{row.resource} uses {used[row.resource]} bands of at most {row.most}"


def _finish(levelled: Levelled) -> Iterator[str]:
    """Yield what does not hold of the finish and its bound."""
    last = int(levelled.starts["end"].max()) if len(levelled.starts) else 0
    if levelled.finish != last:
        yield f"the finish is told as {levelled.finish} and is {last}"
    if levelled.finish < levelled.finish_bound:
        yield f"the finish {levelled.finish} is below its bound {levelled.finish_bound}"


def broken(problem: Problem, levelled: Levelled) -> list[str]:
    """Return, in words, everything that a schedule breaks of its problem; empty if it holds."""
    found = list(_who(problem, levelled))
    if found:
        return found
    for check in (_when, _order, _amounts, _bands):
        found += check(problem, levelled)
    return [*found, *_finish(levelled)]
