"""What people have decided: pins."""

from collections.abc import Iterator
from typing import Any

from bundler.case import Case
from bundler.check.dates import planning
from bundler.check.outages import left_out
from bundler.check.told import error, note
from bundler.errors import Finding
from bundler.tables import rows

DELETE = "Delete one of the two."
#: what a pin says, in words
SAID = {"in": "forced in", "out": "forced out", "only": "held"}


def _covering(case: Case, row: Any, rule: str) -> Iterator[Any]:
    """Yield the other pins of a rule that speak of every work that a pin speaks of."""
    parts, actions = case["components"], case["actions"]
    family = parts.loc[parts["component"] == row.component, "family"]
    own = actions[actions["family"].isin(family) & (actions["action"] == row.action)]
    for other in rows(case["pins"]):
        is_wider = other.action in {"", row.action, *own["like"]}
        if other.component == row.component and other.rule == rule and is_wider:
            yield other


def pins_agree(case: Case) -> Iterator[Finding]:
    """Nobody forces the same work in and out, nor in where it is held elsewhere."""
    for row in rows(case["pins"]):
        if row.rule != "in":
            continue
        for out in _covering(case, row, "out"):
            if out.outage in ("", row.outage):
                found = f"{row.component} is forced in here and out in row {out.file_row}"
                allowed = "a work is forced in or out, not both"
                yield error("pins", row.file_row, "rule", found, allowed, DELETE)
        for only in _covering(case, row, "only"):
            if row.outage and only.outage and only.outage != row.outage:
                held = f"held in {only.outage} in row {only.file_row}"
                found = f"{row.component} is forced into {row.outage} here and {held}"
                allowed = "a work is forced in where it is held"
                yield error("pins", row.file_row, "outage", found, allowed, DELETE)


def pins_hold_once(case: Case) -> Iterator[Finding]:
    """A pin that holds work in one outage names it, and no other pin holds it elsewhere."""
    for row in rows(case["pins"]):
        if row.rule != "only":
            continue
        if not row.outage:
            allowed = "rule only holds work in one outage"
            remedy = "Name the outage, or use rule in or out."
            yield error("pins", row.file_row, "outage", "the cell is empty", allowed, remedy)
            continue
        for other in _covering(case, row, "only"):
            if other.outage and other.outage != row.outage:
                found = f"held in {row.outage} here and in {other.outage} in row {other.file_row}"
                allowed = "a work is held in one outage"
                yield error("pins", row.file_row, "outage", found, allowed, DELETE)


def pins_in_own_outage(case: Case) -> Iterator[Finding]:
    """A pin names an outage of the component's own unit."""
    units = dict(zip(case["outages"]["outage"], case["outages"]["unit"], strict=True))
    own = dict(zip(case["components"]["component"], case["components"]["unit"], strict=True))
    for row in rows(case["pins"]):
        unit, other = own.get(row.component), units.get(row.outage)
        if unit and other and unit != other:
            found = f"{row.outage} is an outage of {other}"
            allowed = f"{row.component} belongs to {unit}"
            remedy = f"Name an outage of {unit}."
            yield error("pins", row.file_row, "outage", found, allowed, remedy)


def pins_in_plan(case: Case) -> Iterator[Finding]:
    """No work is forced into an outage that the plan leaves out, or held in one."""
    beyond = left_out(case)
    for row in rows(case["pins"]):
        if row.rule != "out" and row.outage in beyond:
            found = f"{row.outage} ends after the last day of the plan"
            allowed = f"work can be {SAID[row.rule]} until {beyond[row.outage].date()}"
            remedy = "Name an earlier outage, or move the end of the plan."
            yield error("pins", row.file_row, "outage", found, allowed, remedy)


def pins_after_freeze(case: Case) -> Iterator[Finding]:
    """A pin adds work to an outage whose scope is frozen."""
    freeze = dict(zip(case["outages"]["outage"], case["outages"]["freeze_date"], strict=True))
    for row in rows(case["pins"]):
        if row.rule == "in" and row.outage in freeze and freeze[row.outage] <= planning(case):
            found = f"the scope of {row.outage} froze on {freeze[row.outage].date()}"
            allowed = "a pin adds work all the same"
            remedy = f"Check that {row.who} has agreed to it as a change."
            yield note("pins", row.file_row, "outage", found, allowed, remedy)
