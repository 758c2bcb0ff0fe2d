"""The house rules that a machine can hold: floors, owners, sizes, no print."""

import ast
import statistics
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "bundler"
FILES = sorted(PACKAGE.rglob("*.py"))

#: which stages each stage may import beside its own folder; ground: the files everybody may use
GROUND = {
    "errors",
    "units",
    "tables",
    "case",
    "calendar",
    "choice",
    "learning",
    "nearest",
    "dose",
    "hours",
    "intervals",
}
FLOORS: dict[str, set[str]] = {
    "read": set(),
    "check": {"life"},
    "life": set(),
    "risk": {"life"},
    "courses": {"life", "risk"},
    "limits": set(),
    "dates": set(),
    "shared": {"life", "risk", "courses"},
    "compose": {"courses", "limits"},
    "program": set(),
    "solve": {"program", "risk", "standing"},
    "standing": set(),
    "clash": {"program", "solve"},
    "plan": set(),
    "judge": {"life"},
    "explain": {"life", "risk", "courses", "limits", "shared", "compose", "standing", "plan"},
    "confirm": {"courses", "program", "solve", "standing", "explain"},
    "trial": {"courses", "standing", "plan", "explain", "confirm"},
    "results": {"courses", "limits", "shared", "program", "solve", "plan", "explain", "trial"},
    "recost": {"courses", "solve"},
    "around_plan": {"courses", "shared", "compose", "recost", "solve", "standing"},
    "rounds": {"courses", "shared", "compose", "around_plan", "solve", "standing"},
    "tailed": {"courses", "shared", "compose", "around_plan", "rounds", "solve", "standing"},
    "run": {
        "read",
        "check",
        "dates",
        "courses",
        "shared",
        "compose",
        "around_plan",
        "rounds",
        "tailed",
        "solve",
        "standing",
        "clash",
        "plan",
        "judge",
        "results",
    },
    "level": {"limits", "plan", "standing"},
    "reopen": {
        "courses",
        "shared",
        "compose",
        "dates",
        "around_plan",
        "standing",
        "plan",
        "level",
    },
    "executable": {"around_plan", "rounds", "run", "judge", "level", "plan", "reopen", "solve"},
    "slip": {
        "courses",
        "shared",
        "compose",
        "around_plan",
        "executable",
        "judge",
        "level",
        "plan",
        "reopen",
        "standing",
    },
    "frontier": {
        "run",
        "dates",
        "around_plan",
        "rounds",
        "tailed",
        "compose",
        "solve",
        "plan",
        "judge",
    },
    "sweep": {
        "read",
        "check",
        "life",
        "dates",
        "compose",
        "shared",
        "around_plan",
        "rounds",
        "tailed",
        "run",
        "solve",
        "standing",
        "plan",
        "judge",
    },
    "report": {
        "run",
        "level",
        "executable",
        "slip",
        "sweep",
        "dates",
        "results",
        "frontier",
        "plan",
        "explain",
        "judge",
        "life",
        "risk",
    },
    "cli": {"run", "frontier", "sweep", "report", "solve", "cli_days", "cli_screen"},
    "cli_days": {
        "run",
        "executable",
        "slip",
        "reopen",
        "level",
        "report",
        "solve",
        "cli_screen",
    },
    "cli_screen": {"report"},
    "__init__": {"run", "report", "solve", "explain"},
    "__main__": {"cli"},
}
#: each outside library and the places that may use it; numpy and pandas are for all
OWNERS = {
    "yaml": {"read/settings.py"},
    "pulp": {"program", "solve"},
    "highspy": {"solve/highs.py"},
    "numba": {"solve/compiled"},
    "ortools": {"level/solve.py", "level/cp_model.py"},
    "distributed": {"sweep/dask_runs.py"},
    "scipy": {
        "life",
        "risk",
        "solve/rank_fill.py",
        "solve/arrays.py",
        "solve/prices.py",
        "solve/ready.py",
        "solve/compiled",
        "standing",
        "explain/turning.py",
        "explain/life_tests.py",
        "level/three_points.py",
        "level/confidence.py",
    },
    "rich": {
        "cli_screen.py",
        "report/level.py",
        "report/chances.py",
        "report/screen.py",
        "report/component.py",
        "report/life.py",
    },
    "threadpoolctl": {"run.py", "sweep/one.py", "cli_days.py"},
    "typer": {"cli.py", "cli_screen.py", "cli_days.py"},
    "matplotlib": {"report/figures.py", "report/life_figures.py", "report/turn_figures.py"},
}
STANDARD_ONLY = {"numpy", "pandas", "bundler"}


def imports(path: Path) -> list[str]:
    """Return the dotted names a file imports."""
    names: list[str] = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.append(node.module)
            if node.module == "bundler":
                names += [f"bundler.{alias.name}" for alias in node.names]
    return names


def stage(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_go_down_the_floors(path: Path) -> None:
    own = stage(path)
    allowed = GROUND | FLOORS.get(own, set()) | {own}
    if own in GROUND:
        allowed = GROUND
    used = {name.split(".")[1] for name in imports(path) if name.startswith("bundler.")}
    assert used <= allowed, f"{path.name} may not import {sorted(used - allowed)}"


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_outside_libraries_have_owners(path: Path) -> None:
    where = str(path.relative_to(PACKAGE))
    for name in {name.split(".")[0] for name in imports(path)}:
        owners = OWNERS.get(name)
        if owners is not None:
            folders = {str(folder) for folder in Path(where).parents}
            assert where in owners or folders & owners, f"{name} in {where}"


def test_files_are_small() -> None:
    lengths = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in FILES}
    long = {str(path.relative_to(ROOT)): n for path, n in lengths.items() if n > 300}
    assert not long
    assert statistics.median(lengths.values()) <= 120


def test_no_file_is_a_drawer() -> None:
    drawers = {"utils.py", "common.py", "helpers.py", "base.py"}
    assert not [path for path in FILES if path.name in drawers]


def test_every_folder_says_what_goes_in_and_comes_out() -> None:
    for path in PACKAGE.rglob("__init__.py"):
        text = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
        assert text and len(text) > 30, path
