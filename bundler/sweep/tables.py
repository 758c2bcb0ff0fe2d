"""The tables of a sweep: a row a run, its works, and what holds in every run."""

from collections.abc import Sequence
from typing import Any

import pandas as pd

from bundler.sweep.done import Done
from bundler.sweep.variants import Variant

#: parts of a plan's cost, and what is proven
COSTS = (
    "objective_pv_cost", "bound_pv_cost", "gap_share", "risk_pv_cost", "planned_pv_cost",
    "access_pv_cost", "extension_pv_cost", "overtime_pv_cost",
)  # fmt: skip
COLUMNS = (
    "run", "changes", "status", "reason", *COSTS, "kept_pv_cost", "works_count", "moved_count",
    "in_count", "out_count", "extension_days", "breaches_count",
)  # fmt: skip
AMOUNTS = (*COSTS, "kept_pv_cost", "extension_days")
COUNTS = ("works_count", "moved_count", "in_count", "out_count", "breaches_count")
#: whether the first work of a component is the same in every run with a plan
FIRM, OPEN = "firm", "open"

Runs = Sequence[tuple[Variant, Done]]


def moved(base: Done, done: Done) -> list[str]:
    """Return the components whose first work is another than in the base plan, sorted."""
    names = base.firsts.keys() | done.firsts.keys()
    return sorted(name for name in names if base.firsts.get(name) != done.firsts.get(name))


def _row(base: Done, variant: Variant, done: Done) -> dict[str, Any]:
    told: dict[str, Any] = {
        "run": variant.name, "changes": variant.words, "status": done.status,
        "reason": " ".join(done.reason.split()),
    }  # fmt: skip
    if not done.has_plan:
        return told
    told |= {name: round(done.costs[name], 6 if name == "gap_share" else 3) for name in COSTS}
    told |= {
        "kept_pv_cost": None if done.kept_pv_cost is None else round(done.kept_pv_cost, 3),
        "works_count": len(done.works), "extension_days": round(done.extension_days, 3),
        "breaches_count": len(done.breaches),
    }  # fmt: skip
    if base.has_plan:
        old, new = set(base.works), set(done.works)
        told["moved_count"] = len(moved(base, done))
        told |= {"in_count": len(new - old), "out_count": len(old - new)}
    return told


def runs_table(runs: Runs) -> pd.DataFrame:
    """Return one row a run, the base plan first; amounts are missing where there is no plan."""
    base = runs[0][1]
    table = pd.DataFrame([_row(base, *run) for run in runs], columns=list(COLUMNS))
    kinds = dict.fromkeys(COUNTS, "Int64") | dict.fromkeys(AMOUNTS, "float64")
    return table.astype(kinds)


def works_table(runs: Runs) -> pd.DataFrame:
    """Return all works of all runs: run, component, action, period."""
    found = [(variant.name, *work) for variant, done in runs for work in done.works]
    return pd.DataFrame(found, columns=["run", "component", "action", "period"])


def firm_table(runs: Runs, components: Sequence[str]) -> pd.DataFrame:
    """Return one row a component: its first work in the base plan, and the runs that turn it.

    Only runs with a plan count, the base plan among them; no rows where the base has no plan.
    """
    base = runs[0][1]
    planned = [(variant.name, done) for variant, done in runs if done.has_plan]
    turns: dict[str, list[str]] = {name: [] for name in sorted(components)}
    for name, done in planned if base.has_plan else []:
        for component in moved(base, done):
            turns[component].append(name)
    found = [
        (
            component, *base.firsts.get(component, ("", "")), len(planned) - len(names),
            len(planned), OPEN if names else FIRM, "; ".join(names),
        )
        for component, names in turns.items()
        if base.has_plan
    ]  # fmt: skip
    names = ["component", "action", "period", "same_count", "runs_count", "mark", "turned_by"]
    return pd.DataFrame(found, columns=names)


def seconds_table(runs: Runs, taken: Sequence[str]) -> pd.DataFrame:
    """Return how long each run took [s], and whether it was taken over from an earlier start."""
    found = [(variant.name, done.seconds, variant.name in taken) for variant, done in runs]
    return pd.DataFrame(found, columns=["run", "run_seconds", "is_taken_over"])
