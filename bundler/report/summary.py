"""The summary of a run: status, cost, bound, gap, and what made it."""

import platform
import resource
import sys
from dataclasses import asdict
from importlib.metadata import PackageNotFoundError, version
from typing import Any

from bundler.plan.chosen import cost_parts
from bundler.run import Run

#: keys of the summary that may differ between two runs on the same input
RUN_KEYS = ("solve_seconds", "peak_memory_mb", "stage_seconds")
PACKAGES = ("scope-bundler", "pulp", "highspy", "numpy", "pandas", "scipy")


def _versions() -> dict[str, str]:
    found = {"python": platform.python_version()}
    for name in PACKAGES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "not installed"
    return found


def peak_memory_mb() -> float:
    """Return the most memory this process has held [MB]."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return round(most / (1024 * 1024 if sys.platform == "darwin" else 1024), 1)


def costs(run: Run) -> dict[str, float]:
    """Return the plan's cost by part and what it is held against, in present value."""
    parts = cost_parts(run.choices, run.picked)
    parts["nothing_pv_cost"] = run.baselines.nothing_pv_cost
    parts["rank_fill_pv_cost"] = run.baselines.rank_fill_pv_cost
    return {name: round(value, 3) for name, value in parts.items()}


def _lives(run: Run) -> dict[str, Any]:
    """Return what the plan minimised over scenarios of lives; {} where lives are as assumed.

    Status, bound and gap of the summary are then those of weighted_pv_cost.
    """
    spread, tail = run.solved.spread, run.choices.tail
    if spread is None or tail is None:
        return {}
    names = sorted(run.tables["scenarios"]["scenario"].unique())
    told = zip(names, spread.scenario_pv_cost, strict=True)
    return {
        "uncertain_lives": {
            **asdict(tail.lives),
            "mean_pv_cost": round(spread.mean_pv_cost, 3),
            "worst_pv_cost": round(spread.worst_pv_cost, 3),
            "weighted_pv_cost": round(run.solved.objective_pv_cost, 3),
            "method": spread.method,
            "scenario_pv_cost": {name: round(float(cost), 3) for name, cost in told},
        }
    }


def _rounds(run: Run) -> list[dict[str, float | int]]:
    """Return what the plan of each round cost as charged and in truth; [] where all stand alone."""
    return [
        {
            "charged_pv_cost": round(each.charged_pv_cost, 3),
            "true_pv_cost": round(each.true_pv_cost, 3),
            "linearisation_error_pv_cost": round(each.charged_pv_cost - each.true_pv_cost, 3),
            "works_count": each.works_count,
        }
        for each in run.rounds
    ]


def summary(run: Run) -> dict[str, Any]:
    """Return the summary of a run; keys in RUN_KEYS may differ between equal runs."""
    solved = run.solved
    return {
        "station": run.case.settings.station,
        "planning_date": run.case.settings.planning_date.isoformat(),
        "horizon_end_date": run.case.settings.horizon_end_date.isoformat(),
        "currency": run.case.settings.currency,
        "price_year": run.case.settings.price_year,
        "status": solved.status,
        "way": solved.way,
        "bound_pv_cost": round(solved.bound_pv_cost, 3),
        "gap_share": round(solved.gap_share, 6),
        **costs(run),
        "rounds": _rounds(run),
        "outage_dates_pv_cost": round(run.dates_pv_cost, 3),
        "components_count": len(run.picked.courses),
        "placements_count": len(run.choices.placements),
        "courses_count": len(run.choices.courses),
        "limits_count": len(run.choices.limits),
        "works_count": len(run.picked.works),
        "deferred_count": len(run.tables["deferrals"]),
        "breaches": [breach.text for breach in run.breaches],
        "notes_count": len(run.findings),
        "input_hashes": dict(sorted(run.case.hashes.items())),
        "versions": _versions(),
        **_lives(run),
        "solve_seconds": round(solved.seconds, 3),
        "stage_seconds": dict(run.seconds),
        "peak_memory_mb": peak_memory_mb(),
    }
