"""Levelling: windows of outages and resources of what fits, and how its durations hang together."""

from collections.abc import Iterator

from bundler.case import Case
from bundler.check.told import error, setting
from bundler.errors import Finding
from bundler.nearest import did_you_mean
from bundler.tables import rows

#: shares that differ by less are the same
CLOSE_SHARE = 1e-9


def _resources(case: Case) -> set[str]:
    """Return every name that a levelled resource may have."""
    names = {*case["resources"]["resource"], *case["supplies"]["supply"]}
    trains = sorted(set(case["components"]["train"]) - {""})
    for row in rows(case["areas"]):
        names.add(f"area.{row.area}")
        if row.is_by_train:
            names |= {f"area.{row.area}-{train}" for train in trains}
    return names


def levelled_resources(case: Case) -> Iterator[Finding]:
    """A levelled row names a trade, a crane, a supply, or an area as loads name it."""
    known = _resources(case)
    for row in rows(case["levelled"]):
        if row.resource not in known:
            found = f'there is no resource "{row.resource}"'
            allowed = "a trade, crane or supply, or area. with its name, is allowed"
            remedy = f"{did_you_mean(row.resource, known)}Correct it, or take the row out."
            yield error("levelled", row.file_row, "resource", found, allowed, remedy)


def levelled_forward(case: Case) -> Iterator[Finding]:
    """The window of a levelled row begins before it ends."""
    for row in rows(case["levelled"]):
        if row.from_days >= row.to_days:
            found = f"it ends on day {row.to_days:g} and begins on day {row.from_days:g}"
            allowed = "a window begins before it ends"
            remedy = "Correct one of the two, or take the row out."
            yield error("levelled", row.file_row, "to_days", found, allowed, remedy)


def correlations_add_up(case: Case) -> Iterator[Finding]:
    """What two durations share by their area and by their cause is at most all of their spread."""
    base = case.settings
    both = base.system_correlation + base.cause_correlation
    if both > 1 + CLOSE_SHARE:
        found = f"with system_correlation it adds up to {both:g}"
        allowed = "both together are at most 1"
        yield setting("cause_correlation", found, allowed, "Lower one of the two.")


#: the checks of this file, in the order in which they are made
OWN = (levelled_resources, levelled_forward, correlations_add_up)
