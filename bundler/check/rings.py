"""Links that put works one before the other in a ring, so that none could ever be first."""

from collections.abc import Iterator
from typing import Any

from bundler.case import Case
from bundler.check.told import error
from bundler.errors import Finding
from bundler.tables import rows


def _goes_on(link: Any, other: Any) -> bool:
    """Say whether the second work of a link may be the first of another."""
    is_same = link.second_family == other.first_family
    actions = {link.second_action, other.first_action} - {""}
    return is_same and len(actions) < 2


def _ring(link: Any, links: list[Any], passed: tuple[Any, ...]) -> tuple[Any, ...]:
    """Return the links of a ring that comes back to the first of `passed`; () if there is none."""
    if _goes_on(link, passed[0]):
        return passed
    for other in links:
        if other not in passed and _goes_on(link, other):
            found = _ring(other, links, (*passed, other))
            if found:
                return found
    return ()


def links_no_ring(case: Case) -> Iterator[Finding]:
    """Works that have to be one before the other are in no ring."""
    links = [row for row in rows(case["links"]) if row.rule == "before"]
    told: set[str] = set()
    for link in links:
        here = [other for other in links if other.only_unit in ("", link.only_unit)]
        ring = _ring(link, here, (link,))
        names = [each.link for each in ring]
        if ring and not told & set(names):
            told |= set(names)
            found = f"{' and '.join(names)} put works before each other in a ring"
            allowed = "of works in a ring none could ever be first"
            yield error("links", link.file_row, "rule", found, allowed, "Take one of them out.")
