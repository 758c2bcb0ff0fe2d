"""What is in doubt about a levelled outage: estimates, discoveries, deliveries, as a network."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.choice import Choices
from bundler.level.draws import DOUBTS, Doubt, no_doubt
from bundler.level.paths import Network, resource_order
from bundler.level.tables import Schedule
from bundler.level.three_points import with_bands
from bundler.plan.chosen import Chosen
from bundler.plan.network import FOLLOWS

#: estimate class of set-up, lift and what goes alongside, of which the tables say none; our choice
ACCESS_CLASS = 3


@dataclass(frozen=True)
class Doubtful:
    """A levelled outage with what may turn out otherwise."""

    network: Network
    doubt: Doubt


def _described(case: Case, picked: Chosen, schedule: Schedule) -> pd.DataFrame:
    """Return the tasks that run with family and action, estimate, lead time and cost."""
    table = schedule.laid.tasks.merge(schedule.levelled.starts, on="task")
    table = table.merge(picked.works[["placement", "family"]], on="placement", how="left")
    told = ["family", "action", "estimate_class", "contractor", "lead_months", "cost"]
    table = table.merge(case["actions"][told], on=["family", "action"], how="left")
    is_work = table["kind"] == "work"
    return table.assign(
        estimate_class=table["estimate_class"].fillna(ACCESS_CLASS).astype("int64"),
        contractor=table["contractor"].fillna(""),
        cost=table["cost"].where(is_work, 0.0).fillna(0.0),
        family=table["family"].fillna(""),
    )


def _tasks(case: Case, table: pd.DataFrame) -> pd.DataFrame:
    """Return the doubt of durations: a work area is a system, a contractor a common cause."""
    by_train = set(case["areas"].loc[case["areas"]["is_by_train"], "area"])
    train = table["train"].fillna("").where(table["area"].isin(by_train), "")
    system = table["area"].fillna("") + train
    known = pd.DataFrame(
        {
            "task": table["task"],
            "estimate_class": table["estimate_class"],
            "system": system.where(table["area"].fillna("") != "", ""),
            "common_cause": table["contractor"],
            "cost": table["cost"],
        }
    )
    return with_bands(known)[DOUBTS["tasks"]]


def _discoveries(case: Case, table: pd.DataFrame) -> pd.DataFrame:
    """Return what may be found; what counts in the planned days already adds cost alone."""
    found = case["discoveries"].drop(columns="file_row")
    is_drawn = found["chance"] < case.settings.discovery_from_chance
    found = found.assign(days=found["days"].where(is_drawn, 0.0))
    works = table.loc[table["kind"] == "work", ["task", "family", "action"]]
    both = works.merge(found, on=["family", "action"])
    if both.empty:
        return no_doubt("discoveries")
    name = both["task"] + ": " + both["discovery"].str.replace("_", " ")
    return both.assign(discovery=name, group="")[DOUBTS["discoveries"]]


def _deliveries(case: Case, table: pd.DataFrame) -> pd.DataFrame:
    """Return late parts, by the band of their lead time.

    They are ordered in time for the first day of the work's window, which is its earliest: late
    parts come so many days after it, so the days to its levelled start are there to be late in.
    """
    bands = case["late_deliveries"].drop(columns="file_row").sort_values("lead_from_months")
    works = table[(table["kind"] == "work") & (table["lead_months"] > 0)]
    if bands.empty or works.empty:
        return no_doubt("deliveries")
    place = np.searchsorted(bands["lead_from_months"], works["lead_months"], side="right") - 1
    works, place = works[place >= 0], place[place >= 0]
    told = pd.DataFrame(
        {
            "delivery": works["task"] + ": parts",
            "task": works["task"],
            "chance": bands["chance"].to_numpy(dtype=float)[place],
            "days": bands["days"].to_numpy(dtype=float)[place],
            "group": "",
        }
    )
    return told[(told["days"] > 0) & (told["chance"] > 0)].reset_index(drop=True)


def _held(schedule: Schedule, table: pd.DataFrame) -> pd.DataFrame:
    """Return what each task holds of trades, cranes, floors and lines while it runs."""
    needs = schedule.laid.problem.needs.merge(table[["task", "mode"]], on=["task", "mode"])
    is_pool = needs["resource"].str.startswith("site.")
    is_supply = needs["resource"].str.startswith("supply.")
    return needs.loc[~is_pool & ~is_supply, ["task", "resource", "amount"]]


def _amounts(held: pd.DataFrame, table: pd.DataFrame) -> pd.Series:
    """Return the most that is held of each resource at once: crews no larger than needed."""
    spans = held.merge(table[["task", "start", "end"]], on="task")
    steps = pd.concat(
        [
            spans[["resource", "start", "amount"]].rename(columns={"start": "slot"}),
            spans.assign(amount=-spans["amount"])[["resource", "end", "amount"]].rename(
                columns={"end": "slot"}
            ),
        ]
    )
    sums = steps.groupby(["resource", "slot"])["amount"].sum().groupby(level=0).cumsum()
    result: pd.Series = sums.groupby(level=0).max()
    return result


def _arcs(schedule: Schedule, table: pd.DataFrame, per_day: int) -> pd.DataFrame:
    """Return who waits for whom: by order, apart as levelled, and by crews that pass on."""
    problem, span = schedule.laid.problem, table.set_index("task")[["start", "end"]]
    order = problem.follows[problem.follows["lag"] > -schedule.laid.outage.slots]
    order = order[order["first"].isin(span.index) & order["second"].isin(span.index)]
    order = order.assign(lag_days=order["lag"] / per_day)[FOLLOWS]
    apart = problem.apart
    apart = apart[apart["first"].isin(span.index) & apart["second"].isin(span.index)]
    swap = apart["first"].map(span["start"]) > apart["second"].map(span["start"])
    first, second = (
        apart[one].where(~swap, apart[two])
        for one, two in (("first", "second"), ("second", "first"))
    )
    turns = pd.DataFrame({"first": first, "second": second, "lag_days": 0.0})
    known = pd.concat([part for part in (order, turns) if len(part)] or [order])
    held = _held(schedule, table)
    crews = resource_order(span["start"], span["end"], held, _amounts(held, table), known)
    every = pd.concat([part for part in (known, crews) if len(part)] or [known])
    found = every.groupby(FOLLOWS[:2], as_index=False)[["lag_days"]].max()
    return found.astype({"first": "str", "second": "str", "lag_days": "float64"})


def doubtful(case: Case, choices: Choices, picked: Chosen, schedule: Schedule) -> Doubtful:
    """Return a levelled outage as a network with its doubts [days from breaker open].

    Tasks keep their levelled order: by links and chains, and by the crews, floors and lines that
    pass from one to the next. Durations are in doubt by the class of their estimate, together in
    one work area and for one contractor; each day past the outage costs what a day of it costs.
    """
    outage = schedule.laid.outage
    per_day, table = outage.slots_per_day, _described(case, picked, schedule)
    is_free = ~table["kind"].isin(["work", "test"])
    tasks = pd.DataFrame(
        {
            "task": table["task"],
            "duration_days": (table["end"] - table["start"]) / per_day,
            "earliest_days": table["earliest"] / per_day,
            "start_days": table["start"] / per_day,
            "latest_days": (table["latest"] / per_day).where(~is_free),
        }
    )
    costs = choices.periods.set_index("period")["day_cost"]
    network = Network(
        tasks, _arcs(schedule, table, per_day), float(costs[outage.period]), outage.days
    )
    doubt = Doubt(
        _tasks(case, table), _discoveries(case, table), _deliveries(case, table),
        system_correlation=case.settings.system_correlation,
        cause_correlation=case.settings.cause_correlation,
    )  # fmt: skip
    return Doubtful(network, doubt)
