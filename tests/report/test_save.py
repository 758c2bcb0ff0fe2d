"""Results reach the disk whole or not at all."""

import json
from pathlib import Path

import pytest

from bundler.errors import BundlerError
from bundler.report import save as saving
from bundler.report.screen import money
from bundler.results import RESULTS
from bundler.run import Run, plan_case
from bundler.solve.highs import Options
from tests.cases import case, one_unit


@pytest.fixture(scope="module")
def run() -> Run:
    return plan_case(case(**one_unit()), Options(gap_share=0.0))


def test_an_earlier_plan_is_replaced_whole(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "plan"
    saving.save(run, target)
    (target / "orders.csv").write_text("old", encoding="utf-8")
    saving.save(run, target)
    assert (target / "orders.csv").read_text(encoding="utf-8") != "old"
    assert json.loads((target / "summary.json").read_text(encoding="utf-8"))["status"] == "optimal"
    assert [path.name for path in tmp_path.iterdir()] == ["plan"]


def test_a_failed_write_leaves_the_earlier_plan(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "plan"
    saving.save(run, target)
    before = {path.name: path.read_bytes() for path in target.iterdir()}

    def full(folder: Path, run: Run) -> None:
        (folder / "work_list.csv").write_text("half", encoding="utf-8")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(saving, "_write", full)
    with pytest.raises(BundlerError, match="No space left"):
        saving.save(run, target)
    assert {path.name: path.read_bytes() for path in target.iterdir()} == before
    assert [path.name for path in tmp_path.iterdir()] == ["plan"]


def test_a_note_of_ones_own_in_the_folder_is_kept(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "plan"
    saving.save(run, target)
    (target / "my_notes.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(BundlerError, match="Move your files out"):
        saving.save(run, target)
    assert (target / "my_notes.txt").read_text(encoding="utf-8") == "mine"


def test_the_tables_of_a_run_are_named(run: Run) -> None:
    assert set(run.tables) == {*RESULTS, "outage_dates"}


def test_a_file_in_the_way_is_left_alone(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "plan"
    target.write_text("mine", encoding="utf-8")
    with pytest.raises(BundlerError, match="holds more than an earlier plan"):
        saving.save(run, target)
    assert target.read_text(encoding="utf-8") == "mine"


def test_money_carries_its_unit() -> None:
    assert money(1234.0, "k$") == "1.2 M$"
    assert money(950.0, "k$") == "950 k$"
    assert money(1234.0, "EUR") == "1,234 EUR"
