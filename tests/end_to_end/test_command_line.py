"""The commands as a person types them: words, exit codes, files, nothing half written."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest

ROOT = Path(__file__).parents[2]
TINY = ROOT / "tests" / "tiny"


def call(*words: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run the command line in a folder of its own and return what it said."""
    return subprocess.run(
        [sys.executable, "-m", "bundler", *map(str, words)],
        cwd=cwd, capture_output=True, text=True, timeout=300, check=False,
        env=os.environ | {"COLUMNS": "100", "NO_COLOR": "1", "TERM": "dumb"},
    )  # fmt: skip


@pytest.fixture
def station(tmp_path: Path) -> Path:
    folder = tmp_path / "station"
    shutil.copytree(TINY, folder)
    return folder


def test_help_names_the_commands(tmp_path: Path) -> None:
    said = call("--help", cwd=tmp_path).stdout
    for name in ("check", "plan", "show", "life", "frontier"):
        assert name in said
    assert "balance-of-plant" in said


def test_check_says_what_it_read(station: Path, tmp_path: Path) -> None:
    done = call("check", station, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "3 components" in done.stdout and "no errors" in done.stdout


def test_plan_writes_every_table_and_the_summary(station: Path, tmp_path: Path) -> None:
    done = call("plan", station, "--out", "out", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Caution" in done.stdout and "proven" in done.stdout
    out = tmp_path / "out"
    told = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    for key in ("status", "objective_pv_cost", "bound_pv_cost", "gap_share", "solve_seconds",
                "peak_memory_mb", "components_count", "courses_count", "input_hashes", "versions"):  # fmt: skip
        assert key in told, key
    names = {path.stem for path in out.glob("*.csv")}
    assert names == {"work_list", "deferrals", "loads", "prices", "ruled_out", "reasons",
                     "risk_by_year", "cash_flow", "orders", "findings", "outages",
                     "life_tests", "inspections", "groups", "stocks", "pins", "capability",
                     "longest_chains", "outage_dates"}  # fmt: skip
    assert len(pd.read_csv(out / "reasons.csv")) == told["components_count"] == 3
    assert told["breaches"] == []


def test_the_same_input_gives_the_same_bytes(station: Path, tmp_path: Path) -> None:
    for name in ("one", "two"):
        assert call("plan", station, "--out", name, cwd=tmp_path).returncode == 0
    for path in sorted((tmp_path / "one").iterdir()):
        other = tmp_path / "two" / path.name
        if path.name != "summary.json":
            assert path.read_bytes() == other.read_bytes(), path.name
            continue
        first, second = (json.loads(p.read_text(encoding="utf-8")) for p in (path, other))
        apart = {"solve_seconds", "peak_memory_mb", "stage_seconds"}
        assert {k: v for k, v in first.items() if k not in apart} == {
            k: v for k, v in second.items() if k not in apart
        }


def test_a_plan_replaces_an_earlier_plan_but_nothing_else(station: Path, tmp_path: Path) -> None:
    assert call("plan", station, "--out", "out", cwd=tmp_path).returncode == 0
    assert call("plan", station, "--out", "out", cwd=tmp_path).returncode == 0
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "letter.txt").write_text("keep me", encoding="utf-8")
    done = call("plan", station, "--out", "mine", cwd=tmp_path)
    assert done.returncode == 1
    assert "holds more than an earlier plan" in done.stderr
    assert [path.name for path in mine.iterdir()] == ["letter.txt"]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mine", "out", "station"]


def test_bad_input_is_told_with_code_2_and_nothing_is_written(
    station: Path, tmp_path: Path
) -> None:
    rows = pd.read_csv(station / "actions.csv", dtype=str, keep_default_na=False)
    rows.loc[0, "days"] = "ten"
    rows.loc[1, "cost"] = "-5"
    rows.to_csv(station / "actions.csv", index=False)
    done = call("plan", station, "--out", "out", cwd=tmp_path)
    assert done.returncode == 2
    assert "actions.csv row 2" in done.stderr and "actions.csv row 3" in done.stderr
    assert "nothing was written" in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()


def test_no_such_folder(tmp_path: Path) -> None:
    done = call("check", "nowhere", cwd=tmp_path)
    assert done.returncode == 2 and "no such folder" in done.stderr.lower()


def test_show_one_component(station: Path, tmp_path: Path) -> None:
    parts = pd.read_csv(station / "components.csv")
    name = str(parts["component"].iloc[0])
    before = call("show", station, name, cwd=tmp_path)
    assert before.returncode == 0 and "No plan yet" in before.stdout
    assert call("plan", station, "--out", "plan", cwd=tmp_path).returncode == 0
    after = call("show", station, name, cwd=tmp_path)
    assert "Plan:" in after.stdout and "Caution" in after.stdout


def test_show_suggests_near_names(station: Path, tmp_path: Path) -> None:
    name = str(pd.read_csv(station / "components.csv")["component"].iloc[0])
    done = call("show", station, name + "X", cwd=tmp_path)
    assert done.returncode == 1
    assert "Did you mean" in done.stderr and name in done.stderr


def test_an_impossible_statutory_date_ends_with_code_3(station: Path, tmp_path: Path) -> None:
    name = str(pd.read_csv(station / "components.csv")["component"].iloc[0])
    planning = next(
        line.split(":")[1].strip()
        for line in (station / "station.yaml").read_text(encoding="utf-8").splitlines()
        if line.startswith("planning_date")
    )
    due = f"component,due_date\n{name},{int(planning[:4])}-{planning[5:7]}-28\n"
    (station / "mandates.csv").write_text(due, encoding="utf-8")
    done = call("plan", station, "--out", "out", cwd=tmp_path)
    assert done.returncode == 3, done.stderr
    assert name in done.stderr and "statutory" in done.stderr
    assert not (tmp_path / "out").exists()
