"""Engineering hours of each discipline up to every date by which design has to be complete."""

import pandas as pd

from bundler.calendar import DAYS_A_YEAR, date_at
from bundler.case import Case
from bundler.limits.reach import reachable
from bundler.limits.rows import LimitRows, no_uses
from bundler.tables import rows

#: mean length of a calendar month [days]
DAYS_A_MONTH = DAYS_A_YEAR / 12
#: periods that a title names before it counts the others; our choice
MOST_NAMED = 3


def _designs(case: Case, placements: pd.DataFrame) -> pd.DataFrame:
    """Return the design hours of each placement by discipline, with its gate [days].

    The gate is breaker open less the days by which engineering has to be complete before it; on
    line it is the start of the period.
    """
    names = ["placement", "family", "action", "period", "open_days", "design_days"]
    hours = case["design_hours"].drop(columns="file_row")
    table = placements[names].merge(hours, on=["family", "action"])
    gate = (table["open_days"] - table["design_days"]).clip(lower=0.0)
    return table[table["design_hours"] > 0].assign(gate_days=gate)


def _named(periods: list[str], before: list[str]) -> str:
    """Return the periods due at a gate and those before it, all by name where they are few."""
    every = [*before, *periods]
    if len(every) <= MOST_NAMED:
        return ", ".join(every)
    return f"{', '.join(periods[:MOST_NAMED])} and {len(every) - len(periods[:MOST_NAMED])} more"


def _gates(case: Case, designs: pd.DataFrame) -> pd.DataFrame:
    """Return one row a discipline and gate: what there is until then, and in words for what."""
    found = []
    for discipline in rows(case["disciplines"]):
        own = designs[designs["discipline"] == discipline.discipline]
        before: list[str] = []
        for gate, here in own.groupby("gate_days", sort=True):
            periods, date = sorted(set(here["period"])), str(date_at(case, gate))
            words = _named(periods, before)
            title = f"{discipline.name} hours up to {date} ({words})"
            hours = discipline.design_hours_per_month * float(gate) / DAYS_A_MONTH
            found.append((discipline.discipline, gate, date, "+".join(periods), title, hours))
            before += periods
    names = ["discipline", "gate_days", "window", "period", "title", "amount"]
    return pd.DataFrame(found, columns=names)


def engineering_limits(case: Case, placements: pd.DataFrame) -> LimitRows:
    """Return engineering hours of each discipline up to each gate, over all works due by then.

    Design may begin at the planning date, may be interrupted and is done in the order of the
    gates; then the works fit exactly if those due by each gate fit until it (earliest due date
    first: Jackson 1955). Design hours are not learned. Gates that no plan could miss are left out.
    """
    designs = _designs(case, placements)
    gates = _gates(case, designs)
    gates["limit"] = "engineering." + gates["discipline"] + "." + gates["window"]
    due = designs.merge(gates[["discipline", "gate_days", "limit"]], on="discipline")
    due = due[due["gate_days_x"] <= due["gate_days_y"]]
    limits = gates.assign(
        measure="hours", resource="engineering " + gates["discipline"], step="100 h",
        step_amount=100.0,
    )  # fmt: skip
    uses = due.rename(columns={"design_hours": "amount"})[["limit", "placement", "amount"]]
    return reachable(case, LimitRows(limits, uses, no_uses("access")), placements)
