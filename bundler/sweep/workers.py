"""Who makes the runs: this process, or several of this machine."""

import multiprocessing
import os
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager

from bundler.errors import BundlerError
from bundler.sweep.done import Done
from bundler.sweep.one import Job, run_one

#: makes runs and yields each as soon as it is done, in any order
Runner = Callable[[Sequence[Job]], Iterator[tuple[Job, Done]]]


def here(jobs: Sequence[Job]) -> Iterator[tuple[Job, Done]]:
    """Make the runs one after the other in this process."""
    for job in jobs:
        yield job, run_one(job)


def _end_with_parent() -> None:
    """End this process when the one that started it is gone, so that a killed sweep leaves none."""
    parent = multiprocessing.parent_process()

    def watch() -> None:
        if parent is not None:
            parent.join()
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


@contextmanager
def processes(workers_count: int) -> Iterator[Runner]:
    """Give a runner of so many processes; one makes its runs in this process.

    Raises BundlerError when a process was ended from outside; what is finished is kept.
    """
    if workers_count <= 1:
        yield here
        return
    pool = ProcessPoolExecutor(
        workers_count, multiprocessing.get_context("spawn"), initializer=_end_with_parent
    )

    def run(jobs: Sequence[Job]) -> Iterator[tuple[Job, Done]]:
        futures = {pool.submit(run_one, job): job for job in jobs}
        for future in as_completed(futures):
            yield futures.pop(future), future.result()

    try:
        yield run
    except BrokenProcessPool as fault:
        raise BundlerError(
            "A process of the sweep was ended from outside, perhaps because memory ran out. "
            "Start it again with fewer --workers; runs that are finished are taken over."
        ) from fault
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
