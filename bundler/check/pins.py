"""What people have decided: pins."""

from collections.abc import Iterator

from bundler.case import Case
from bundler.check.dates import planning
from bundler.check.outages import left_out
from bundler.check.told import error, note
from bundler.errors import Finding
from bundler.tables import rows


def pins_agree(case: Case) -> Iterator[Finding]:
    """Nobody forces the same work in and out."""
    pins = case["pins"]
    for row in rows(pins[pins["rule"] == "in"]):
        other = pins[(pins["rule"] == "out") & (pins["component"] == row.component)]
        covers = other["action"].isin(["", row.action]) & other["outage"].isin(["", row.outage])
        for out in rows(other[covers]):
            found = f"{row.component} is forced in here and out in row {out.file_row}"
            allowed = "a work is forced in or out, not both"
            yield error("pins", row.file_row, "rule", found, allowed, "Delete one of the two.")


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
    """No work is forced into an outage that the plan leaves out."""
    beyond = left_out(case)
    for row in rows(case["pins"]):
        if row.rule == "in" and row.outage in beyond:
            found = f"{row.outage} ends after the last day of the plan"
            allowed = f"work can be forced in until {beyond[row.outage].date()}"
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
