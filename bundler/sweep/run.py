"""The sweep: the base plan first, then every changed case from it; what is finished is kept."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import pandas as pd

from bundler.case import Case
from bundler.choice import Lives
from bundler.run import silent
from bundler.solve.highs import Options
from bundler.sweep.changes import lives_of
from bundler.sweep.done import NO_ANSWER, Done
from bundler.sweep.keys import case_key, run_key
from bundler.sweep.one import Job, start_of
from bundler.sweep.store import Store, write_whole
from bundler.sweep.tables import Runs, firm_table, runs_table, seconds_table, works_table
from bundler.sweep.variants import BASE, Variant
from bundler.sweep.workers import Runner, here

Progress = Callable[[str, float], None]


@dataclass(frozen=True)
class Asked:
    """What a sweep is asked for: the changed cases, how close each plan has to be, scenarios.

    `options` hold for each run alone; `lives` only for runs with a weight of bad lives.
    """

    variants: tuple[Variant, ...]
    options: Options = Options()
    lives: Lives = Lives()


@dataclass(frozen=True)
class Sweep:
    """A finished sweep: its runs, the base plan first, and its tables by name.

    `taken` names the runs that were there from an earlier start.
    """

    case: Case
    runs: Runs
    taken: tuple[str, ...]
    tables: Mapping[str, pd.DataFrame]

    @property
    def base(self) -> Done:
        """Return the plan without changes."""
        return self.runs[0][1]

    @property
    def is_sound(self) -> bool:
        """Return whether the judge found nothing in any plan."""
        return not any(done.breaches for _, done in self.runs)


class _Maker:
    """Makes the runs that are not there yet and keeps each at once."""

    def __init__(self, store: Store, runner: Runner, progress: Progress, total: int) -> None:
        self.store, self.runner, self.progress, self.total = store, runner, progress, total
        self.done: dict[str, Done] = {}
        self.taken: set[str] = set()

    def _tell(self, ahead: str) -> None:
        count = len(self.done)
        self.progress(f"{ahead}{count} of {self.total} done", count / self.total)

    def make(self, jobs: Sequence[Job], ahead: str = "") -> None:
        """Make runs; equal ones are made once."""
        wanted = {job.key: job for job in jobs if job.key not in self.done}
        for key in wanted:
            done = self.store.read(key)
            if done is not None:
                self.done[key] = done
                self.taken.add(key)
        self._tell(ahead)
        missing = [job for key, job in wanted.items() if key not in self.done]
        for job, done in self.runner(missing) if missing else ():
            if done.status != NO_ANSWER:  # more time or a quieter machine may give one
                self.store.write(job.key, done)
            self.done[job.key] = done
            self._tell(ahead)


def _jobs(case: Case, asked: Asked) -> list[Job]:
    """Return the runs to be made, the base plan first, each with its key."""
    own = case_key(case)
    options = replace(asked.options, workers_count=1)
    found = []
    for variant in (Variant(BASE), *asked.variants):
        lives = lives_of(variant.changes, asked.lives)
        key = run_key(own, variant.changes, options, lives)
        found.append(Job(key, case, variant.changes, options, lives))
    return found


def sweep(
    case: Case, asked: Asked, folder: Path, runner: Runner = here, progress: Progress = silent
) -> Sweep:
    """Return the plans of a case and of all changed ones, and write their tables to `folder`.

    Runs that are in the folder from an earlier start with the same input, changes, options and
    version are taken over. The tables are the same bytes whoever makes the runs and in what order,
    as long as searches end by their gap; only sweep_seconds.csv is not.

    Raises BundlerError if the folder holds something else, cannot be written, or workers are lost.
    """
    store, jobs = Store(folder), _jobs(case, asked)
    maker = _Maker(store, runner, progress, len({job.key for job in jobs}))
    maker.make(jobs[:1], "base plan, ")
    start = start_of(maker.done[jobs[0].key])
    maker.make([replace(job, start=start) for job in jobs[1:]])
    variants = (Variant(BASE), *asked.variants)
    runs = [(variant, maker.done[job.key]) for variant, job in zip(variants, jobs, strict=True)]
    taken = [v.name for v, job in zip(variants, jobs, strict=True) if job.key in maker.taken]
    tables = {
        "sweep": runs_table(runs),
        "sweep_works": works_table(runs),
        "sweep_firm": firm_table(runs, list(case["components"]["component"])),
        "sweep_seconds": seconds_table(runs, taken),
    }
    for name, table in tables.items():
        text = table.to_csv(index=False, lineterminator="\n")
        write_whole(folder / f"{name}.csv", text)
    store.tidy()
    return Sweep(case, runs, tuple(taken), tables)
