"""Passes through a network of tasks in many runs at once; how crews pass from task to task.

Arrays are [runs, tasks], days count from the start of the outage, and a task ends at the moment
before which it runs (half-open), so the next may start then.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from bundler.choice import FloatArray
from bundler.errors import DataError, Finding
from bundler.plan.network import FOLLOWS, SAME_DAYS, from_the_end
from bundler.tables import rows

COLUMNS = {
    "tasks": ["task", "duration_days", "earliest_days", "start_days", "latest_days"],
    "arcs": FOLLOWS,
}
#: earliest and levelled start to the moment before which a task does not start
StartRule = Callable[[FloatArray, FloatArray], FloatArray]
#: since when, who set them free ("": nobody held them), how many units
Free = tuple[float, str, int]


def held_to_plan(earliest_days: FloatArray, start_days: FloatArray) -> FloatArray:
    """Return the start before which a task does not start [d]: as a train, not before its time."""
    return np.maximum(earliest_days, start_days)


def come_forward(earliest_days: FloatArray, start_days: FloatArray) -> FloatArray:
    """Return the start before which a task does not start [d]: its earliest, plan or not."""
    return np.broadcast_to(
        earliest_days, np.broadcast_shapes(earliest_days.shape, start_days.shape)
    )


@dataclass(frozen=True)
class Network:
    """A levelled outage: tasks and who waits for whom.

    tasks : one row a task; duration_days, the most likely; earliest_days, before which it may not
        start; start_days, the levelled start; latest_days, by which its window closes (missing:
        never).
    arcs : second starts no sooner than lag_days after first has ended; of links and of crews that
        pass on (`resource_order`).
    day_cost, due_days : what each day costs by which the last task ends after due_days.
    """

    tasks: pd.DataFrame
    arcs: pd.DataFrame
    day_cost: float = 0.0
    due_days: float = 0.0

    def __post_init__(self) -> None:
        found = [
            Finding(name, 0, column, "no such column", "it is needed", "Add it.")
            for name, columns in COLUMNS.items()
            for column in columns
            if column not in getattr(self, name).columns
        ] or [*_strange_tasks(self.tasks), *_strange_arcs(self.tasks, self.arcs)]
        if found:
            raise DataError(found)


def _strange_tasks(tasks: pd.DataFrame) -> list[Finding]:
    """Return what is wrong with tasks: there twice, or with days that cannot be."""
    twice = tasks["task"].duplicated()
    found = [
        Finding("tasks", number, "task", f"{row.task} is there twice", "once", "Leave one.")
        for number, row in enumerate(rows(tasks), start=1)
        if twice.iloc[number - 1]
    ]
    for column, low in (
        ("duration_days", 0.0),
        ("earliest_days", -np.inf),
        ("start_days", -np.inf),
    ):
        for place in np.flatnonzero(~(tasks[column] >= low)):
            told = f"{tasks[column].iloc[place]:g}"
            allowed = "days are 0 or more" if low == 0 else "days are a number"
            found.append(Finding("tasks", int(place) + 1, column, told, allowed, "Correct it."))
    return found


def _strange_arcs(tasks: pd.DataFrame, arcs: pd.DataFrame) -> list[Finding]:
    """Return what is wrong with arcs: tasks that are not there, or tasks in a ring."""
    names = set(tasks["task"])
    found = [
        Finding("arcs", number, side, f"{name} is no task", "tasks of the network", "Correct it.")
        for side in ("first", "second")
        for number, name in enumerate(arcs[side], start=1)
        if name not in names
    ]
    if not found and not tasks["task"].duplicated().any():
        try:
            from_the_end(tasks["task"], arcs)
        except ValueError as ring:
            found.append(Finding("arcs", 0, "", str(ring).split(".")[0], "no rings", "Cut it."))
    return found


@dataclass(frozen=True)
class Wiring:
    """A network as numbers: tasks by name, and what comes before and after each, in order."""

    names: tuple[str, ...]
    order: tuple[int, ...]
    before: tuple[tuple[tuple[int, float], ...], ...]

    @classmethod
    def of(cls, network: Network) -> "Wiring":
        """Return the wiring of a network; tasks in the order of their names."""
        names = tuple(sorted(network.tasks["task"]))
        place = {name: number for number, name in enumerate(names)}
        before: list[dict[int, float]] = [{} for _ in names]
        for row in rows(network.arcs):
            own, first = before[place[row.second]], place[row.first]
            own[first] = max(own.get(first, -np.inf), float(row.lag_days))
        order = tuple(place[name] for name in from_the_end(names, network.arcs))
        return cls(names, order, tuple(tuple(sorted(own.items())) for own in before))


def forward(wiring: Wiring, durations: FloatArray, held: FloatArray) -> FloatArray:
    """Return the starts [d], [runs, tasks]: the greatest of `held` and of what comes before.

    Parameters
    ----------
    durations : of each task in each run [d], [runs, tasks].
    held : the moment before which a task does not start [d], [runs, tasks].
    """
    starts = np.array(held, dtype=float, order="F")
    ends = np.empty_like(starts)
    for own in wiring.order:
        start = starts[:, own]
        for first, lag in wiring.before[own]:
            np.maximum(start, ends[:, first] + lag, out=start)
        ends[:, own] = start + durations[:, own]
    return starts


def finish(starts: FloatArray, durations: FloatArray) -> FloatArray:
    """Return the moment at which the last task ends [d], [runs]; without tasks 0."""
    if not starts.shape[1]:
        return np.zeros(len(starts))
    result: FloatArray = (starts + durations).max(axis=1)
    return result


def floats(
    wiring: Wiring, durations: FloatArray, starts: FloatArray, finishes: FloatArray
) -> FloatArray:
    """Return by how much each task may slip without a later finish [d], [runs, tasks]."""
    late = np.asfortranarray(finishes[:, None] - durations)
    for own in reversed(wiring.order):
        for first, lag in wiring.before[own]:
            latest = late[:, own] - lag - durations[:, first]
            np.minimum(late[:, first], latest, out=late[:, first])
    result: FloatArray = late - starts
    return result


def on_longest(floats_days: FloatArray) -> FloatArray:
    """Return the share of runs in which each task is on a longest chain [S], [tasks]."""
    result: FloatArray = (floats_days <= SAME_DAYS).mean(axis=0)
    return result


def late_share(ends: FloatArray, latest_days: ArrayLike) -> FloatArray:
    """Return the share of runs in which each task ends after its window closes [S], [tasks].

    Parameters
    ----------
    ends : of each task in each run [d], [runs, tasks].
    latest_days : by which each has to end [d], [tasks]; missing where it never has to.
    """
    result: FloatArray = (ends > np.asarray(latest_days, dtype=float) + SAME_DAYS).mean(axis=0)
    return result


def _ancestors(names: Iterable[Any], arcs: pd.DataFrame) -> dict[Any, set[Any]]:
    """Return all tasks that each task follows, directly or not."""
    found: dict[Any, set[Any]] = {name: set() for name in names}
    after = arcs.groupby("second")["first"].agg(list).to_dict()
    for name in from_the_end(list(found), arcs):
        for first in after.get(name, []):
            found[name] |= {first, *found[first]}
    return found


def _taken(free: list[Free], start: float, wanted: int, known: set[Any]) -> list[tuple[str, int]]:
    """Return from whom how much is taken; what is free shrinks.

    First from those that the task follows anyway, then what nobody held, then what has been free
    longest: so few tasks wait for each other, and those with the most time between them.
    """
    got: list[tuple[str, int]] = []
    by_choice = sorted(free, key=lambda own: (own[1] not in known, own[1] != "", own[:2]))
    free.clear()
    for since, task, amount in by_choice:
        part = min(amount, wanted) if since <= start else 0
        wanted -= part
        if part:
            got.append((task, part))
        if amount > part:
            free.append((since, task, amount - part))
    return got if wanted == 0 else []


def resource_flows(
    starts: pd.Series,
    ends: pd.Series,
    needs: pd.DataFrame,
    amounts: pd.Series,
    arcs: pd.DataFrame | None = None,
) -> pd.DataFrame:
    """Return how units pass on in a levelled schedule: resource, first, second, amount.

    Parameters
    ----------
    starts, ends : of each task, by task; any unit of time, half-open.
    needs : task, resource, amount: what a task holds while it runs; one row a task and resource.
    amounts : of each resource, by resource; whole units, as those of `needs`.
    arcs : who follows whom anyway (`FOLLOWS`); such tasks pass on to each other first.

    In the order of starts, each task takes units that are free by then; those that nobody held
    before have `first` "" (flows of Artigues, Michelon and Reusser 2003; which units are taken is
    ours). What others hold for a time is given as a task. Raises DataError where the schedule
    takes more than there is.
    """
    told = pd.DataFrame(columns=FOLLOWS) if arcs is None else arcs
    known = _ancestors(starts.index, told)
    wanted = needs.assign(start=needs["task"].map(starts), end=needs["task"].map(ends))
    wanted = wanted[(wanted["amount"] > 0) & (wanted["end"] > wanted["start"])]
    found: list[tuple[str, str, str, int]] = []
    for resource, own in wanted.sort_values(["start", "end", "task"]).groupby("resource"):
        free: list[Free] = [(-np.inf, "", int(amounts[resource]))]
        for row in rows(own):
            got = _taken(free, row.start, int(row.amount), known[row.task])
            if not got:
                said = f"{row.task} finds too little of {resource} at {row.start:g}"
                remedy = "Level the tasks anew."
                raise DataError([Finding("needs", 0, "amount", said, "what is free", remedy)])
            found += [(str(resource), first, row.task, amount) for first, amount in got]
            known[row.task] |= {first for first, _ in got if first}
            free.append((row.end, row.task, int(row.amount)))
    return pd.DataFrame(found, columns=["resource", "first", "second", "amount"])


def resource_order(
    starts: pd.Series,
    ends: pd.Series,
    needs: pd.DataFrame,
    amounts: pd.Series,
    arcs: pd.DataFrame | None = None,
) -> pd.DataFrame:
    """Return the arcs on which units pass from task to task (`FOLLOWS`, lag 0 d), each once.

    With them a delay passes on by crews: whatever the durations, no more is held than there is.
    Parameters as those of `resource_flows`.
    """
    flows = resource_flows(starts, ends, needs, amounts, arcs)
    pairs = flows.loc[flows["first"] != "", FOLLOWS[:2]].drop_duplicates()
    return pairs.sort_values(FOLLOWS[:2], ignore_index=True).assign(lag_days=0.0)
