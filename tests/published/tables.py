"""Any multiple-choice case with limits as our own tables: one course and one work an option."""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray, IntArray

#: the one period of these cases
PERIOD = "O"


def empty(*columns: str) -> pd.DataFrame:
    """Return a table with these columns and no row."""
    return pd.DataFrame([], columns=list(columns))


def _courses(group: IntArray, cost: FloatArray) -> pd.DataFrame:
    names = np.char.mod("g%05d", group)
    return pd.DataFrame({
        "course": np.arange(len(group)), "component": names, "risk_pv_cost": cost,
        "planned_pv_cost": 0.0, "pv_cost": cost, "is_lean": True,
    })  # fmt: skip


def limit_table(amounts: pd.Series) -> pd.DataFrame:
    """Return one limit an amount, named by the index; nothing can be added to any."""
    return pd.DataFrame({
        "limit": amounts.index, "title": amounts.index, "measure": "hours",
        "resource": amounts.index, "period": PERIOD, "window": "all",
        "amount": amounts.to_numpy(dtype=float), "base_amount": amounts.to_numpy(dtype=float),
        "extension_amount": 0.0, "overtime": "", "overtime_share": 0.0,
    })  # fmt: skip


def option_tables(
    group: IntArray, cost: FloatArray, uses: pd.DataFrame, amounts: pd.Series
) -> Choices:
    """Return the tables of options of which one is taken in each group.

    group [Q] ascending and cost [Q] by option; uses has limit, placement (= option) and amount;
    amounts by limit. An option with no use is a course without work.
    """
    courses = _courses(group, cost)
    placed = courses[courses["course"].isin(uses["placement"])]
    works = pd.DataFrame({"course": placed["course"], "placement": placed["course"]})
    placements = pd.DataFrame({
        "placement": placed["course"], "component": placed["component"], "period": PERIOD,
        "extension_days": 0.0, "work_hours": 1.0,
    })  # fmt: skip
    periods = pd.DataFrame({
        "period": [PERIOD], "unit": "one", "day_cost": 0.0, "day_pv_cost": 0.0, "max_extension_days": 0.0,
    })  # fmt: skip
    return Choices(
        periods=periods, placements=placements.reset_index(drop=True), ruled_out=pd.DataFrame(),
        courses=courses, works=works.reset_index(drop=True), limits=limit_table(amounts), uses=uses,
        access=empty("access", "access_set", "pv_cost", "is_given", "period").astype({"is_given": bool}),
        access_members=empty("access", "placement"),
        access_uses=empty("limit", "access", "amount"),
        overtimes=empty("overtime", "period", "resource", "most_hours", "pv_cost_per_hour"),
        links=empty("link", "rule", "most"), link_terms=empty("link", "placement", "factor"),
    )  # fmt: skip


def dense_uses(use: FloatArray, names: Sequence[str]) -> pd.DataFrame:
    """Return the uses table of a matrix [Q, R] of what options use of the limits `names`."""
    option, limit = np.nonzero(use)
    return pd.DataFrame({
        "limit": np.asarray(names)[limit], "placement": option, "amount": use[option, limit],
    })  # fmt: skip


def limit_names(count: int) -> list[str]:
    """Return names of limits, in the order of their numbers."""
    return [f"r{number:04d}" for number in range(count)]
