"""The command as a person types it; killed in the middle, it leaves no process and no half file."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pandas as pd
import pytest

from bundler.sweep.store import TABLES
from tests.end_to_end.test_command_line import TINY, call
from tests.sweep.asked import ROWS, WORDS, texts

psutil = pytest.importorskip("psutil", reason="psutil sees the processes that a sweep starts")
#: longest wait for a process [s]
PATIENCE = 200.0


def wait_for(what: object, until: float) -> bool:
    """Wait until `what()` is true, at most to a time of the clock."""
    while not what():  # type: ignore[operator]
        if time.monotonic() > until:
            return False
        time.sleep(0.005)
    return True


def test_a_killed_sweep_is_gone_on_with(found: pd.DataFrame, folder: Path, tmp_path: Path) -> None:
    """SIGKILL after the first run; the next start takes it over and ends with the same bytes."""
    (tmp_path / "cases.csv").write_text(ROWS, encoding="utf-8")
    words = ["sweep", TINY, "--cases", "cases.csv", "--out", "out", *WORDS]
    runs = tmp_path / "out" / "runs"
    with subprocess.Popen(
        [sys.executable, "-m", "bundler", *map(str, words)],
        cwd=tmp_path, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    ) as child:  # fmt: skip
        until = time.monotonic() + PATIENCE
        assert wait_for(lambda: len(list(runs.glob("*.json"))) >= 1, until)
        started = psutil.Process(child.pid).children(recursive=True)
        os.kill(child.pid, signal.SIGKILL)
        assert child.wait(PATIENCE) == -signal.SIGKILL
    there = len(list(runs.glob("*.json")))
    assert 1 <= there < len(found) and not (tmp_path / "out" / "sweep.csv").exists()
    assert len(started) >= 2
    assert psutil.wait_procs(started, timeout=PATIENCE)[1] == []
    there = len(list(runs.glob("*.json")))
    done = call(*words, "--workers", "1", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    said = " ".join(done.stdout.split())
    for piece in (
        f"Tiny: the base plan and 3 changed cases; {there} of these 4 runs taken over",
        "Base plan: 753 k$ in present value, 1 work;", "k$ of 2027", "another in",
        "price of an outage day x 0.8", "life of PUMP x 0.8", "weight of bad lives = 0.5",
        "every rule and sum of every plan holds", "Caution",
        *(f"{cost:,.0f}" for cost in found["objective_pv_cost"]),
    ):  # fmt: skip
        assert piece in said, piece
    assert texts(tmp_path / "out") == texts(folder)
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert names == {"runs", *(f"{name}.csv" for name in TABLES)}
    assert all(path.suffix == ".json" for path in runs.iterdir())


def test_a_bad_table_is_told_with_code_2_and_nothing_is_written(tmp_path: Path) -> None:
    (tmp_path / "cases.csv").write_text("run,what,ratio\na,crew,0.8\nb,lives,no\n", "utf-8")
    done = call("sweep", TINY, "--cases", "cases.csv", "--out", "out", cwd=tmp_path)
    assert done.returncode == 2 and "2 errors" in done.stderr
    assert "cases.csv row 2, what" in done.stderr and "cases.csv row 3, ratio" in done.stderr
    assert not (tmp_path / "out").exists()
