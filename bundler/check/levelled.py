"""What levelling found to fit: windows of outages, and resources that there are."""

from collections.abc import Iterator

from bundler.case import Case
from bundler.check.told import error
from bundler.errors import Finding
from bundler.nearest import did_you_mean
from bundler.tables import rows


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


#: the checks of this file, in the order in which they are made
OWN = (levelled_resources, levelled_forward)
