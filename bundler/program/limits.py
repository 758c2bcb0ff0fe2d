"""Nothing is used beyond its limit: hours, head days, chains of days, dose and money alike."""

import pandas as pd

from bundler.choice import Choices
from bundler.program.model import Program
from bundler.tables import rows

NAME = "limits"
FORMULA = "sum use[p,r] z[p] + sum use[s,r] y[s] <= amount[r] + per_day[r] e[o] + part[r] t[r]"
PRICE = "what one more unit of the limit would save"


def most_used(choices: Choices) -> pd.Series:
    """Return the most that could ever be used of each limit.

    At most one work of a component goes into one period. What is below zero (an access that gives
    room, a work that does) may be left out, so it takes nothing off the most.
    """
    placed = choices.placements[["placement", "component", "period"]]
    uses = choices.uses.merge(placed, on="placement")
    most = uses.groupby(["limit", "component", "period"])["amount"].max().clip(lower=0.0)
    made = choices.access_uses["amount"].clip(lower=0.0).groupby(choices.access_uses["limit"]).sum()
    return most.groupby("limit").sum().add(made, fill_value=0.0)


def binding_limits(choices: Choices) -> pd.DataFrame:
    """Return the limits that could be reached at all; the others need no row."""
    table = choices.limits
    most = table["limit"].map(most_used(choices))
    is_helped = (table["extension_amount"] > 0) | (table["overtime"] != "")
    most = most.where(most.notna() | ~is_helped, 0.0)
    return table[most > table["amount"]]


def add(program: Program) -> None:
    """Add one row a limit that could be reached."""
    choices = program.choices
    uses = {name: rows for name, rows in choices.uses.groupby("limit")}
    sets = {name: rows for name, rows in choices.access_uses.groupby("limit")}
    for limit in rows(binding_limits(choices)):
        terms = []
        if limit.limit in uses:
            own = uses[limit.limit]
            terms += [
                (program.z[p], a) for p, a in zip(own["placement"], own["amount"], strict=True)
            ]
        if limit.limit in sets:
            own = sets[limit.limit]
            terms += [(program.y[s], a) for s, a in zip(own["access"], own["amount"], strict=True)]
        if limit.extension_amount > 0 and limit.period in program.e:
            terms.append((program.e[limit.period], -limit.extension_amount))
        if limit.overtime in program.t:
            terms.append((program.t[limit.overtime], -limit.overtime_share))
        if limit.limit in program.s:
            terms.append((program.s[limit.limit], -1.0))
        program.add_row(NAME, limit.limit, terms, "<=", limit.amount)
