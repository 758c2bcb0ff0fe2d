"""Runs made by the workers of a Dask scheduler; the packages are needed only for that."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from bundler.errors import BundlerError
from bundler.sweep.done import Done
from bundler.sweep.keys import code_key
from bundler.sweep.one import Job, run_one
from bundler.sweep.workers import Runner

#: longest time to wait for a scheduler [s]; our choice
ANSWER_SECONDS = 15


def _same_code(job: Job, code: str) -> Done | None:
    """Make a run where it is; None where a worker has another version of anything that counts."""
    return run_one(job) if code_key() == code else None


def _library() -> Any:
    """Return the package distributed; raises BundlerError where it is missing."""
    try:
        import distributed
    except ImportError as fault:
        raise BundlerError(
            "--scheduler needs the packages dask and distributed. Install scope-bundler[cluster], "
            "or leave --scheduler out and use --workers."
        ) from fault
    return distributed


@contextmanager
def cluster(address: str) -> Iterator[Runner]:
    """Give a runner that sends its runs to the scheduler at an address, such as tcp://host:8786.

    Raises BundlerError when the packages are missing, nobody answers at the address, or a worker
    is lost or has another version; what is finished is kept.
    """
    distributed = _library()
    try:
        client = distributed.Client(address, timeout=ANSWER_SECONDS, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as fault:
        raise BundlerError(
            f'No scheduler answers at "{address}" within {ANSWER_SECONDS} s. Start it (dask '
            "scheduler) and give the address it tells, such as tcp://host:8786."
        ) from fault

    try:
        client.wait_for_workers(1, timeout=ANSWER_SECONDS)
    except TimeoutError as fault:
        client.close()
        raise BundlerError(
            f"The scheduler at {address} has no workers. Start some (dask worker {address}) and "
            "start the sweep again."
        ) from fault

    def run(jobs: Sequence[Job]) -> Iterator[tuple[Job, Done]]:
        sent = [client.submit(_same_code, job, code_key(), pure=False) for job in jobs]
        places = {future.key: job for future, job in zip(sent, jobs, strict=True)}
        for future in distributed.as_completed(sent, loop=client.loop):
            done = future.result()
            if done is None:
                raise BundlerError(
                    "A worker of the cluster has another version of this program, of Python or of "
                    "the packages that count. Install the same on all of them and start again."
                )
            yield places[future.key], done

    try:
        yield run
    except (distributed.KilledWorker, distributed.client.FutureCancelledError) as fault:
        raise BundlerError(
            "Workers of the cluster were lost during a run. Look at their memory and start again; "
            "runs that are finished are taken over."
        ) from fault
    finally:
        client.close()
