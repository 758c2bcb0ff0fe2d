"""The plan of the demo station, made once for all tests that look at it, whoever asks first."""

import fcntl
import pickle
from pathlib import Path

from bundler import Run, plan_folder

DEMO = Path(__file__).parents[1] / "asset_data"


def run_in(folder: Path) -> Path:
    """Return the file with the demo's run; the first process plans it, others wait for that."""
    kept = folder / "demo_run.pickle"
    with (folder / "demo_run.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not kept.exists():
            written = kept.with_suffix(".part")
            written.write_bytes(pickle.dumps(plan_folder(DEMO)))
            written.rename(kept)
    return kept


def read(kept: Path) -> Run:
    """Return the run of a file that these tests wrote."""
    run: Run = pickle.loads(kept.read_bytes())
    return run
