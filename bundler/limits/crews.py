"""Trade and crane hours by window, the overtime band, and the site's pool of heads."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.calendar import present_worth
from bundler.case import Case
from bundler.choice import FloatArray
from bundler.hours import work_hours
from bundler.limits.access import access_hours
from bundler.limits.rows import LimitRows, day_name, no_limits, no_uses
from bundler.limits.windows import in_window, members


def head_hours(case: Case) -> pd.DataFrame:
    """Return heads and direct hours of one head in a calendar day, for each kind and resource.

    heads x paid hours a week / 7 x attendance x direct share; a crane has its own hours a day.
    """
    settings = case.settings
    table = (
        case["crews"]
        .drop(columns="file_row")
        .merge(case["resources"].drop(columns="file_row"), on="resource")
    )
    paid = settings.paid_hours_per_week / 7 * settings.attendance_share
    table["head_hours"] = table["hours_per_day"].fillna(paid) * table["direct_share"]
    table["day_hours"] = table["heads_count"] * table["head_hours"]
    base = case["base_scope"].drop(columns="file_row").rename(columns={"work_hours": "base_hours"})
    table = table.merge(base, on=["kind", "resource"], how="left")
    return table.assign(base_hours=table["base_hours"].fillna(0.0))


def placement_hours(case: Case, placements: pd.DataFrame) -> pd.DataFrame:
    """Return direct hours of each placement by resource, with learning [h].

    The hours to be expected of discoveries are among them.
    """
    names = ["placement", "family", "action", "period", "kind", "learning_ratio"]
    table = placements[names].merge(work_hours(case), on=["family", "action"])
    table["hours"] = table["work_hours"] * table["learning_ratio"]
    return table[["placement", "period", "kind", "resource", "hours"]]


def _overtime_share(case: Case, table: pd.DataFrame) -> pd.Series:
    """Return how much of the outage's overtime may be worked inside each window [-].

    The band may be used at its rate for so many weeks, so a short window holds only its part.
    """
    most = case.settings.overtime_weeks * 7
    whole = (table["crew_days"] / table["crew_share"].where(table["crew_share"] > 0)).fillna(0.0)
    longest = whole.clip(upper=most)
    share: pd.Series = table["crew_days"].clip(upper=most) / longest.where(longest > 0)
    return share.fillna(0.0)


def crew_limits(
    case: Case, placements: pd.DataFrame, access: pd.DataFrame, windows: pd.DataFrame,
    periods: pd.DataFrame,
) -> LimitRows:  # fmt: skip
    """Return hours of each resource in each window of each period.

    Works whose span lies inside a window share what its crews can do in it. Base scope is taken
    off in proportion to crew days. Each day of extension adds a crew day.
    """
    table = windows.merge(periods[["period", "kind"]], on="period").merge(
        head_hours(case), on="kind"
    )
    table["limit"] = table["period"] + "." + table["resource"] + "." + table["window"]
    table["base_amount"] = table["base_hours"] * table["crew_share"]
    hours = table["day_hours"] * table["crew_days"]
    table["amount"] = np.maximum(hours - table["base_amount"], 0.0)
    table["overtime_share"] = _overtime_share(case, table)
    table["extension_amount"] = table["day_hours"]
    table["measure"] = "hours"
    table["title"] = table["name"] + " hours in " + in_window(table)
    table["step"] = "1 head"
    table["step_amount"] = table["head_hours"] * table["crew_days"]
    band = table["has_overtime"] & (case.settings.overtime_share > 0)
    table["overtime"] = np.where(band, table["period"] + "." + table["resource"], "")
    inside = members(windows, placements, "placement")
    uses = inside.merge(placement_hours(case, placements), on=["placement", "period"])
    uses["limit"] = uses["period"] + "." + uses["resource"] + "." + uses["window"]
    sets = members(windows, access, "access").merge(access[["access", "access_set"]], on="access")
    opened = sets.merge(access_hours(case), on="access_set")
    opened["limit"] = opened["period"] + "." + opened["resource"] + "." + opened["window"]
    return LimitRows(
        table,
        uses.rename(columns={"hours": "amount"})[["limit", "placement", "amount"]],
        opened.rename(columns={"work_hours": "amount"})[["limit", "access", "amount"]],
    )


def overtimes(case: Case, periods: pd.DataFrame) -> pd.DataFrame:
    """Return the overtime band of each resource in each outage.

    most_hours = share x normal hours over the longest time it may last; pv_cost_per_hour is the
    premium over a normal hour at the middle of the outage.
    """
    settings = case.settings
    table = periods[periods["is_outage"]].merge(head_hours(case), on="kind")
    table = table[table["has_overtime"]].copy()
    crew_days = table["days"] - table["crew_from_days"] - table["crew_to_days"]
    days = np.minimum(crew_days, settings.overtime_weeks * 7)
    table["most_hours"] = settings.overtime_share * table["day_hours"] * days
    middle = (table["start_days"] + table["end_days"]) / 2
    premium = (settings.overtime_cost_ratio - 1) * table["cost_per_hour"]
    table["pv_cost_per_hour"] = premium * present_worth(settings, middle)
    table["overtime"] = table["period"] + "." + table["resource"]
    names = ["overtime", "period", "resource", "most_hours", "pv_cost_per_hour"]
    return table[table["most_hours"] > 0][names].sort_values("overtime").reset_index(drop=True)


def _stretches(periods: pd.DataFrame) -> list[tuple[float, float, list[str]]]:
    """Return the stretches in which crews of two or more outages are on site together."""
    outages = periods[periods["is_outage"]]
    first = (outages["start_days"] + outages["crew_from_days"]).to_numpy()
    last = (outages["end_days"] - outages["crew_to_days"]).to_numpy()
    edges = np.unique(np.concatenate([first, last]))
    found = []
    for a, b in zip(edges[:-1], edges[1:], strict=True):
        there = outages["period"][(first <= a) & (last >= b)]
        if len(there) > 1:
            found.append((float(a), float(b), sorted(there)))
    return found


def _share_inside(items: pd.DataFrame, a: float, b: float) -> FloatArray:
    """Return the share of each item's span that lies between a and b [days]."""
    start, end = items["span_start_days"].to_numpy(), items["span_end_days"].to_numpy()
    share: FloatArray = np.maximum(np.minimum(end, b) - np.maximum(start, a), 0.0) / (end - start)
    return share


@dataclass(frozen=True)
class _Pooled:
    """What draws on the site's pool: hours of works and access sets, heads of base scope."""

    works: pd.DataFrame
    sets: pd.DataFrame
    crews: pd.DataFrame


def _pooled(
    case: Case, placements: pd.DataFrame, access: pd.DataFrame, periods: pd.DataFrame
) -> _Pooled:
    """Return hours of pooled resources with the spans over which they spread."""
    heads = head_hours(case)
    pools = heads[heads["pool_heads_count"].notna() & (heads["head_hours"] > 0)]
    names = ["kind", "resource", "name", "head_hours", "pool_heads_count", "base_hours"]
    key = ["kind", "resource"]
    spans = placements[["placement", "span_start_days", "span_end_days"]]
    works = placement_hours(case, placements).merge(pools[names], on=key).merge(spans)
    sets = access.merge(access_hours(case), on="access_set").merge(pools[names], on=key)
    crews = periods[periods["is_outage"]].merge(pools[names], on="kind")
    crews["span_start_days"] = crews["start_days"] + crews["crew_from_days"]
    crews["span_end_days"] = crews["end_days"] - crews["crew_to_days"]
    return _Pooled(works, sets.rename(columns={"work_hours": "hours"}), crews)


def _pool_rows(crews: pd.DataFrame, there: list[str], a: float, b: float) -> pd.DataFrame:
    """Return the pool of each resource in one stretch, without the heads of base scope."""
    own = crews[crews["period"].isin(there)]
    base = own["base_hours"] / own["head_hours"] * _share_inside(own, a, b)
    sums = {"base_amount": "sum", "pool_heads_count": "first", "name": "first"}
    row: pd.DataFrame = own.assign(base_amount=base).groupby("resource", as_index=False).agg(sums)
    row["amount"] = row["pool_heads_count"] * (b - a) - row["base_amount"]
    row["period"] = "+".join(there)
    row["title"] = "site heads (" + row["name"] + ") while " + " and ".join(there) + " overlap"
    return row.assign(
        window=f"{day_name(a)}-{day_name(b)}", measure="head_days", step="1 head", step_amount=b - a
    )


def _pool_name(resource: pd.Series, period: pd.Series | str, window: pd.Series | str) -> pd.Series:
    """Return the name of a pool's limit in one stretch of days."""
    return "site." + resource + "." + period + "." + window


def pool_limits(
    case: Case, placements: pd.DataFrame, access: pd.DataFrame, periods: pd.DataFrame
) -> LimitRows:
    """Return head days of the site's pool wherever crews of several outages overlap.

    A work's head days are spread evenly over its span. Base scope of every outage is taken off.
    """
    pooled = _pooled(case, placements, access, periods)
    limits, uses, sets = [no_limits()], [no_uses("placement")], [no_uses("access")]
    for a, b, there in _stretches(periods):
        limits.append(_pool_rows(pooled.crews, there, a, b))
        for items, store in ((pooled.works, uses), (pooled.sets, sets)):
            part = items[items["period"].isin(there)]
            amount = part["hours"] / part["head_hours"] * _share_inside(part, a, b)
            name = _pool_name(part["resource"], "+".join(there), f"{day_name(a)}-{day_name(b)}")
            store.append(part.assign(amount=amount, limit=name))
    table = pd.concat(limits, ignore_index=True)
    table["limit"] = _pool_name(table["resource"], table["period"], table["window"])
    return LimitRows(
        table,
        pd.concat(uses, ignore_index=True)[["limit", "placement", "amount"]],
        pd.concat(sets, ignore_index=True)[["limit", "access", "amount"]],
    )
