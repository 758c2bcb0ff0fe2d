"""The screen and the picture of a life: units, cautions, nothing left out, nothing made up."""

import io
import re
from pathlib import Path

import numpy as np
import pytest
from matplotlib import image
from rich.console import Console

from bundler.case import Case
from bundler.errors import BundlerError
from bundler.explain.life_report import LifeReport, life_report
from bundler.read.folder import read_case
from bundler.report import CAUTIONS
from bundler.report.life import number, show_life
from bundler.report.life_figures import check_picture, life_picture, paper, save_picture


@pytest.fixture(scope="module")
def demo(demo_folder: Path) -> Case:
    return read_case(demo_folder)


def screen(case: Case, name: str, mode: str = "") -> str:
    """Return what is printed on a screen of 100 columns, its blanks made single."""
    console = Console(file=io.StringIO(), width=100, highlight=False)
    show_life(case, name, mode, console)
    assert isinstance(console.file, io.StringIO)
    printed = console.file.getvalue()
    assert max(len(line) for line in printed.splitlines()) <= 100
    return re.sub(r"\s+", " ", printed)


def test_a_family_is_told_with_units_and_cautions(demo: Case) -> None:
    told = screen(demo, "BFP")
    assert "48 records, 16 failures" in told and "other 17 (9)" in told
    assert "The systems deteriorate" in told and "minimal repair" in told
    assert re.search(r"scale 22\.7 years 19\.9 years 27 years", told)
    assert re.search(r"50 % failed by 20 years 17\.3 years 23\.4 years", told)
    assert "limits the life from both sides" in told and "life 26 years" in told
    assert re.search(r"Q1 3 8\.5 26 years 24\.6 years 20 to 31\.6 years", told)
    assert re.search(r"bearing 5 32\.3 years", told)
    assert re.search(r"Kijima II 0\.11 0\.00 0\.53", told)
    assert CAUTIONS[0] in told and CAUTIONS[2] in told


def test_what_the_record_does_not_tell_is_said(demo: Case) -> None:
    told = screen(demo, "GEN-CB")
    assert "cannot be identified from its data" in told
    assert "The prior is used instead: weibull, life 62 years" in told
    assert "The plan leaves the record out" in told
    assert "Repairs: not told" in told and "No failure names its mode" in told


def test_a_component_is_told_with_its_readings(demo: Case) -> None:
    told = screen(demo, "Q1-CEP-1")
    assert "Age 14.3 years" in told and re.search(r"5 years 0\.\d+, 10 years 0\.\d+", told)
    assert "2024-06-01: 4.94 +/- 0.3 %" in told and "limit 7 %" in told
    assert "+0.31 +/- 0.069 % a year" in told and "years more" in told
    assert "84 °C for 25 % of the time" in screen(demo, "Q1-MOT")
    assert "4 readings of an earlier life left out" in screen(demo, "Q2-CON-VLV-A")


@pytest.mark.parametrize("name", ["AFP", "CM-COM", "UPS", "Q4-FWH-HP-1", "Q3-BAT-A"])
def test_every_kind_of_life_is_told_without_nan(demo: Case, name: str) -> None:
    told = screen(demo, name)
    assert not re.search(r"\bnan\b|\binf\b|None", told) and "Caution" in told


def test_one_mode_and_unknown_modes(demo: Case) -> None:
    assert "11 failures by seal" in screen(demo, "BFP", "seal")
    with pytest.raises(BundlerError, match='Did you mean "seal"'):
        screen(demo, "Q1-BFP-1", "sael")
    with pytest.raises(BundlerError, match="No failure names its mode"):
        screen(demo, "GEN-CB", "seal")


def test_names_of_nothing_have_near_misses(demo: Case) -> None:
    with pytest.raises(BundlerError, match="no family or component 'BFPX'.*Did you mean BFP"):
        screen(demo, "BFPX")
    with pytest.raises(BundlerError, match="See families.csv and components.csv"):
        screen(demo, "!!")


def test_numbers_have_three_figures_and_no_powers() -> None:
    assert [number(x) for x in (1234.5, 22.7019, 0.30461, float("inf"))] == [
        "1,234", "22.7", "0.305", "open",
    ]  # fmt: skip


def test_weibull_paper_makes_a_weibull_life_a_straight_line() -> None:
    """ln(-ln(1 - F)) of (t / eta)^beta is beta ln t - beta ln eta."""
    ages = np.array([1.0, 5.0, 20.0])
    height = paper(-np.expm1(-((ages / 12.0) ** 2.5)))
    assert height == pytest.approx(2.5 * np.log(ages / 12.0))
    assert np.isnan(paper(np.array([0.0, 1.0]))).all()


@pytest.mark.parametrize(
    ("name", "panels"),
    [("BFP", 2), ("FW-RV", 2), ("UPS", 1), ("GEN-CB", 1), ("Q1-CEP-1", 3), ("Q1-CON-VLV-A", 1),
     ("Q4-FWH-HP-1", 1), ("Q1-SW-PIP-A", 1), ("Q2-FAC-EXT", 1), ("SWP", 2)],
)  # fmt: skip
def test_only_panels_that_exist_are_drawn(
    demo: Case, tmp_path: Path, name: str, panels: int
) -> None:
    """A picture draws without a warning (they are errors here), has ink, titles and units."""
    report = life_report(demo, name)
    figure = life_picture(report)
    assert len(figure.axes) == panels
    for axes in figure.axes:
        assert axes.get_title(loc="left")
        assert re.search(r"\[.+\]|calendar year", axes.get_xlabel())
        assert re.search(r"\[.+\]", axes.get_ylabel())
    save_picture(report, tmp_path / "life.png")
    ink = image.imread(tmp_path / "life.png")[..., :3].min(axis=2) < 0.5
    assert 0.003 < ink.mean() < 0.5


def drawn(report: LifeReport, label: str) -> np.ndarray:
    """Return the points of a line of the first panel by its label."""
    (line,) = [x for x in life_picture(report).axes[0].get_lines() if x.get_label() == label]
    return np.asarray(line.get_xydata())


def test_the_prior_is_dashed_and_the_fit_goes_through_its_median(demo: Case) -> None:
    report = life_report(demo, "BFP")
    prior, fitted = drawn(report, "prior"), drawn(report, "weibull fit")
    assert prior[:, 1] == pytest.approx(2.0 * np.log(prior[:, 0] / 26.0))
    half = np.interp(np.log(np.log(2)), fitted[:, 1], np.log(fitted[:, 0]))
    assert np.exp(half) == pytest.approx(report.fit.bounds["50 % failed by"].estimate, rel=1e-6)
    assert len(drawn(report, "failures seen")) == 16


def test_nothing_to_draw_and_nowhere_to_put_it(demo: Case, tmp_path: Path) -> None:
    with pytest.raises(BundlerError, match="nothing to draw for AFP"):
        life_picture(life_report(demo, "AFP"))
    with pytest.raises(BundlerError, match="no folder"):
        check_picture(tmp_path / "nowhere" / "life.png")
    with pytest.raises(BundlerError, match="end in one of .png"):
        check_picture(tmp_path / "life.txt")
    (tmp_path / "life.png").mkdir()
    with pytest.raises(BundlerError, match="is a folder"):
        check_picture(tmp_path / "life.png")
    with pytest.raises(BundlerError, match="could not be written"):
        save_picture(life_report(demo, "GEN-CB"), tmp_path / "gone" / "life.png")
