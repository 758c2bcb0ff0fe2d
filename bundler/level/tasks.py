"""The tasks of one outage and what they take in all: works, their tests, and access.

Loads are in days of the resource: head days, isolation days, nights.
"""

import numpy as np
import pandas as pd

from bundler.calendar import spans as all_spans
from bundler.case import Case
from bundler.choice import Choices
from bundler.hours import discovery_hours
from bundler.level.heads import Outage, floors, heads_of, site_name, supplies
from bundler.limits.access import access_hours
from bundler.limits.crews import placement_hours
from bundler.plan.chosen import Chosen
from bundler.tables import rows

#: what leaving out a work costs where nobody says [k$]; our choice
VALUE = 1000
#: the most of a crew, and of its hours in an access set, that the set-up takes; our choice
SET_UP_SHARE = 0.5
#: what a set-up without days of its own counts with [days]; our choice
SET_UP_DAYS = 0.5
#: fewer hours than this are none [h]
NO_HOURS = 1e-6
ACCESS_KINDS = ("set-up", "alongside", "lift")
TASK = [
    "task", "kind", "placement", "access", "component", "action", "area", "train", "earliest",
    "latest", "least", "value", "condition",
]  # fmt: skip
LOAD = ["task", "resource", "amount", "found_amount", "is_daily"]


def planned_works(picked: Chosen, outage: Outage) -> pd.DataFrame:
    """Return the works of a plan in one outage, with alone_test_days of a test without condition.

    end_days is the last day with the days by which the outage is lengthened, as far as the
    work's conditions go on so long [days from planning].
    """
    works = picked.works[picked.works["period"] == outage.period].copy()
    last = outage.start_days + outage.days
    longer = last - works["close_days"]
    works["end_days"] = works["end_days"] + np.minimum(longer, works["max_extension_days"])
    is_alone = works["test_condition"] == ""
    works["alone_test_days"] = works["test_days"].where(is_alone, 0.0)
    works["task"] = works["component"] + " " + works["action"]
    return works.sort_values("task", ignore_index=True)


def _work_tasks(works: pd.DataFrame, outage: Outage) -> list[tuple[object, ...]]:
    """Return a task for each work and one for each test in its own span, right behind it."""
    found: list[tuple[object, ...]] = []
    for row in rows(works):
        test = outage.length(row.alone_test_days)
        least = outage.length(row.days - row.alone_test_days)
        first, last = outage.first_slot(row.start_days), outage.last_slot(row.end_days)
        who = (row.placement, "", row.component, row.action, row.area, row.train)
        found.append((row.task, "work", *who, first, last - test, least, row.value, ""))
        if test:
            name, value = f"{row.task} test", min(row.value, 1)
            found.append((name, "test", *who, first + least, last, test, value, ""))
    return found


def tests(case: Case, works: pd.DataFrame, outage: Outage) -> pd.DataFrame:
    """Return the tests that are made in a plant condition: placement, condition, test_days.

    Those of works with a condition for their test; and one for each work that takes of a supply
    that is there in a condition only, as long as that takes at what there is in a day.
    """
    own = works[(works["test_condition"] != "") & (works["test_days"] > 0)]
    own = own[["placement", "test_condition", "test_days"]].rename(
        columns={"test_condition": "condition"}
    )
    there = supplies(case, outage)
    taken = case["action_supplies"].rename(columns={"amount": "taken"})
    slots = works[["placement", "family", "action"]].merge(taken, on=["family", "action"])
    slots = slots.merge(there[there["condition"] != ""], on="supply")
    days = slots["taken"] / slots["amount"].where(slots["amount"] > 0, slots["taken"])
    slots = slots.assign(test_days=days.where(~slots["is_daily"], 1.0))[list(own.columns)]
    both = pd.concat([own, slots], ignore_index=True)
    return both.groupby(["placement", "condition"], as_index=False)[["test_days"]].max()


def _test_tasks(case: Case, choices: Choices, works: pd.DataFrame, outage: Outage,
                ) -> list[tuple[object, ...]]:  # fmt: skip
    """Return a task for each test in a condition, in the longest piece of it behind the work."""
    pieces = all_spans(case, choices.periods[choices.periods["period"] == outage.period])
    end = outage.start_days + outage.days
    found: list[tuple[object, ...]] = []
    parts = works[["placement", "task", "component", "action", "area", "train", "value",
                   "start_days", "days", "close_days"]]  # fmt: skip
    for row in rows(tests(case, works, outage).merge(parts, on="placement")):
        own = pieces[pieces["condition"] == row.condition]
        last = np.minimum(own["end_days"] + (end - row.close_days), own["last_days"])
        first = np.maximum(own["start_days"], row.start_days + row.days)
        at = int(np.argmax(last - first)) if len(own) else -1
        low, high = (first.iloc[at], last.iloc[at]) if len(own) else (end, end)
        who = (row.placement, "", row.component, row.action, row.area, row.train)
        slots = (outage.first_slot(low), outage.last_slot(high), outage.length(row.test_days))
        name = f"{row.task} test in {row.condition}"
        found.append((name, "test", *who, *slots, min(row.value, 1), row.condition))
    return found


def access_parts(case: Case, heads: pd.DataFrame) -> pd.DataFrame:
    """Return the hours of access by task [h]: access_set, kind, resource, hours; none of zero.

    Our model, which no table says: scaffold, insulation and isolation go ahead of each front and
    behind it, so that only `setup_days` stand before the first work. In these the set-up takes as
    many hours of a trade as half its crew gives, no more than half of those of the set; the lift
    as many again; all the rest goes on alongside the works.
    """
    table = access_hours(case).merge(heads, on="resource")
    days = table["access_set"].map(case["access_sets"].set_index("access_set")["setup_days"])
    most = table["heads_count"] * table["head_hours"] * days.clip(lower=SET_UP_DAYS)
    ends = np.minimum(table["work_hours"], most) * SET_UP_SHARE
    hours = (ends, table["work_hours"] - 2 * ends, ends)
    table = table[["access_set", "resource"]]
    parts = [
        table.assign(kind=kind, hours=own) for kind, own in zip(ACCESS_KINDS, hours, strict=True)
    ]
    both = pd.concat(parts, ignore_index=True)
    return both[both["hours"] > NO_HOURS]


def _access_tasks(
    case: Case, sets: pd.DataFrame, outage: Outage, parts: pd.DataFrame
) -> list[tuple[object, ...]]:
    """Return set-up, lift, and what goes on alongside, of each access set that is made.

    Set-up goes inside the span of the set's works, as the plan counts it; lift, as long, until
    breaker close, since the plan gives it no days. What goes alongside has no days of its own.
    """
    days = case["access_sets"].set_index("access_set")["setup_days"]
    has_hours = set(access_hours(case)["access_set"])
    has_more = set(parts.loc[parts["kind"] == "alongside", "access_set"])
    found: list[tuple[object, ...]] = []
    for row in rows(sets):
        name = f"{row.access_set} {row.train}".strip()
        is_manned = row.access_set in has_hours
        who = (-1, row.access, row.unit, row.access_set, row.area, row.train)
        first, last = outage.first_slot(row.span_start_days), outage.last_slot(row.span_end_days)
        setup = max(int(is_manned), outage.length(days[row.access_set]))
        lengths = (setup, int(row.access_set in has_more), setup if is_manned else 0)
        for kind, least in zip(ACCESS_KINDS, lengths, strict=True):
            latest = last if kind == "set-up" else outage.slots
            if least:
                found.append((f"{name} {kind}", kind, *who, first, latest, least, 1, ""))
    return found


def tasks_of(
    case: Case, choices: Choices, works: pd.DataFrame, sets: pd.DataFrame, outage: Outage
) -> pd.DataFrame:
    """Return one row a task: columns `TASK`, sorted by task.

    earliest, latest and least (its stated length) in slots; value, what leaving it out costs;
    kind is work, test or one of `ACCESS_KINDS`; of these, component is the unit and action the
    set. `works` has a value and an area for each work.
    """
    found = _work_tasks(works, outage) + _test_tasks(case, choices, works, outage)
    found += _access_tasks(case, sets, outage, access_parts(case, heads_of(case, outage)))
    return pd.DataFrame(found, columns=TASK).sort_values("task", ignore_index=True)


def _head_loads(case: Case, tasks: pd.DataFrame, works: pd.DataFrame, heads: pd.DataFrame,
                ) -> pd.DataFrame:  # fmt: skip
    """Return head days of each task by trade or crane, with those of what may be found."""
    hours = placement_hours(case, works)
    found = works[["placement", "family", "action", "learning_ratio"]].merge(
        discovery_hours(case), on=["family", "action"]
    )
    found["found_hours"] = found["work_hours"] * found["learning_ratio"]
    key = ["placement", "resource"]
    hours = hours.merge(found[[*key, "found_hours"]], on=key, how="left")
    own = tasks[tasks["kind"] == "work"].merge(hours, on="placement")
    parts = access_parts(case, heads).rename(columns={"access_set": "action"})
    opened = tasks[tasks["access"] != ""].merge(parts, on=["action", "kind"])
    opened = opened.assign(found_hours=0.0)
    names = ["task", "area", "train", "resource", "hours", "found_hours"]
    both = pd.concat([own[names], opened[names]]).merge(heads, on="resource")
    both["amount"] = both["hours"] / both["head_hours"]
    both["found_amount"] = both["found_hours"].fillna(0.0) / both["head_hours"]
    return both[both["amount"] > 0].assign(is_daily=False)


def area_name(area: str, train: str, *, is_by_train: bool) -> str:
    """Return the name of a work area as a resource, with the train where each has its own."""
    return f"area.{area}-{train}" if is_by_train and train else f"area.{area}"


def _supply_loads(case: Case, tasks: pd.DataFrame, works: pd.DataFrame, outage: Outage,
                  ) -> pd.DataFrame:  # fmt: skip
    """Return what each task takes of supplies; what is there in a condition is taken by its test.

    A supply that is taken once is spread evenly over the days of its task.
    """
    taken = case["action_supplies"].drop(columns="file_row")
    keys = works[["placement", "family", "action"]]
    table = keys.merge(taken, on=["family", "action"]).drop(columns="action")
    there = supplies(case, outage).drop(columns="amount")
    table = table.merge(there, on="supply")
    kind = np.where(table["condition"] == "", "work", "test")
    table = table.assign(kind=kind).merge(tasks[["task", "kind", "placement", "condition"]],
                                          on=["placement", "kind", "condition"])  # fmt: skip
    return table.assign(resource="supply." + table["supply"], found_amount=0.0)[LOAD]


def loads_of(case: Case, tasks: pd.DataFrame, works: pd.DataFrame, outage: Outage) -> pd.DataFrame:
    """Return what each task takes in all of each resource: columns `LOAD`.

    amount in days of the resource (a head for a day), or what it holds on each day where
    is_daily; found_amount is the part of it that is expected of discoveries.
    """
    heads = _head_loads(case, tasks, works, heads_of(case, outage))
    pooled = heads[heads["pool_heads_count"].notna()]
    pooled = pooled.assign(resource=pooled["resource"].map(site_name))
    place = floors(case).set_index("area")["is_by_train"]
    standing = heads[heads["takes_area"] & heads["area"].isin(place.index)]
    names = [
        area_name(row.area, row.train, is_by_train=bool(place[row.area])) for row in rows(standing)
    ]
    standing = standing.assign(resource=pd.Series(names, standing.index, dtype="str"))
    sums = {"amount": "sum", "found_amount": "sum", "is_daily": "first"}
    standing = standing.groupby(["task", "resource"], as_index=False).agg(sums)
    parts = [heads[LOAD], pooled[LOAD], standing[LOAD], _supply_loads(case, tasks, works, outage)]
    table = pd.concat([part for part in parts if len(part)] or [heads[LOAD]], ignore_index=True)
    return table.sort_values(["task", "resource"], ignore_index=True)
