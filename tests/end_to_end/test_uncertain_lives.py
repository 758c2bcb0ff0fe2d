"""Plans under uncertain lives as a person asks for them: words, files, same bytes."""

import json
from pathlib import Path

import pandas as pd
import pytest

from tests.end_to_end.test_command_line import TINY, call


def test_a_plan_with_a_tail_tells_mean_and_tail_and_keeps_its_scenarios(tmp_path: Path) -> None:
    """Screen and summary tell both costs; scenarios.csv holds every family of every scenario."""
    done = call("plan", TINY, "--out", "out", "--tail", "0.3", "--seed", "7", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    for piece in ("20 scenarios", "seed 7", "worst 20%", "at the lives assumed", "every rule"):
        assert piece in " ".join(done.stdout.split()), piece
    told = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))
    lives = told["uncertain_lives"]
    assert lives["weight_share"] == 0.3 and lives["seed"] == 7
    both = 0.7 * lives["mean_pv_cost"] + 0.3 * lives["worst_pv_cost"]
    assert lives["weighted_pv_cost"] == pytest.approx(both, abs=0.01)
    assert told["bound_pv_cost"] <= lives["weighted_pv_cost"] + 1e-6
    costs = sorted(lives["scenario_pv_cost"].values())
    assert sum(costs) / 20 == pytest.approx(lives["mean_pv_cost"], abs=0.01)
    assert sum(costs[-4:]) / 4 == pytest.approx(lives["worst_pv_cost"], abs=0.01)
    table = pd.read_csv(tmp_path / "out" / "scenarios.csv")
    families = pd.read_csv(TINY / "families.csv")["family"]
    assert len(table) == 20 * len(families) and set(table["family"]) == set(families)
    assert told["breaches"] == []


def test_without_scenarios_nothing_of_them_is_told(tmp_path: Path) -> None:
    """The plain plan has no scenarios and replaces one that had."""
    assert call("plan", TINY, "--out", "out", "--scenarios", "5", cwd=tmp_path).returncode == 0
    assert (tmp_path / "out" / "scenarios.csv").exists()
    done = call("plan", TINY, "--out", "out", cwd=tmp_path)
    assert done.returncode == 0 and "scenario" not in done.stdout
    assert not (tmp_path / "out" / "scenarios.csv").exists()
    told = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))
    assert "uncertain_lives" not in told


def test_frontier_writes_its_tables_and_says_what_the_ends_mean(tmp_path: Path) -> None:
    """One row a plan, rising weights; the same seed gives the same bytes."""
    for name in ("one", "two"):
        done = call(
            "frontier", TINY, "--points", "3", "--scenarios", "8", "--out", name, cwd=tmp_path
        )
        assert done.returncode == 0, done.stderr
    said = " ".join(done.stdout.split())
    for piece in ("Weight 0", "Weight 1", "k$ of", "every plan holds", "Caution"):
        assert piece in said, piece
    table = pd.read_csv(tmp_path / "one" / "frontier.csv")
    assert list(table["weight_share"]) == [0.0, 0.5, 1.0]
    assert {path.name for path in (tmp_path / "one").iterdir()} == {"frontier.csv", "scenarios.csv"}
    for path in (tmp_path / "one").iterdir():
        assert path.read_bytes() == (tmp_path / "two" / path.name).read_bytes()


def test_frontier_replaces_its_own_and_nothing_else(tmp_path: Path) -> None:
    """An earlier frontier is replaced; a folder with more in it is left as it is."""
    words = ("frontier", TINY, "--points", "2", "--scenarios", "2", "--out", "mine")
    assert call(*words, cwd=tmp_path).returncode == 0
    assert call(*words, cwd=tmp_path).returncode == 0
    (tmp_path / "mine" / "note.txt").write_text("mine", encoding="utf-8")
    done = call(*words, cwd=tmp_path)
    assert done.returncode == 1 and "left as it is" in " ".join(done.stderr.split())
    assert (tmp_path / "mine" / "note.txt").exists()


@pytest.mark.parametrize("words", [("--tail", "1.5"), ("--tail", "-0.1"), ("--scenarios", "-1")])
def test_weights_outside_0_to_1_are_refused(words: tuple[str, str], tmp_path: Path) -> None:
    """The command line names the option and its range; nothing is written."""
    done = call("plan", TINY, *words, cwd=tmp_path)
    assert done.returncode == 2 and words[0] in done.stderr
    assert not (tmp_path / "plan").exists()
