"""What the documents say is what the code knows."""

import json
import re
from pathlib import Path

import nbformat
import pytest
from typer.main import get_command

from bundler.check import CHECKS
from bundler.cli import app
from bundler.tables import dictionary

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_readme_begins_with_the_job_in_one_paragraph() -> None:
    title, paragraph = README.split("\n\n")[:2]
    assert title.startswith("# ") and len(paragraph.split()) > 60


def test_readme_names_every_command_and_no_other() -> None:
    commands = set(get_command(app).commands)  # type: ignore[attr-defined]
    told = set(re.findall(r"^scope-bundler (\w+)", README, flags=re.M))
    assert told == commands


def test_readme_names_every_input_table() -> None:
    section = README.split("## What goes in")[1].split("## What comes out")[0]
    told = set(re.findall(r"`(\w+)`", section))
    assert told == {name for name in dictionary() if name != "settings"}


def test_the_demo_page_names_every_table_there() -> None:
    text = (ROOT / "asset_data" / "README.md").read_text(encoding="utf-8")
    for path in (ROOT / "asset_data").glob("*.csv"):
        assert path.stem in text, path.stem


def test_every_check_says_what_it_holds() -> None:
    for check in CHECKS:
        assert check.__doc__


def test_pictures_and_links_of_the_documents_exist() -> None:
    for text in (README, DEVELOPERS):
        for target in re.findall(r"\]\(([^)#]+)\)", text):
            assert (ROOT / target).exists(), target


@pytest.mark.parametrize("path", sorted((ROOT / "notebooks").glob("*.ipynb")), ids=lambda p: p.name)
def test_notebooks_are_stored_without_outputs(path: Path) -> None:
    book = json.loads(path.read_text(encoding="utf-8"))
    nbformat.validate(book)
    cells = [cell for cell in book["cells"] if cell["cell_type"] == "code"]
    assert all(not cell["outputs"] and cell["execution_count"] is None for cell in cells)
    assert not any("def " in "".join(cell["source"]) for cell in cells), "stories, never functions"


def test_no_machine_path_or_address_is_committed() -> None:
    """Constraints pin versions only; nothing names a machine's folder or a registry."""
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    assert lines and all(
        re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.!+_-]+", line) for line in lines
    )
