"""The commands that put a plan on days, as a person would run them, on the tiny station."""

from pathlib import Path

import pandas as pd
import pytest

from tests.end_to_end.test_command_line import call


@pytest.fixture
def planned(tiny_folder: Path, tmp_path: Path) -> Path:
    """Return the folder of the tiny station, planned into `plan` beside it."""
    done = call("plan", str(tiny_folder), cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    return tiny_folder


def test_a_plan_on_days_then_its_chances(planned: Path, tmp_path: Path) -> None:
    done = call("level", str(planned), "--work", "1", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Every work has its days." in done.stdout and "Caution" in done.stdout
    days = pd.read_csv(tmp_path / "level" / "level_days.csv")
    listed = pd.read_csv(tmp_path / "plan" / "work_list.csv")
    in_outages = listed[listed["period"].isin(days["outage"])]
    assert len(days[days["kind"] == "work"]) == len(in_outages) > 0
    done = call("confidence", str(planned), "--runs", "500", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    table = pd.read_csv(tmp_path / "confidence" / "confidence.csv")
    assert (table["p50_finish_days"] <= table["p80_finish_days"]).all()
    assert (table["p80_finish_days"] <= table["p90_finish_days"]).all()
    assert (table["p50_finish_days"] >= table["levelled_days"] * 0.9).all()


def test_the_same_plan_gives_the_same_days_byte_for_byte(planned: Path, tmp_path: Path) -> None:
    for name in ("one", "two"):
        done = call("level", str(planned), "--work", "1", "--out", name, cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        done = call(
            "confidence",
            str(planned),
            "--level",
            name,
            "--out",
            f"{name}-sure",
            "--runs",
            "500",
            cwd=tmp_path,
        )
        assert done.returncode == 0, done.stderr
    for folders in (("one", "two"), ("one-sure", "two-sure")):
        files = [sorted((tmp_path / folder).iterdir()) for folder in folders]
        assert [path.name for path in files[0]] == [path.name for path in files[1]]
        for one, two in zip(*files, strict=True):
            assert one.read_bytes() == two.read_bytes(), one.name


def test_a_slip_tells_what_changes(planned: Path, tmp_path: Path) -> None:
    outage = pd.read_csv(tmp_path / "plan" / "work_list.csv")["period"].iloc[0]
    done = call(
        "level", str(planned), "--work", "1", "--slip", f"{outage}=7", "--out", "slip", cwd=tmp_path
    )
    assert done.returncode == 0, done.stderr
    assert f"{outage} 7 d later" in done.stdout
    assert (pd.read_csv(tmp_path / "slip" / "slip.csv")["moved_days"] == 7).all()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("level", "--plan", "elsewhere"), "There is no finished plan in elsewhere."),
        (("level", "--outages", "P9"), "P9 is no outage with works in this plan."),
        (("level", "--slip", "soon"), "--slip soon is not understood."),
        (("level", "--slip", "P9=7"), "There is no outage P9 in outages.csv."),
        (("confidence", "--level", "elsewhere"), "There is no levelled plan in elsewhere."),
    ],
)
def test_a_fault_is_one_sentence(
    words: tuple[str, ...], said: str, planned: Path, tmp_path: Path
) -> None:
    done = call(words[0], str(planned), *words[1:], "--out", "out", cwd=tmp_path)
    assert done.returncode == 1
    assert said in done.stderr and "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()
