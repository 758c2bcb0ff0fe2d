"""Days of works that can only follow each other: never two at once in one place."""

import numpy as np
import pandas as pd

from bundler.calendar import date_at
from bundler.case import Case
from bundler.limits.rows import LimitRows, day_name, no_uses


def chain_members(case: Case, placements: pd.DataFrame) -> pd.DataFrame:
    """Return the placements of each chain in each outage; chains with a star are one a train."""
    table = case["chains"].drop(columns="file_row")
    works = placements[placements["is_outage"]].merge(table, on="family")
    by_train = works["chain"].str.contains("*", regex=False)
    works["chain"] = [
        name.replace("*", train) for name, train in zip(works["chain"], works["train"], strict=True)
    ]
    return works[~by_train | (works["train"] != "")]


def _stretches(own: pd.DataFrame) -> list[tuple[float, float]]:
    """Return every stretch from the start of one work's span to the end of another's."""
    starts, ends = np.unique(own["start_days"]), np.unique(own["end_days"])
    return [(float(a), float(b)) for a in starts for b in ends if b > a]


def chain_limits(case: Case, placements: pd.DataFrame) -> LimitRows:
    """Return, for each chain in an outage, the days of its works against the days there are.

    For every stretch of days, the works that have to lie inside it (conditions hold and parts
    are there no earlier, conditions end no later) follow each other in it. A stretch with works
    of only one component says nothing new and is left out.
    """
    limits: list[tuple[str, str, str, str, float]] = []
    uses: list[pd.DataFrame] = []
    works = chain_members(case, placements)
    for (period, chain), own in works.groupby(["period", "chain"], sort=True):
        first_day = own["open_days"].iloc[0]
        for a, b in _stretches(own):
            inside = own[(own["start_days"] >= a) & (own["end_days"] <= b)]
            if inside["component"].nunique() < 2:
                continue
            days = f"{day_name(a - first_day)}-{day_name(b - first_day)}"
            name = f"{period}.chain {chain}.{days}"
            limits.append((name, f"chain {chain}", str(period), days, b - a))
            uses.append(inside[["placement", "days"]].assign(limit=name))
    table = pd.DataFrame(limits, columns=["limit", "resource", "period", "window", "amount"])
    used = (
        pd.concat(uses, ignore_index=True)
        if uses
        else pd.DataFrame(columns=["limit", "placement", "days"])
    )
    return LimitRows(
        table.assign(
            measure="days",
            extension_amount=1.0,
            step="1 day",
            title="days for " + table["resource"] + " in " + table["period"],
        ),
        used.rename(columns={"days": "amount"})[["limit", "placement", "amount"]],
        no_uses("access"),
    )


def _clash(case: Case, own: pd.DataFrame, most_longer: float) -> pd.DataFrame | None:
    """Return rows that say how far works in series do not fit, None where they all fit."""
    need, start, end = own["days"].sum(), own["start_days"].min(), own["end_days"].max()
    if len(own) < 2 or need <= end - start + most_longer:
        return None
    has_lead = bool((own["lead_months"] > 0).any())
    wait = own["lead_days"].max() + case.settings.receive_days
    by, first = date_at(case, end - need - wait), date_at(case, own["approval_days"].max())
    detail = (
        f"not all together: {len(own)} works that follow each other need {need:.0f} d; "
        f"from {date_at(case, start)} there are {end - start:.0f} d, "
        f"so {need - end + start:.0f} d are missing. "
        + (
            f"For all of them the last order date is {by}, the earliest possible {first}"
            if has_lead
            else ""
        )
    )
    ready = own["ready_days"].max()
    return pd.DataFrame(
        {
            "component": own["component"],
            "action": own["action"],
            "period": own["period"],
            "reason": "in series",
            "detail": detail,
            "ready_date": date_at(case, ready).isoformat(),
            "earliest_date": "",
            "offer": "",
        }
    )


def series_clashes(case: Case, placements: pd.DataFrame) -> pd.DataFrame:
    """Return works that can each go into an outage but not all together, because of their chain.

    Same columns as what is ruled out. The single works stay possible; the chain's limit decides
    which of them go in.
    """
    found = []
    works = chain_members(case, placements)
    for _, own in works.groupby(["period", "chain", "family", "action"], sort=True):
        clash = _clash(case, own, float(own["max_extension_days"].max()))
        if clash is not None:
            clash["offer"] = _other_actions(works, own)
            found.append(clash)
    return pd.concat(found, ignore_index=True) if found else pd.DataFrame()


def _other_actions(works: pd.DataFrame, own: pd.DataFrame) -> str:
    """Return the other actions with which the same components could go into the same outage."""
    same = works["component"].isin(own["component"]) & (works["period"] == own["period"].iloc[0])
    return " ".join(sorted(set(works.loc[same, "action"]) - set(own["action"])))
