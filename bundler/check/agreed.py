"""The plan agreed before, and half measures that have to end in whole work."""

from collections.abc import Iterator

from bundler.case import Case
from bundler.check.told import error
from bundler.errors import Finding
from bundler.tables import rows


def agreed_in_own_outage(case: Case) -> Iterator[Finding]:
    """An agreed work is in an outage of the component's own unit."""
    units = dict(zip(case["outages"]["outage"], case["outages"]["unit"], strict=True))
    own = dict(zip(case["components"]["component"], case["components"]["unit"], strict=True))
    for row in rows(case["agreed"]):
        unit, other = own.get(row.component), units.get(row.outage)
        if unit and other and unit != other:
            found = f"{row.outage} is an outage of {other}"
            allowed = f"{row.component} belongs to {unit}"
            remedy = f"Name an outage of {unit}, or take the row out."
            yield error("agreed", row.file_row, "outage", found, allowed, remedy)


def bridges_end(case: Case) -> Iterator[Finding]:
    """A family with a half measure has whole work that can follow it."""
    actions = case["actions"]
    new = actions["new_life_years"].notna() | actions["new_shape_ratio"].notna()
    is_whole = actions["bridge_years"].isna() & ((actions["restoration_share"] > 0) | new)
    able = set(actions.loc[is_whole, "family"])
    for row in rows(actions[actions["bridge_years"].notna()]):
        if row.family not in able:
            found = f"family {row.family} has only half measures"
            allowed = "whole work that restores something has to follow within bridge_years"
            remedy = "Add the whole work to actions.csv, or empty this cell."
            yield error("actions", row.file_row, "bridge_years", found, allowed, remedy)


#: the checks of this file, in the order in which they are made
OWN = (agreed_in_own_outage, bridges_end)
