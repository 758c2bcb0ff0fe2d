"""The command `life` as a person types it."""

from pathlib import Path

import pytest

from tests.end_to_end.test_command_line import TINY, call


def test_a_family_with_records_and_its_picture(demo_folder: Path, tmp_path: Path) -> None:
    done = call("life", demo_folder, "UPS", "--picture", "ups.png", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "9 records, 1 failure" in done.stdout and "years" in done.stdout
    assert "cannot be identified from its data" in done.stdout and "Caution" in done.stdout
    assert (tmp_path / "ups.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize("name", ["PUMP", "PUMP-A"])
def test_a_station_without_records_tells_its_priors(tmp_path: Path, name: str) -> None:
    done = call("life", TINY, name, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "lives.csv holds no life" in done.stdout and "life 30 years" in done.stdout


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("PUMPS",), "Did you mean PUMP"),
        (("valve-2",), "Did you mean VALVE-1"),
        (("PUMP", "--mode", "seal"), "No failure names its mode"),
        (("PUMP", "--picture", "nowhere/life.png"), "There is no folder nowhere"),
        (("PUMP", "--picture", "life.doc"), "end in one of"),
        (("PUMP", "--picture", "life.png"), "nothing to draw"),
    ],
)
def test_a_fault_is_one_sentence_and_a_code(
    tmp_path: Path, words: tuple[str, ...], told: str
) -> None:
    done = call("life", TINY, *words, cwd=tmp_path)
    assert done.returncode == 1
    assert told in done.stderr and "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert list(tmp_path.iterdir()) == []
