"""What there is in each slot of one outage: heads, the site's pool, floor, supplies, overtime.

A slot is a day, or half of one in a short outage. Amounts are hundredths, in whole numbers.
"""

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.calendar import SAME_DAYS
from bundler.case import Case
from bundler.choice import FloatArray
from bundler.limits.crews import head_hours
from bundler.tables import rows

#: parts of one head, isolation or night that the solver counts; our choice
PARTS = 100
#: outages shorter than this are levelled by half days [days]; our choice
LONG_OUTAGE_DAYS = 60
WEEK_DAYS = 7
HEADS = [
    "resource", "name", "heads_count", "head_hours", "base_heads_count", "pool_heads_count",
    "has_overtime", "takes_area",
]  # fmt: skip


@dataclass(frozen=True)
class Outage:
    """One outage of a plan in slots, with the days by which the plan lengthens it.

    start_days is breaker open [days from planning]; days its length; crew_from_days and
    crew_to_days the first and last crew day [days from breaker open].
    """

    period: str
    unit: str
    kind: str
    start_days: float
    days: float
    crew_from_days: float
    crew_to_days: float
    slots_per_day: int

    @property
    def slots(self) -> int:
        """How many slots there are."""
        return round(self.days * self.slots_per_day)

    def first_slot(self, days: float) -> int:
        """Return the first slot that begins no earlier than a day [days from planning]."""
        return math.ceil((days - self.start_days) * self.slots_per_day - SAME_DAYS)

    def last_slot(self, days: float) -> int:
        """Return the slot before which all is over on a day [days from planning]."""
        return math.floor((days - self.start_days) * self.slots_per_day + SAME_DAYS)

    def length(self, days: float) -> int:
        """Return the slots that so many days fill, rounded up."""
        return math.ceil(days * self.slots_per_day - SAME_DAYS)

    def profile(self, stretches: pd.DataFrame) -> FloatArray:
        """Return the sum of heads_count from start_days until end_days in each slot [slots].

        Days are counted from planning; a slot that is held in part counts that part.
        """
        low = self.start_days + np.arange(self.slots) / self.slots_per_day
        start, end = (stretches[name].to_numpy()[:, None] for name in ("start_days", "end_days"))
        inside = np.minimum(end, low + 1 / self.slots_per_day) - np.maximum(start, low)
        part = np.clip(inside * self.slots_per_day, 0.0, 1.0)
        result: FloatArray = stretches["heads_count"].to_numpy() @ part
        return result


def outage_of(periods: pd.DataFrame, period: str, extension_days: dict[str, float]) -> Outage:
    """Return one outage in slots; the days by which it is lengthened are rounded up."""
    row = periods[periods["period"] == period].iloc[0]
    per_day = 2 if row["days"] < LONG_OUTAGE_DAYS else 1
    longer = math.ceil(extension_days.get(period, 0.0) - SAME_DAYS)
    days = float(row["days"]) + longer
    crew_to = days - float(row["crew_to_days"])
    return Outage(
        period, str(row["unit"]), str(row["kind"]), float(row["start_days"]), days,
        float(row["crew_from_days"]), crew_to, per_day,
    )  # fmt: skip


def heads_of(case: Case, outage: Outage) -> pd.DataFrame:
    """Return the crews of an outage: one row a resource with heads; `HEADS`, sorted by resource.

    base_heads_count is what base scope holds on every crew day. Heads are there on every day of
    the outage: works whose conditions hold outside crew days are done by the same heads.
    """
    table = head_hours(case)
    table = table[(table["kind"] == outage.kind) & (table["head_hours"] > 0)].copy()
    days = outage.crew_to_days - outage.crew_from_days
    table["base_heads_count"] = table["base_hours"] / table["head_hours"] / days
    return table[HEADS].sort_values("resource", ignore_index=True)


def runs(resource: str, profile: FloatArray) -> list[tuple[str, int, int, int]]:
    """Return stretches of equal amount above zero: resource, start, end, amount, rounded up."""
    whole = np.ceil(np.round(profile * PARTS, 6)).astype(int)
    edges = [0, *(np.flatnonzero(np.diff(whole)) + 1), len(whole)]
    pairs = zip(edges[:-1], edges[1:], strict=True)
    return [(resource, int(a), int(b), int(whole[a])) for a, b in pairs if b > a and whole[a] > 0]


def base_profile(outage: Outage, heads_count: float) -> FloatArray:
    """Return the heads of base scope in each slot [slots]: even over crew days."""
    first, last = outage.crew_from_days, outage.crew_to_days
    row = {"start_days": [first], "end_days": [last], "heads_count": [heads_count]}
    return outage.profile(pd.DataFrame(row) + [outage.start_days, outage.start_days, 0.0])


def bands(case: Case, outage: Outage, heads: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return the weeks in which overtime adds heads, and the most weeks of each resource.

    resource, start, end, amount: crew days cut into weeks, the last as long as is left; and
    resource, most: whole weeks of the settings.
    """
    settings = case.settings
    able = heads[heads["has_overtime"]]
    first = round(outage.crew_from_days * outage.slots_per_day)
    last = round(outage.crew_to_days * outage.slots_per_day)
    week, found = WEEK_DAYS * outage.slots_per_day, []
    for row in rows(able):
        amount = math.floor(row.heads_count * settings.overtime_share * PARTS + SAME_DAYS)
        starts = range(first, last, week) if amount > 0 else ()
        found += [(row.resource, start, min(start + week, last), amount) for start in starts]
    most = able[["resource"]].assign(most=int(settings.overtime_weeks))
    names = ["resource", "start", "end", "amount"]
    return pd.DataFrame(found, columns=names), most.reset_index(drop=True)


def _others(case: Case, periods: pd.DataFrame, outage: Outage) -> pd.DataFrame:
    """Return the crews of other outages: resource, start_days, end_days, heads_count of base."""
    other = periods[periods["is_outage"] & (periods["period"] != outage.period)]
    other = other.merge(head_hours(case), on="kind")
    start = other["start_days"] + other["crew_from_days"]
    end = other["end_days"] - other["crew_to_days"]
    heads = other["base_hours"] / other["head_hours"] / (end - start)
    table = other[["resource"]].assign(start_days=start, end_days=end, heads_count=heads)
    is_near = (end > outage.start_days) & (start < outage.start_days + outage.days)
    return table[is_near & (end > start)]


def pools(
    case: Case, periods: pd.DataFrame, outage: Outage, heads: pd.DataFrame, held: pd.DataFrame
) -> tuple[list[tuple[str, int]], list[tuple[str, int, int, int]]]:
    """Return the site's pools as resources and what is taken of each.

    A pool binds while crews or tasks of another outage are there; base scope of all of them and
    the heads of outages levelled before (`held`: resource, start_days, end_days, heads_count) are
    taken.
    """
    resources, taken, others = [], [], _others(case, periods, outage)
    for row in rows(heads[heads["pool_heads_count"].notna()]):
        own = others[others["resource"] == row.resource]
        if own.empty:
            continue
        most = max(row.pool_heads_count, row.heads_count * (1 + case.settings.overtime_share))
        tasks = outage.profile(held[held["resource"] == row.resource])
        is_shared = outage.profile(own.assign(heads_count=1.0)) + tasks > 0
        used = outage.profile(own) + tasks + base_profile(outage, row.base_heads_count)
        name = site_name(row.resource)
        resources.append((name, math.ceil(most * PARTS)))
        taken += runs(name, np.where(is_shared, most - row.pool_heads_count + used, 0.0))
    return resources, taken


def site_name(resource: str) -> str:
    """Return the name of the site's pool of a resource."""
    return f"site.{resource}"


def floors(case: Case) -> pd.DataFrame:
    """Return each work area with its name as a resource and the heads it holds in a day.

    area, resource, is_by_train, heads_count: floor over the room one head needs, times shifts.
    """
    settings, table = case.settings, case["areas"]
    heads = table["usable_m2"] / settings.area_per_head_m2 * settings.shifts_count
    return pd.DataFrame(
        {"area": table["area"], "is_by_train": table["is_by_train"], "heads_count": heads}
    )


def supplies(case: Case, outage: Outage) -> pd.DataFrame:
    """Return what there is of each supply on a day of an outage: supply, amount, condition.

    Nothing where a kind of outage has no row; with a condition it is there only while that holds.
    """
    amounts = case["supply_amounts"]
    own = amounts[amounts["kind"] == outage.kind]
    table = case["supplies"][["supply"]].merge(own, on="supply", how="left")
    table["amount"] = table["amount_per_day"].fillna(0.0)
    table["condition"] = table["condition"].fillna("")
    return table[["supply", "amount", "condition"]]
