"""The items of a family's record, followed through their failures; whether they get worse."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR, days_from_planning
from bundler.case import Case
from bundler.life.register import NO_GAP_DAYS, lives_table
from bundler.life.repaired import Repaired, mean_count
from bundler.life.repairs import RepairHistory
from bundler.life.trend import Trend, trend

#: rows that follow each other this closely are one item [years]
NEAR_YEARS = (NO_GAP_DAYS + 0.5) / DAYS_A_YEAR


@dataclass(frozen=True, eq=False)
class Items:
    """The items of a record that can be followed.

    Parameters
    ----------
    histories : failures of each item by age since new (repair), or since its first start (renew).
    trend : whether failures come faster with that age; None where it cannot be asked.
    counts : mean number of failures of an item by age, as `mean_count` gives it; empty where
        failures are not repaired.
    left_out_count : failures in rows that stand for several items, which cannot be followed.
    why_not : why the items cannot be followed; empty where they can.
    """

    histories: tuple[RepairHistory, ...]
    trend: Trend | None
    counts: pd.DataFrame
    left_out_count: float
    why_not: str


def _dated(case: Case, family: str, mode: str) -> pd.DataFrame:
    """Return the lives of a family with from_years, to_years (planning 0), is_failed, next_years.

    next_years is when a row that goes on after this one begins; nan after a row without failure.
    is_failed counts failures by one mode, or by all where none is named.
    """
    table = lives_table(case, family)
    start = days_from_planning(case, table["start_date"]) / DAYS_A_YEAR
    failed = np.isfinite(table["high_years"])
    last = table["high_years"].where(failed, table["low_years"])
    return table.assign(
        start_years=start,
        from_years=start + table["entry_years"],
        to_years=start + last,
        is_failed=failed & ((table["mode"] == mode) | (mode == "")),
        next_years=(start + last).where(failed),
    )


def _chained(own: pd.DataFrame) -> Iterator[pd.DataFrame]:
    """Yield the items among rows without a name: a row goes on where another failed."""
    ends: list[float] = []
    chain = np.zeros(len(own), dtype=np.int64)
    for place, (begin, after) in enumerate(zip(own["from_years"], own["next_years"], strict=True)):
        found = np.flatnonzero(np.abs(np.array(ends) - begin) <= NEAR_YEARS)
        chain[place] = found[0] if len(found) else len(ends)
        ends = ends if len(found) else [*ends, np.nan]
        ends[chain[place]] = after
    for _, rows_ in own.groupby(chain):
        yield rows_


def followed(case: Case, family: str, goes_on: bool, mode: str = "") -> Iterator[pd.DataFrame]:
    """Yield the rows of each item of a family in order of time.

    An item that goes on with its age after a failure is one start of one component; one that is
    renewed is the component through all its starts. Rows without a component are joined where
    one begins on the day another failed. Rows that stand for several items are left out.
    """
    table = _dated(case, family, mode)
    table = table[table["items_count"] == 1].sort_values(["from_years", "life"])
    keys = ["unit", "component", "start_date"] if goes_on else ["unit", "component"]
    for _, own in table.groupby(keys):
        if own["component"].iloc[0]:
            yield own
        else:
            yield from _chained(own)


def history_of(own: pd.DataFrame) -> RepairHistory:
    """Return the rows of one item as ages at failure since its first start."""
    origin = float(own["start_years"].min())
    failed = own.loc[own["is_failed"], "to_years"].to_numpy() - origin
    end, start = float(own["to_years"].max()) - origin, float(own["from_years"].min()) - origin
    return RepairHistory(tuple(float(age) for age in failed), end, start)


def as_repaired(history: RepairHistory) -> Repaired:
    """Return a history for the trend test; a failure on its last day ended it."""
    last = history.failure_years[-1:]
    return Repaired(
        history.failure_years, history.end_years, history.start_years, last == (history.end_years,)
    )


def items_of(case: Case, family: str, on_failure: str, mode: str = "") -> Items:
    """Return the items of a family's record, followed through their failures by a mode, or all."""
    goes_on = on_failure == "repair"
    table = lives_table(case, family)
    grouped = table[(table["items_count"] != 1) & np.isfinite(table["high_years"])]
    left_out = float(grouped["items_count"].sum())
    try:
        histories = tuple(history_of(own) for own in followed(case, family, goes_on, mode))
        systems = [as_repaired(history) for history in histories]
    except ValueError as fault:
        return Items((), None, pd.DataFrame(), left_out, str(fault))
    has_failed = any(history.failure_years for history in histories)
    counts = mean_count(systems) if goes_on and has_failed else pd.DataFrame()
    return Items(histories, trend(systems) if systems else None, counts, left_out, "")
