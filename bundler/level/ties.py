"""What has to follow what in one outage, and what is never under way at the same time."""

from collections.abc import Iterable, Iterator
from itertools import combinations, pairwise, product
from typing import Any

import numpy as np
import pandas as pd

from bundler.calendar import spans as all_spans
from bundler.case import Case
from bundler.choice import Choices, FloatArray
from bundler.level.heads import PARTS, Outage, runs
from bundler.limits.lines import Allowed, Place, allowed, places
from bundler.limits.link_pairs import pairs
from bundler.limits.links import ONLY_FIRST, ONLY_SECOND
from bundler.plan.chosen import Chosen
from bundler.plan.series import chained
from bundler.tables import rows

#: parts of a follows row: first, second, lag in slots, is_needed
Follow = tuple[str, str, int, bool]
#: parts of a taken row: resource, start, end [slots], amount [hundredths]
Taken = tuple[str, int, int, int]
#: parts of a load: task, resource, amount, found_amount, is_daily
Load = tuple[str, str, float, float, bool]
CLOSE = 1e-6


class Own:
    """The tasks of each work by placement: all that lie in its own span, in order, and others.

    stay : the work, and its test where that needs no condition of its own.
    """

    def __init__(self, tasks: pd.DataFrame) -> None:
        kinds = tasks[tasks["placement"] >= 0].sort_values("kind", ascending=False, kind="stable")
        in_span, later = kinds[kinds["condition"] == ""], kinds[kinds["condition"] != ""]
        self.stay: dict[int, list[str]] = {}
        self.later: dict[int, list[str]] = {}
        for table, store in ((in_span, self.stay), (later, self.later)):
            for row in rows(table):
                store.setdefault(row.placement, []).append(row.task)

    def both_ways(self, outage: Outage) -> Iterator[Follow]:
        """Yield tests behind their works, and works only with their tests."""
        for number, stay in self.stay.items():
            for test in (*stay[1:], *self.later.get(number, [])):
                before = stay[0] if test in stay else stay[-1]
                yield before, test, 0, True
                yield test, stay[0], never(outage), True


def never(outage: Outage) -> int:
    """Return a lag that delays nothing [slots]: one task asks for the other, whatever the order."""
    return -2 * outage.slots


def _of(works: pd.DataFrame, component: str, action: str, kind: str) -> pd.DataFrame:
    """Return the works on a component that a link speaks of."""
    own = works[works["component"] == component]
    if action:
        own = own[(own["action"] == action) | (own["like"] == action)]
    return own[own["kind"] == kind] if kind else own


def _is_served(firsts: pd.DataFrame, second: Any, period: str, lag_days: float) -> bool:
    """Tell whether a work's first is done in another period, early enough."""
    other = firsts[firsts["period"] != period]
    last = second.end_days - second.days
    return bool((other["start_days"] + other["days"] + lag_days <= last + CLOSE).any())


def _is_done(works: pd.DataFrame, tie: Any, by_days: float, second: Any) -> bool:
    """Tell whether another period has done by then what a work triggers."""
    other = _of(works, tie.second, tie.second_action, "")
    other = other[other["period"] != second.period]
    return bool((other["effect_days"] <= by_days).any())


def links(
    case: Case, picked: Chosen, outage: Outage, own: Own
) -> tuple[list[Follow], list[tuple[str, str]]]:
    """Return the links between works of one outage: what follows, and what is kept apart.

    `before` with its lag, unless the first is done elsewhere early enough; `needs` and `together`
    ask for each other in the outage, `triggers` for what no outage before has done; `apart`.
    `stagger` asks for nothing: days inside an outage and works left out never break it. What
    `instead` asks for is forced, so who values works says that it may not be left out.
    """
    parts = case["components"][["component", "unit", "family", "train", "position_count"]]
    works, follows, apart = picked.works, list[Follow](), list[tuple[str, str]]()
    here = works[works["period"] == outage.period]
    there, later = set(here["component"]), never(outage)
    for tie in rows(pairs(case, parts)):
        if tie.second not in there and tie.first not in there:
            continue
        kinds = [tie.only_kind if tie.rule in which else "" for which in (ONLY_FIRST, ONLY_SECOND)]
        firsts = _of(works, tie.first, tie.first_action, kinds[0])
        seconds = _of(here, tie.second, tie.second_action, kinds[1])
        both = product(rows(firsts[firsts["period"] == outage.period]), rows(seconds))
        for one, two in both:
            first, second = own.stay[one.placement], own.stay[two.placement]
            if tie.rule == "apart":
                apart += product(first, second)
            if tie.rule == "before" and not _is_served(firsts, two, outage.period, tie.lag_days):
                follows.append((first[-1], second[0], outage.length(tie.lag_days), True))
            is_due = tie.rule == "triggers" and not _is_done(works, tie, one.effect_days, two)
            if tie.rule in ("needs", "together") or is_due:
                follows.append((second[0], first[0], later, True))
            if tie.rule == "together":
                follows.append((first[0], second[0], later, True))
    return follows, apart


def series(case: Case, works: pd.DataFrame, own: Own) -> Iterator[tuple[str, str]]:
    """Yield pairs of tasks of different works of one chain: never at the same time."""
    for _, members in chained(case, works).groupby("key", sort=True):
        for one, two in combinations(members["placement"], 2):
            yield from product(own.stay[one], own.stay[two])


def _lines_there(place: Place, works: pd.DataFrame) -> pd.DataFrame:
    table = works[works["component"].isin(place.line_of)]
    return table.assign(line=table["component"].map(place.line_of))


def _can_meet(one: Any, two: Any, limit: Allowed) -> bool:
    """Tell whether two works could be under way on a day on which only one line may be out."""
    low = max(one.start_days, two.start_days)
    high = min(one.end_days, two.end_days)
    return low < high and limit.least(low, high) <= 1


def lines_apart(
    case: Case, choices: Choices, works: pd.DataFrame, own: Own
) -> Iterator[tuple[str, str]]:
    """Yield pairs of tasks on different lines of a group of which only one may be out of service.

    Days on which two or more lines may be out, or none, stand in `lines_out`.
    """
    spans = all_spans(case, choices.periods)
    for place in places(case):
        there = _lines_there(place, works)
        if there["line"].nunique() < 2:
            continue
        limit = allowed(case, place, choices.periods, spans)
        for one, two in combinations(list(rows(there)), 2):
            if one.line != two.line and _can_meet(one, two, limit):
                yield from product(own.stay[one.placement], own.stay[two.placement])


def _kept_in(limit: Allowed, there: pd.DataFrame, outage: Outage) -> FloatArray:
    """Return by how many fewer works than there are may be under way in each slot [slots].

    Where one line may be out, pairs of tasks are kept apart, and works on that line may go on.
    """
    found: FloatArray = np.zeros(outage.slots)
    first, last = outage.start_days, outage.start_days + outage.days
    inside = limit.edges_days[(limit.edges_days > first) & (limit.edges_days < last)]
    for low, high in pairwise([first, *inside, last]):
        count = limit.least(low, high)
        near = there[(there["start_days"] < high) & (there["end_days"] > low)]
        if count != 1 and count < near["line"].nunique():
            held = found[outage.last_slot(low) : outage.first_slot(high)]
            np.maximum(held, len(there) - count, out=held)
    return found


def lines_out(
    case: Case, choices: Choices, works: pd.DataFrame, own: Own, outage: Outage
) -> tuple[list[tuple[str, int]], list[Taken], list[Load]]:
    """Return groups of which not all lines may be out as resources, what is taken, and loads.

    Of days on which just one line may be out, `lines_apart` has the pairs. Each work counts as a
    line of its own, on the safe side where two share one.
    """
    spans = all_spans(case, choices.periods)
    resources, taken, loads = list[tuple[str, int]](), list[Taken](), list[Load]()
    for place in places(case):
        there = _lines_there(place, works)
        name = f"lines.{place.group}.{place.place}"
        limit = allowed(case, place, choices.periods, spans)
        kept = runs(name, _kept_in(limit, there, outage))
        if kept:
            resources.append((name, len(there) * PARTS))
            taken += kept
            tasks = [task for number in there["placement"] for task in own.stay[number]]
            loads += [(task, name, 1.0, 0.0, True) for task in tasks]
    return resources, taken, loads


def access_ties(
    tasks: pd.DataFrame, members: pd.DataFrame, outage: Outage, own: Own
) -> Iterator[Follow]:
    """Yield set-up before all members of an access set and lift after them, each with the others.

    What goes on alongside follows the set-up. Members ask for the set-up, no task of access for
    members, as it would be for any of them: what none needs is taken out once levelled
    (`outage.without_idle`).
    """
    opened = tasks[tasks["access"] != ""]
    for access, two in opened.groupby("access", sort=True):
        name = {str(row.kind): row.task for row in rows(two)}
        placed = [n for n in members.loc[members["access"] == access, "placement"] if n in own.stay]
        for number in placed:
            stay = own.stay[number]
            if "set-up" in name:
                yield name["set-up"], stay[0], 0, True
            if "lift" in name:
                yield stay[-1], name["lift"], 0, False
        for kind in sorted(set(name) - {"set-up"}):
            yield name["set-up"], name[kind], 0, True
            yield name[kind], name["set-up"], never(outage), True


def unique_pairs(found: Iterable[tuple[str, str]]) -> pd.DataFrame:
    """Return pairs of tasks once each: first, second, sorted."""
    both = sorted({(min(pair), max(pair)) for pair in found})
    return pd.DataFrame(both, columns=["first", "second"], dtype="str")
