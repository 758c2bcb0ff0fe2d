"""Runs on the workers of a Dask scheduler: the same bytes, and clear words when it is not there."""

import sys
from collections.abc import Iterator
from pathlib import Path

import pandas as pd
import pytest

from bundler.case import Case
from bundler.errors import BundlerError
from bundler.sweep import dask_runs
from bundler.sweep.dask_runs import cluster
from bundler.sweep.run import sweep
from tests.sweep.asked import ASKED, texts


@pytest.fixture
def address() -> Iterator[str]:
    """Return the address of a scheduler of this machine with one worker."""
    distributed = pytest.importorskip(
        "distributed", reason="the package distributed is not installed (extra: cluster)"
    )
    with distributed.LocalCluster(
        n_workers=1, threads_per_worker=1, processes=False, protocol="tcp",
        host="127.0.0.1", dashboard_address=":0",
    ) as made:  # fmt: skip
        yield made.scheduler_address


def test_a_cluster_gives_the_same_bytes(
    address: str, found: pd.DataFrame, folder: Path, tiny: Case, tmp_path: Path
) -> None:
    assert address.startswith("tcp://127.0.0.1:") and len(found) == 4
    with cluster(address) as runner:
        sweep(tiny, ASKED, tmp_path / "out", runner)
    assert texts(tmp_path / "out") == texts(folder)


def test_a_worker_with_another_version_is_refused(
    address: str, tiny: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    codes = iter(["mine", "its own"])
    monkeypatch.setattr(dask_runs, "code_key", lambda: next(codes))
    with (
        pytest.raises(BundlerError, match="another version of this program"),
        cluster(address) as runner,
    ):
        sweep(tiny, ASKED, tmp_path / "out", runner)


def test_a_scheduler_without_workers_is_told(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    distributed = pytest.importorskip("distributed")
    monkeypatch.setattr(dask_runs, "ANSWER_SECONDS", 1)
    with distributed.Client(address, set_as_default=False) as client:
        client.retire_workers()
    with pytest.raises(BundlerError, match="has no workers"), cluster(address):
        pass


@pytest.mark.parametrize("where", ["tcp://127.0.0.1:9", "nowhere at all", "tcp://", "127.0.0.1:x"])
def test_nobody_at_the_address(where: str, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed", reason="the package distributed is not installed")
    monkeypatch.setattr(dask_runs, "ANSWER_SECONDS", 0.3)
    with pytest.raises(BundlerError, match="No scheduler answers at"), cluster(where):
        pass


def test_a_missing_package_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(BundlerError, match=r"Install scope-bundler\[cluster\]"), cluster("tcp://a"):
        pass
