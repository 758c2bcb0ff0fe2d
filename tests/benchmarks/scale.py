"""How long to a plan, how good and how large, by size, beside named baselines in the same run.

    python tests/benchmarks/scale.py --sizes 300 1000 --seconds 60 --way prices

Each method runs in a process of its own, so that its peak of memory is its own. One line a method
is added to results/scale.csv. See README.md beside this file.
"""

import argparse
import csv
import json
import os
import platform
import subprocess
import sys
import time
from importlib.metadata import version
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import own_tests  # noqa: F401  # isort: skip

from tests.benchmarks.growth import exponent
from tests.benchmarks.scale_logs import seconds_to_gap
from tests.benchmarks.scale_methods import METHODS, Task, measure

RESULTS = Path(__file__).parent / "results" / "scale.csv"
PACKAGES = ("numpy", "pulp", "highspy", "ortools", "scope-bundler")
BASELINES = [name for name in METHODS if name != "prices"]
COLUMNS = [
    "date", "components_count", "seed", "method", "limit_seconds", "gap_asked_share", "status", "holds",
    "pv_cost", "bound_pv_cost", "gap_share", "gap_to_best_bound_share", "cost_to_rank_fill_ratio",
    "cost_to_whole_ratio", "took_seconds", "proven_seconds", "near_seconds", "near_to_whole_ratio",
    "is_at_most", "peak_mb", "workers_peak_mb", "station_mb", "station_seconds", "load_before", "cores", "python",
    *PACKAGES,
]  # fmt: skip


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--sizes", type=int, nargs="+", default=[300, 1000])
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=60.0, help="for our way")
    parser.add_argument("--times", type=float, default=2.0, help="baselines have so many times it")
    parser.add_argument("--gap", type=float, default=0.02, help="gap to reach, as a share")
    parser.add_argument("--way", nargs="*", default=["prices"], choices=["prices"])
    parser.add_argument("--baselines", nargs="*", default=BASELINES,
                        choices=BASELINES)  # fmt: skip
    parser.add_argument("--solvers-up-to", type=int, default=1000,
                        help="largest size given to HiGHS and CP-SAT")  # fmt: skip
    parser.add_argument("--one", help=argparse.SUPPRESS)
    return parser.parse_args()


def in_own_process(task: Task) -> dict[str, Any]:
    """Return what `measure` tells of a task, done in a process of its own."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "told.json"
        asked = json.dumps([str(path), *vars(task).values()])
        ended = subprocess.run(
            [sys.executable, __file__, "--one", asked], capture_output=True, check=False, text=True
        )
        if path.exists():
            return dict(json.loads(path.read_text()))
    last = (ended.stderr.strip().splitlines() or [""])[-1]
    return {**vars(task), "status": f"ended with {ended.returncode}: {last}", "trace": []}


def _versions() -> dict[str, Any]:
    packages = {name: version(name) for name in PACKAGES}
    return {"cores": os.cpu_count(), "python": platform.python_version(), **packages}


def _share(cost: float | None, bound: float | None) -> float | None:
    return None if not cost or bound is None else max(cost - bound, 0.0) / abs(cost)


def _ratio(one: float | None, other: float | None) -> float | None:
    return one / other if one and other else None


def _near(told: list[dict[str, Any]], best: float | None) -> dict[str, float | None]:
    """Return when each method first had a plan that holds within the gap of the best bound."""
    return {
        row["method"]: seconds_to_gap(row["trace"], row["gap_share"], best)
        if best is not None and row.get("holds")
        else None
        for row in told
    }


def held_against(told: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return a row a method of one size: ratios to the baselines, seconds to the gap.

    proven_seconds: plan within the gap of the method's own bound; near_seconds: of the best bound
    that any method of the run has proven. Where the whole program never came near, its time limit
    stands for its time, and the ratio is at most what is told.
    """
    bounds = [row["bound_pv_cost"] for row in told if row.get("bound_pv_cost") is not None]
    best = max(bounds, default=None)
    by_name = {row["method"]: row for row in told}
    whole, listed = by_name.get("whole", {}), by_name.get("rank_fill", {})
    near = _near(told, best)
    other = near.get("whole") or whole.get("seconds")
    return [
        {
            **row,
            "limit_seconds": row["seconds"],
            "gap_asked_share": row["gap_share"],
            "gap_share": _share(row.get("pv_cost"), row.get("bound_pv_cost")),
            "gap_to_best_bound_share": _share(row.get("pv_cost"), best),
            "cost_to_rank_fill_ratio": _ratio(row.get("pv_cost"), listed.get("pv_cost")),
            "cost_to_whole_ratio": _ratio(row.get("pv_cost"), whole.get("pv_cost")),
            "proven_seconds": seconds_to_gap(row["trace"], row["gap_share"]),
            "near_seconds": near[row["method"]],
            "near_to_whole_ratio": _ratio(near[row["method"]], other),
            "is_at_most": near.get("whole") is None if other and near[row["method"]] else None,
        }
        for row in told
    ]


def _text(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.5g}" if abs(value) < 1000 else f"{value:.1f}"
    return "" if value is None else str(value)


def keep(rows: list[dict[str, Any]]) -> None:
    """Add rows to the table of results."""
    is_new = not RESULTS.exists()
    with RESULTS.open("a", newline="", encoding="utf-8") as file:
        table = csv.DictWriter(file, COLUMNS, extrasaction="ignore")
        if is_new:
            table.writeheader()
        table.writerows([{name: _text(row.get(name)) for name in COLUMNS} for row in rows])


def _say(row: dict[str, Any]) -> None:
    shown = ("components_count", "method", "pv_cost", "gap_to_best_bound_share", "cost_to_rank_fill_ratio",
             "cost_to_whole_ratio", "took_seconds", "proven_seconds", "near_seconds", "peak_mb")  # fmt: skip
    print(
        "  ".join(f"{_text(row.get(name)) or '-':>10}" for name in shown), row["status"], flush=True
    )


def _one_size(asked: argparse.Namespace, size: int) -> list[dict[str, Any]]:
    names = [*asked.way, *asked.baselines]
    if size > asked.solvers_up_to:
        names = [name for name in names if name == "rank_fill" or name in asked.way]
    told = []
    for name in names:
        limit = asked.seconds * (1.0 if name in asked.way else asked.times)
        told.append(in_own_process(Task(name, size, asked.seed, limit, asked.gap)))
    same = {"date": time.strftime("%Y-%m-%d"), **_versions()}
    rows = [{**row, **same} for row in held_against(told)]
    keep(rows)
    for row in rows:
        _say(row)
    return rows


def main() -> None:
    """Measure every size; tell how the time of our way grows."""
    asked = _asked()
    if asked.one:
        path, *task = json.loads(asked.one)
        Path(path).write_text(json.dumps(measure(Task(*task))))
        return
    print("      size      method     pv cost  to best bound  to list    to whole     seconds    "
          "proven        near     peak MB")  # fmt: skip
    every = [row for size in asked.sizes for row in _one_size(asked, size)]
    own = [row for row in every if row["method"] in asked.way and row["proven_seconds"]]
    power = exponent([(row["components_count"], row["proven_seconds"]) for row in own])
    if power is not None:
        print(f"seconds to a gap of {asked.gap:.1%} grow as components to the power {power:.2f}")


if __name__ == "__main__":
    main()
