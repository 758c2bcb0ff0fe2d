"""Head days in each work area by window."""

import pandas as pd

from bundler.case import Case
from bundler.limits.access import access_hours
from bundler.limits.crews import head_hours, placement_hours
from bundler.limits.rows import LimitRows
from bundler.limits.windows import in_window, members


def _head_days(hours: pd.DataFrame, heads: pd.DataFrame, column: str) -> pd.DataFrame:
    """Return hours turned into head days of those heads that stand in the work area."""
    standing = heads[heads["takes_area"] & (heads["head_hours"] > 0)]
    table = hours.merge(standing[["kind", "resource", "head_hours"]], on=["kind", "resource"])
    return table.assign(amount=table[column] / table["head_hours"])


def _area_name(area: pd.Series, train: pd.Series, case: Case) -> pd.Series:
    """Return the area with the train where there is one such area for each train."""
    by_train = set(case["areas"].loc[case["areas"]["is_by_train"], "area"])
    names = [
        f"{name}-{side}" if name in by_train and side else name
        for name, side in zip(area, train, strict=True)
    ]
    return pd.Series(names, index=area.index, dtype="str")


def area_limits(
    case: Case, placements: pd.DataFrame, access: pd.DataFrame, windows: pd.DataFrame,
    periods: pd.DataFrame,
) -> LimitRows:  # fmt: skip
    """Return head days of each work area in each window of each outage.

    Heads at once = floor area / area one head needs; shifts share the area, so head days are
    heads x shifts x crew days of the window.
    """
    settings, heads = case.settings, head_hours(case)
    places = case["families"][["family", "area"]]
    hours = placement_hours(case, placements[placements["is_outage"]])
    works = placements[["placement", "family", "train"]].merge(places, on="family")
    works["area"] = _area_name(works["area"], works["train"], case)
    days = _head_days(hours, heads, "hours").merge(works[["placement", "area"]], on="placement")
    uses = days.groupby(["placement", "period", "area"], as_index=False)["amount"].sum()
    uses = uses.merge(members(windows, placements, "placement"), on=["placement", "period"])
    opened = access[access["area"] != ""].merge(access_hours(case), on="access_set")
    opened = _head_days(opened, heads, "work_hours")
    opened["area"] = _area_name(opened["area"], opened["train"], case)
    sets = opened.groupby(["access", "period", "area"], as_index=False)["amount"].sum()
    sets = sets.merge(members(windows, access, "access"), on=["access", "period"])
    for table in (uses, sets):
        table["limit"] = table["period"] + ".area " + table["area"] + "." + table["window"]
    used = pd.concat([uses, sets])[["period", "area", "window"]].drop_duplicates()
    room = case["areas"].set_index("area")["usable_m2"]
    limits = used.merge(windows, on=["period", "window"]).rename(columns={"area": "resource"})
    size = limits["resource"].map(room).fillna(limits["resource"].str[:-2].map(room))
    daily = size / settings.area_per_head_m2 * settings.shifts_count
    limits["amount"], limits["extension_amount"] = daily * limits["crew_days"], daily
    limits["limit"] = limits["period"] + ".area " + limits["resource"] + "." + limits["window"]
    limits["resource"] = "area " + limits["resource"]
    limits["title"] = "room in " + limits["resource"] + " in " + in_window(limits)
    limits["step"] = "room for 1 head"
    limits["step_amount"] = settings.shifts_count * limits["crew_days"]
    return LimitRows(
        limits.assign(measure="head_days"),
        uses[["limit", "placement", "amount"]],
        sets[["limit", "access", "amount"]],
    )
