"""What is levelled: tasks with modes, the resources they need, and what binds them, in whole slots.

A slot is a day or a part of one; nothing here knows which. Amounts are whole numbers too, as the
solver counts: who makes a problem chooses its units (hundredths of a head, isolations, m2).
"""

from dataclasses import dataclass, fields

import pandas as pd

COLUMNS = {
    "tasks": {"task": "str", "earliest": "int64", "latest": "int64", "value": "int64"},
    "modes": {"task": "str", "mode": "int64", "duration": "int64"},
    "needs": {"task": "str", "mode": "int64", "resource": "str", "amount": "int64"},
    "resources": {"resource": "str", "amount": "int64", "is_total": "bool"},
    "taken": {"resource": "str", "start": "int64", "end": "int64", "amount": "int64"},
    "follows": {"first": "str", "second": "str", "lag": "int64", "is_needed": "bool"},
    "apart": {"first": "str", "second": "str"},
    "bands": {"resource": "str", "start": "int64", "end": "int64", "amount": "int64"},
    "band_most": {"resource": "str", "most": "int64"},
}


def empty(name: str) -> pd.DataFrame:
    """Return an empty table of a problem, with its columns."""
    return pd.DataFrame({key: pd.Series(dtype=kind) for key, kind in COLUMNS[name].items()})


@dataclass(frozen=True)
class Problem:
    """One outage, or any project, to be levelled.

    tasks : one row a task; earliest, the first slot in which it may run; latest, the slot by which
        it has ended; value, what leaving it out costs (0: it may not be left out).
    modes : one row a task and mode: the slots it runs for, without a break.
    needs : what a mode takes of a resource in each slot it runs; of a total, once.
    resources : amount in each slot; is_total, for the whole project instead.
    taken : what others hold of a resource from slot `start` until before slot `end`.
    follows : second starts no sooner than `lag` slots after first has ended, where both run;
        is_needed, second may run only if first does. A lag at or below minus the greatest latest
        delays nothing, so that two tasks can ask for each other.
    apart : two tasks that never run in the same slot.
    bands : more of a resource from slot `start` until before `end`, at the price of a band used;
        bands of one resource do not overlap.
    band_most : the most bands of a resource that may be used.
    """

    tasks: pd.DataFrame
    modes: pd.DataFrame
    needs: pd.DataFrame
    resources: pd.DataFrame
    taken: pd.DataFrame
    follows: pd.DataFrame
    apart: pd.DataFrame
    bands: pd.DataFrame
    band_most: pd.DataFrame

    def __post_init__(self) -> None:
        for field in fields(self):
            missing = set(COLUMNS[field.name]) - set(getattr(self, field.name).columns)
            if missing:
                raise ValueError(f"{field.name} has no column {min(missing)}; give it one.")


@dataclass(frozen=True)
class Levelled:
    """A schedule with its proof.

    starts : one row a task that runs; task, mode, start, end (the slot before which it has ended).
    left_out : tasks that do not run.
    finish : the slot before which all have ended; finish_bound, proven: no schedule that leaves
        out as little ends sooner. is_proven, finish equals its bound.
    bands : resource, start, end of the bands used.
    status : in words of ours: "proven", "found", "nothing runs"; with ", ended by the clock" where
        the time of the wall ended the search, so that another run may find another schedule.
    left_bound : proven: every schedule leaves out at least this value.
    """

    starts: pd.DataFrame
    left_out: tuple[str, ...]
    finish: int
    finish_bound: int
    bands: pd.DataFrame
    status: str
    left_bound: int = 0

    @property
    def is_proven(self) -> bool:
        """Whether no schedule that leaves out as little can end sooner."""
        return self.finish == self.finish_bound
