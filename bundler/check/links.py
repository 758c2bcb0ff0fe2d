"""Links between works: words that have to fit each other."""

from collections.abc import Iterator
from typing import Any

import pandas as pd

from bundler.calendar import ON_LINE, STATION, outage_periods
from bundler.case import Case
from bundler.check.told import error, note
from bundler.errors import Finding
from bundler.tables import rows


def links_lag_before(case: Case) -> Iterator[Finding]:
    """Only a work that has to be before another can ask for days between the two."""
    for row in rows(case["links"]):
        if row.lag_days > 0 and row.rule != "before":
            found = f"{row.link} asks for {row.lag_days:g} days between its works"
            allowed = f"its rule is {row.rule}, and only before puts one after the other"
            remedy = "Write 0, or make it a link before."
            yield error("links", row.file_row, "lag_days", found, allowed, remedy)


def _instead(case: Case) -> Iterator[Any]:
    links = case["links"]
    return rows(links[links["rule"] == "instead"])


def links_instead_match(case: Case) -> Iterator[Finding]:
    """A work instead of another is asked for in the outages of one unit."""
    for row in _instead(case):
        if row.match == STATION:
            found = f"{row.link} ties works of the whole station"
            allowed = "a work instead of another is matched by unit, train or position"
            yield error("links", row.file_row, "match", found, allowed, "Choose one of these.")


def links_instead_kind(case: Case) -> Iterator[Finding]:
    """A work instead of another is asked for in outages."""
    for row in _instead(case):
        if row.only_kind == ON_LINE:
            found, allowed = f"{row.link} asks on line", "a work instead is asked for in outages"
            remedy = "Choose a kind of outage, or leave it empty for any."
            yield error("links", row.file_row, "only_kind", found, allowed, remedy)


def links_instead_other(case: Case) -> Iterator[Finding]:
    """A work is not asked for instead of itself."""
    for row in _instead(case):
        is_one = row.first_family == row.second_family
        if is_one and (not row.first_action or row.first_action == row.second_action):
            found = f"{row.link} asks for {row.second_family} instead of itself"
            allowed = "in one family the works of first and second differ"
            remedy = "Name another work in first_action or second_action."
            yield error("links", row.file_row, "first_action", found, allowed, remedy)


def _holds(case: Case, work: tuple[str, str], outage: tuple[str, str, str]) -> bool:
    """Return whether the conditions of a work can hold together in an outage, for a train of it.

    `work` is family and action, `outage` name, kind and side.
    """
    family, action = work
    name, kind, side = outage
    windows, actions = case["windows"], case["actions"]
    there = windows[(windows["kind"] == kind) & windows["side"].isin(["", side])]
    held = set(there.loc[there["outage"].isin(["", name]), "condition"])
    own = actions[actions["family"] == family]
    return any(
        set(row.conditions.replace("*", train).split("+")) <= held
        for row in rows(own)
        for train in ("A", "B")
        if action in ("", row.action, row.like)
    )


def _is_asked(case: Case, row: Any, outages: pd.DataFrame) -> pd.Series:
    """Return which outages a link asks for its second."""
    parts = case["components"]
    units = parts.loc[parts["family"] == row.second_family, "unit"]
    is_asked = (outages["start_days"] > 0) & (outages["freeze_days"] > 0)
    if row.only_unit:
        is_asked &= outages["unit"] == row.only_unit
    if row.only_kind:
        is_asked &= outages["kind"] == row.only_kind
    return is_asked & outages["unit"].isin(units)


def _is_able(case: Case, row: Any, outage: Any, outages: pd.DataFrame) -> bool:
    """Return whether the second of a link can be done in an outage, or the first by then."""
    work = (row.second_family, row.second_action)
    if _holds(case, work, (outage.period, outage.kind, outage.side)):
        return True
    own = outages[(outages["unit"] == outage.unit) & (outages["end_days"] <= outage.end_days)]
    there = [(one.period, one.kind, one.side) for one in rows(own)] + [("", ON_LINE, "")]
    return any(_holds(case, (row.first_family, row.first_action), one) for one in there)


def links_instead_nowhere(case: Case) -> Iterator[Finding]:
    """In some outage that is asked, neither work can be done."""
    outages = outage_periods(case).sort_values(["start_days", "period"])
    for row in _instead(case):
        asked = outages[_is_asked(case, row, outages)]
        nowhere = [one.period for one in rows(asked) if not _is_able(case, row, one, outages)]
        if nowhere:
            found = f"neither work of {row.link} can be done in {', '.join(nowhere)}"
            allowed = "where none is possible none is asked for"
            remedy = "Check the conditions of both in windows.csv, or fill only_kind."
            yield note("links", row.file_row, "rule", found, allowed, remedy)


#: all of the above
OWN = (
    links_lag_before,
    links_instead_match,
    links_instead_kind,
    links_instead_other,
    links_instead_nowhere,
)
