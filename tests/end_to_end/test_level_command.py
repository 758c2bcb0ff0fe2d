"""The commands that put a plan on days, as a person would run them, on the tiny station."""

import shutil
from pathlib import Path

import pandas as pd
import pytest

from tests.end_to_end.test_command_line import TINY, call


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the tiny station, planned into `plan` and levelled into `level`."""
    folder = tmp_path_factory.mktemp("days")
    shutil.copytree(TINY, folder / "tiny")
    for words in (("plan", "tiny"), ("level", "tiny", "--work", "1")):
        done = call(*words, cwd=folder)
        assert done.returncode == 0, done.stderr
    assert "Every work has its days." in done.stdout and "Caution" in done.stdout
    return folder


def test_a_plan_on_days_then_its_chances(planned: Path) -> None:
    days = pd.read_csv(planned / "level" / "level_days.csv")
    listed = pd.read_csv(planned / "plan" / "work_list.csv")
    in_outages = listed[listed["period"].isin(days["outage"])]
    assert len(days[days["kind"] == "work"]) == len(in_outages) > 0
    done = call("confidence", "tiny", "--runs", "500", cwd=planned)
    assert done.returncode == 0, done.stderr
    table = pd.read_csv(planned / "confidence" / "confidence.csv")
    assert (table["p50_finish_days"] <= table["p80_finish_days"]).all()
    assert (table["p80_finish_days"] <= table["p90_finish_days"]).all()
    assert (table["p50_finish_days"] >= table["levelled_days"] * 0.9).all()


def same_files(one: Path, two: Path) -> None:
    """Assert that two folders hold the same files, byte for byte."""
    names = sorted(path.name for path in one.iterdir())
    assert names == sorted(path.name for path in two.iterdir())
    for name in names:
        assert (one / name).read_bytes() == (two / name).read_bytes(), name


def test_the_same_plan_gives_the_same_days_byte_for_byte(planned: Path) -> None:
    assert call("level", "tiny", "--work", "1", "--out", "two", cwd=planned).returncode == 0
    same_files(planned / "level", planned / "two")
    for name in ("sure", "again"):
        words = ("confidence", "tiny", "--level", "two", "--out", name, "--runs", "500")
        assert call(*words, cwd=planned).returncode == 0
    same_files(planned / "sure", planned / "again")


def test_a_slip_tells_what_changes(planned: Path) -> None:
    outage = pd.read_csv(planned / "plan" / "work_list.csv")["period"].iloc[0]
    words = ("level", "tiny", "--work", "1", "--slip", f"{outage}=7")
    done = call(*words, cwd=planned)
    assert done.returncode == 0, done.stderr
    assert f"{outage} 7 d later" in done.stdout
    moved = pd.read_csv(planned / "slip" / "slip.csv")["moved_days"]
    assert len(moved) and (moved == 7).all()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("level", "--plan", "elsewhere"), "There is no finished plan in elsewhere."),
        (("level", "--outages", "P9"), "P9 is no outage with works of this plan."),
        (("level", "--slip", "soon"), "--slip soon is not understood."),
        (("level", "--slip", "P1=nan"), "--slip P1=nan is not understood."),
        (("level", "--slip", "P1=3000"), "P1 cannot move by 3000 days"),
        (("confidence", "--outages", "P9"), "P9 is no levelled outage of this plan."),
        (("level", "--slip", "P9=7"), "There is no outage P9 in outages.csv."),
        (("confidence", "--level", "elsewhere"), "There is no levelled plan in elsewhere."),
    ],
)
def test_a_fault_is_one_sentence(words: tuple[str, ...], said: str, planned: Path) -> None:
    done = call(words[0], "tiny", *words[1:], "--out", "out", cwd=planned)
    assert done.returncode == 1
    assert said in done.stderr and "Traceback" not in done.stderr
    assert not (planned / "out").exists()
