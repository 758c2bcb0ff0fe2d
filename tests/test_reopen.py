"""A finished plan opened again is the same plan; one of other tables is refused."""

from pathlib import Path

import pytest

from bundler import Run, plan_folder
from bundler.errors import BundlerError
from bundler.plan.chosen import cost_parts
from bundler.reopen import reopen
from bundler.report.save import save
from bundler.run import load_case
from bundler.solve.highs import Options


@pytest.fixture
def saved(tiny_folder: Path, tmp_path: Path) -> tuple[Run, Path]:
    run = plan_folder(tiny_folder, Options(gap_share=0.0))
    save(run, tmp_path / "plan")
    return run, tmp_path / "plan"


def test_the_same_works_at_the_same_cost(saved: tuple[Run, Path], tiny_folder: Path) -> None:
    run, folder = saved
    opened = reopen(load_case(tiny_folder)[0], folder)
    names = ["component", "action", "period"]
    assert opened.picked.works[names].equals(run.picked.works[names])
    assert cost_parts(opened.choices, opened.picked) == cost_parts(run.choices, run.picked)


@pytest.mark.slow
def test_the_plan_of_the_demo_too(demo_plan: Run, demo_folder: Path, tmp_path: Path) -> None:
    """With shared losses, learning and dates that were chosen; its cost to the cent."""
    save(demo_plan, tmp_path / "plan")
    opened = reopen(load_case(demo_folder)[0], tmp_path / "plan")
    told, own = (cost_parts(each.choices, each.picked) for each in (demo_plan, opened))
    assert own == pytest.approx(told, rel=1e-9)
    assert len(opened.picked.works) == len(demo_plan.picked.works)


def test_no_plan_in_the_folder(tiny_folder: Path, tmp_path: Path) -> None:
    with pytest.raises(BundlerError, match="no finished plan in .*Run the command plan first"):
        reopen(load_case(tiny_folder)[0], tmp_path)


def test_tables_that_have_changed_are_named(saved: tuple[Run, Path], tiny_folder: Path) -> None:
    path = tiny_folder / "crews.csv"
    path.write_text(path.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    with pytest.raises(BundlerError, match=r"made before crews\.csv changed"):
        reopen(load_case(tiny_folder)[0], saved[1])


def test_works_that_are_no_plan(saved: tuple[Run, Path], tiny_folder: Path) -> None:
    run, folder = saved
    listed = folder / "work_list.csv"
    lines = listed.read_text(encoding="utf-8").splitlines(keepends=True)
    first = str(run.tables["work_list"]["action"].iloc[0])
    listed.write_text("".join([lines[0], lines[1].replace(first, "paint")]), encoding="utf-8")
    with pytest.raises(BundlerError, match="no plan of this station"):
        reopen(load_case(tiny_folder)[0], folder)
