"""What redundancy means in a plan: for each member of a group what it adds, and how it counts."""

import numpy as np
import pandas as pd

from bundler.choice import FloatArray
from bundler.risk.cut_sets import CutSets, cut_sets_of_lines
from bundler.risk.importance import fussell_vesely, importance, top_by
from bundler.shared.doing import Doings
from bundler.shared.groups import GroupSet
from bundler.shared.shared import Shared

NAMES = [
    "group", "component", "line", "lines_count", "out_chance", "lost_pv_cost", "charged_pv_cost",
    "birnbaum_chance", "fussell_vesely_share", "achievement_ratio", "reduction_ratio",
]  # fmt: skip


def _cut_sets(each: GroupSet) -> CutSets:
    """Return the smallest sets of members with which the group loses output."""
    lost = each.lost_cost_per_day.max(axis=1)
    lines = [np.flatnonzero(each.lines == line).tolist() for line in range(len(lost) - 1)]
    first = int(np.argmax(lost > 0))
    return cut_sets_of_lines(lines, len(lines) - first + 1)


def _measures(sets: CutSets, out: FloatArray) -> dict[str, FloatArray]:
    """Return how much each member counts for losing output at mean chances of being out [m]."""
    found = importance(top_by(sets), out)
    return {
        "birnbaum_chance": found.birnbaum,
        "fussell_vesely_share": fussell_vesely(sets, out),
        "achievement_ratio": found.achievement,
        "reduction_ratio": found.reduction,
    }


def _rows(each: GroupSet, plan: Doings) -> pd.DataFrame:
    """Return one row a member of a group."""
    chances = each.out_chances(plan)
    out = chances @ each.grid.days / each.grid.days.sum()
    table = pd.DataFrame(
        {
            "group": each.name,
            "component": each.members,
            "line": each.lines + 1,
            "lines_count": int(each.lines.max()) + 1,
            "out_chance": out,
            "lost_pv_cost": each.loss_pv(plan),
            "charged_pv_cost": [each.charge_pv(plan, name) for name in each.members],
        }
    )
    sets = _cut_sets(each)
    if each.lost_cost_per_day.max() > 0 and top_by(sets)(out) > 0:
        for name, values in _measures(sets, out).items():
            table[name] = values
    return table


def group_table(shared: Shared, plan: Doings) -> pd.DataFrame:
    """Return for each member of each group how often it is out, what it adds, how it counts.

    lost_pv_cost is the loss of the whole group; the measures are of losing any output, at the mean
    chance of each member to be out over the plan.
    """
    tables = [_rows(each, plan) for each in shared.groups]
    table = pd.concat(tables, ignore_index=True) if tables else pd.DataFrame(columns=NAMES)
    return table.reindex(columns=NAMES).round(6)
