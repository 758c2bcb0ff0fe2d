"""What levelling found to fit, as rows that limit the next plan: which window, what, how much."""

from typing import Any

import pandas as pd

from bundler.case import Case, with_tables
from bundler.choice import Choices
from bundler.level.lacks import lack_of
from bundler.level.tables import Schedule
from bundler.limits.levelled import CLOSE_DAYS
from bundler.limits.windows import WHOLE
from bundler.plan.chosen import Chosen
from bundler.tables import empty, rows

#: columns of the input table `levelled`
FITS = ["outage", "resource", "from_days", "to_days", "amount", "why"]
KEY = FITS[:4]
#: names of works that a reason tells one by one
MOST_NAMED = 3


def left_out(schedule: Schedule) -> list[str]:
    """Return the works of an outage that find no room on its days, by task."""
    runs = set(schedule.levelled.starts["task"])
    works = schedule.laid.tasks[schedule.laid.tasks["kind"] == "work"]
    return sorted(task for task in works["task"] if task not in runs)


def _whole(choices: Choices, period: str) -> pd.DataFrame:
    """Return what the limits over a whole outage count: resource, item (work or access), amount."""
    limits = choices.limits[(choices.limits["period"] == period)]
    limits = limits[limits["window"] == WHOLE][["limit", "resource"]]
    works = choices.uses.rename(columns={"placement": "item"}).merge(limits, on="limit")
    sets = choices.access_uses.rename(columns={"access": "item"}).merge(limits, on="limit")
    both = pd.concat([works.astype({"item": object}), sets.astype({"item": object})])
    resource = both["resource"].str.replace("area ", "area.", regex=False)
    return both.assign(resource=resource)[["resource", "item", "amount"]]


def _spans(choices: Choices, picked: Chosen, schedule: Schedule, forced: set[str]) -> pd.DataFrame:
    """Return the spans of works and access sets of an outage that run: item, first, last [d].

    Works in `forced` (by component) count as if they ran, as no plan can do without them.
    """
    period, left = schedule.laid.outage.period, set(left_out(schedule))
    works = picked.works[picked.works["period"] == period]
    is_out = (works["component"] + " " + works["action"]).isin(left)
    works = works[~is_out | works["component"].isin(forced)]
    sets = picked.access[picked.access["period"] == period]
    members = choices.access_members
    used = set(members.loc[members["placement"].isin(works["placement"]), "access"])
    names = ["item", "span_start_days", "span_end_days"]
    both = [
        works.rename(columns={"placement": "item"})[names].astype({"item": object}),
        sets[sets["access"].isin(used)]
        .rename(columns={"access": "item"})[names]
        .astype({"item": object}),
    ]
    return pd.concat(both, ignore_index=True)


def _plain(name: str) -> str:
    """Return a resource of levelling as limits name it."""
    return name.removeprefix("supply.").removeprefix("site.")


def _short(schedule: Schedule, work: Any, able: set[str]) -> str:
    """Return what a work that was left out lacks: what alone stops it, or stops it most often.

    Where only order does, the first of what it takes: its amount is then what runs beside it.
    """
    unfit = schedule.laid.unfit
    own = unfit[(unfit["task"] == work.task) & unfit["resource"].notna()]
    told = [_plain(str(name)) for name in own["resource"]]
    if work.task in set(schedule.laid.problem.tasks["task"]):
        told.append(_plain(lack_of(schedule, work.task).resource))
    return next((name for name in told if name in able), min(able, default=""))


def _row(group: pd.DataFrame, there: pd.DataFrame, opened: float) -> dict[str, Any]:
    """Return what fits in one window: what the works inside that run take of the resource."""
    head = group.iloc[0]
    inside = there[
        (there["resource"] == head["resource"])
        & (there["span_start_days"] >= head["span_start_days"] - CLOSE_DAYS)
        & (there["span_end_days"] <= head["span_end_days"] + CLOSE_DAYS)
    ]
    names = sorted(group["task"])
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return {
        "outage": head["period"],
        "resource": head["resource"],
        "from_days": round(head["span_start_days"] - opened, 6),
        "to_days": round(head["span_end_days"] - opened, 6),
        "amount": round(float(inside["amount"].sum()) * (1 + 1e-9), 6),
        "why": f"no room on days for {', '.join(names[:MOST_NAMED])}{more}",
    }


def fits_of(choices: Choices, picked: Chosen, schedule: Schedule, forced: set[str]) -> pd.DataFrame:
    """Return what fits into the windows of works that found no room: columns `FITS`.

    One row a window and resource: what the works and access sets with their span inside it take
    that do run, as the limits count it, so that the plan as it is breaks it. Works in `forced` (by
    component) may not be moved: they make no row and count as running. Days count from breaker
    open.
    """
    outage, whole = schedule.laid.outage, _whole(choices, schedule.laid.outage.period)
    works = picked.works[picked.works["period"] == outage.period]
    works = works.assign(task=works["component"] + " " + works["action"])
    out = works[works["task"].isin(left_out(schedule)) & ~works["component"].isin(forced)]
    short = []
    for work in rows(out):
        takes = whole[(whole["item"] == work.placement) & (whole["amount"] > 0)]
        short.append(_short(schedule, work, set(takes["resource"])))
    out = out.assign(resource=pd.Series(short, out.index, dtype="str"))
    out = out[out["resource"] != ""]
    there = whole.merge(_spans(choices, picked, schedule, forced), on="item")
    key = ["resource", "span_start_days", "span_end_days"]
    found = [_row(group, there, outage.start_days) for _, group in out.groupby(key, sort=True)]
    return pd.DataFrame(found, columns=FITS)


def joined_fits(before: pd.DataFrame, more: pd.DataFrame) -> pd.DataFrame:
    """Return rows of both tables, of equal windows the one that holds less; sorted by window."""
    both = pd.concat([part[FITS] for part in (before, more) if len(part)] or [before[FITS]])
    both = both.sort_values([*KEY, "amount"], kind="stable")
    return both.drop_duplicates(KEY).reset_index(drop=True)


def with_fits(case: Case, fits: pd.DataFrame) -> Case:
    """Return the case with these rows of `levelled`."""
    kinds = empty("levelled").dtypes.to_dict()
    return with_tables(case, levelled=fits.assign(file_row=0).astype(kinds))
