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

    At most one work of a component goes into one period.
    """
    placed = choices.placements[["placement", "component", "period"]]
    uses = choices.uses.merge(placed, on="placement")
    most = uses.groupby(["limit", "component", "period"])["amount"].max().groupby("limit").sum()
    return most.add(choices.access_uses.groupby("limit")["amount"].sum(), fill_value=0.0)


def binding_limits(choices: Choices) -> pd.DataFrame:
    """Return the limits that could be reached at all; the others need no row."""
    most = choices.limits["limit"].map(most_used(choices))
    return choices.limits[most > choices.limits["amount"]]


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
