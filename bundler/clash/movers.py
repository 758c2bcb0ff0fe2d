"""Who may move what: the one table of roles."""

from dataclasses import dataclass

import pandas as pd

SCOPER, MANAGER = "outage scoper", "asset manager"
#: what is said of what nobody may move
NEVER = "kept by licence or technical need; never given up"


@dataclass(frozen=True)
class Mover:
    """The role that may move a limit ("": nobody), what it may do, and the unit of the limit."""

    role: str
    act: str = ""
    unit: str = ""


#: measure of the limit, start of its resource's name, who may move it; the first that fits counts
MOVERS = (
    ("lines", "", Mover("", unit="lines")),
    ("msv", "", Mover("", unit="mSv")),
    ("days", "chain ", Mover(MANAGER, "lengthen {period}", "d")),
    ("cost", "", Mover(MANAGER, "raise the budget")),
    ("person_msv", "", Mover(MANAGER, "raise the dose budget of {period}", "person-mSv")),
    ("items", "stock ", Mover(MANAGER, "buy a spare", "items")),
    ("head_days", "area ", Mover(SCOPER, "open more room", "head days")),
    ("head_days", "", Mover(MANAGER, "bring more heads to the site", "head days")),
    ("hours", "engineering ", Mover(MANAGER, "give more engineering hours", "h")),
    ("hours", "", Mover(SCOPER, "add heads", "h")),
)
#: any other limit is on a supply, counted in a measure of its own
OTHERS = Mover(SCOPER, "get more of what is short")


def mover(limit: pd.Series, currency: str) -> Mover:
    """Return who may move a limit (a row), with the act and the unit in words."""
    measure, resource = str(limit["measure"]), str(limit["resource"])
    fits = (who for name, start, who in MOVERS if measure == name and resource.startswith(start))
    found = next(fits, OTHERS)
    unit = currency if measure == "cost" else found.unit or measure
    return Mover(found.role, found.act.format(period=limit["period"]), unit)


def breakable(limits: pd.DataFrame) -> set[str]:
    """Return the limits that somebody may move."""
    return {str(row["limit"]) for _, row in limits.iterrows() if mover(row, "").role}
