"""Which decisions a small error of life would turn, for every component of a plan."""

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray
from bundler.courses.build import Costing
from bundler.explain.break_even import Sight, priced_cost, sight

#: how far off the assumed life may well be; common practice of the trade takes about 10 %
OFF_SHARE = 0.1
#: a turn counts when the wrong choice would then cost this share of the course; our choice
REGRET_SHARE = 0.02
#: kinds of reasons in which the component's own cost decides
DECIDED_BY_LIFE = ("worth it", "not worth it")


def _turned(costing: Costing, view: Sight, ratio: float) -> tuple[str, float]:
    """Return what the decision turns to at this life ("" if it stays) and what staying costs."""
    now = int(np.argmin(priced_cost(costing, view, 1.0)))
    cost: FloatArray = priced_cost(costing, view, ratio)
    best = int(np.argmin(cost))
    regret = float(cost[now] - cost[best])
    if view.first[best] == view.first[now] or regret <= REGRET_SHARE * abs(float(cost[best])):
        return "", 0.0
    return view.first[best], regret


def closeness(
    costing: Costing, choices: Choices, parts: pd.DataFrame, paid: pd.Series, reasons: pd.DataFrame
) -> pd.DataFrame:
    """Return for each component what its decision turns to if its life is 10 % off.

    Columns component, if_shorter, if_longer (first work then, "" if it stays), regret_pv_cost
    (the larger cost of keeping the decision) and is_close. `paid` is what each placement pays by
    itself. Where limits or other works decide (`reasons`), a life does not, and nothing is told.
    """
    kinds = dict(zip(reasons["component"], reasons["kind"], strict=True))
    rows = []
    for _, part in parts.iterrows():
        shorter = longer = ""
        lost = more = 0.0
        if kinds[part["component"]] in DECIDED_BY_LIFE:
            view = sight(costing, choices, part, paid)
            shorter, lost = _turned(costing, view, 1 - OFF_SHARE)
            longer, more = _turned(costing, view, 1 + OFF_SHARE)
        rows.append((part["component"], shorter, longer, round(max(lost, more), 1)))
    table = pd.DataFrame(rows, columns=["component", "if_shorter", "if_longer", "regret_pv_cost"])
    return table.assign(is_close=(table["if_shorter"] != "") | (table["if_longer"] != ""))
