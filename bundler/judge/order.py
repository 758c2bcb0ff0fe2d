"""Works that follow each other: chains, and links between works."""

from collections.abc import Callable, Iterator
from itertools import product
from typing import Any

from bundler.judge.dates import CLOSE_DAYS, date_of
from bundler.judge.reading import Reading
from bundler.judge.verdict import Breach, over
from bundler.judge.works import Work
from bundler.tables import rows

Pair = tuple[Any, Any]


def check_chains(reading: Reading) -> Iterator[Breach]:
    """Hold that works which can only follow each other fit into every stretch of an outage."""
    table = reading.site.case["chains"]
    for chain, families in table.groupby("chain")["family"]:
        groups: dict[tuple[str, str, str], list[Work]] = {}
        for work in reading.works:
            if work.period.is_outage and work.family.family in set(families):
                train = work.component.train if "*" in str(chain) else ""
                key = (work.period.name, work.component.unit, train)
                groups.setdefault(key, []).append(work)
        for key, works in groups.items():
            yield from _stretches(reading, f"chain {chain} in {' '.join(key).strip()}", works)


def _stretches(reading: Reading, place: str, works: list[Work]) -> Iterator[Breach]:
    extension = reading.extension(works[0].period)
    starts = {work.start for work in works}
    ends = {work.span[1] for work in works}
    for low, high in product(sorted(starts), sorted(ends)):
        inside = [work for work in works if work.start >= low and work.span[1] <= high]
        used = sum(work.length for work in inside)
        limit = high - low + extension
        if inside and over(used, limit):
            planning = reading.site.settings.planning_date
            text = (
                f"{place}: {len(inside)} works take {used:.1f} days one after the other, from "
                f"{date_of(planning, low)} to {date_of(planning, high)} there are {limit:.1f}."
            )
            yield Breach("chains", place, text, used - limit)


def check_links(reading: Reading) -> Iterator[Breach]:
    """Hold every link between two components."""
    works: dict[str, list[Work]] = {}
    for work in reading.works:
        works.setdefault(work.component.component, []).append(work)
    for link in rows(reading.site.case["links"]):
        for first, second in _pairs(reading, link):
            of_first = _named(works.get(first.component, []), link.first_action)
            of_second = _named(works.get(second.component, []), link.second_action)
            for what in RULES[link.rule](of_first, of_second):
                place = f"{link.link}: {first.component}, {second.component}"
                text = f"{place}: {link.rule} is broken by 1 of its works, {what}."
                yield Breach("links", place, text, 1.0)


def _named(works: list[Work], action: str) -> list[Work]:
    return [work for work in works if action in ("", work.action.action)]


def _pairs(reading: Reading, link: Any) -> Iterator[Pair]:
    components = reading.site.components.values()
    firsts = [row for row in components if row.family == link.first_family]
    seconds = [row for row in components if row.family == link.second_family]
    is_mirrored = (
        link.rule in ("apart", "together")
        and link.first_family == link.second_family
        and link.first_action == link.second_action
    )
    for first, second in product(firsts, seconds):
        if first.component == second.component or link.only_unit not in ("", second.unit):
            continue
        if is_mirrored and first.component > second.component:
            continue
        if MATCHES[link.match](first) == MATCHES[link.match](second):
            yield first, second


#: what first and second have in common, by the word of the link
MATCHES: dict[str, Callable[[Any], Any]] = {
    "station": lambda row: "",
    "unit": lambda row: row.unit,
    "train": lambda row: (row.unit, row.train),
    "position": lambda row: (row.unit, row.position_count),
}


def _needs(firsts: list[Work], seconds: list[Work]) -> Iterator[str]:
    periods = {work.period.name for work in seconds}
    for work in firsts:
        if work.period.name not in periods:
            yield f"{work.name}, alone"


def _together(firsts: list[Work], seconds: list[Work]) -> Iterator[str]:
    yield from _needs(firsts, seconds)
    yield from _needs(seconds, firsts)


def _before(firsts: list[Work], seconds: list[Work]) -> Iterator[str]:
    for work in seconds:
        if not any(_can_follow(work, first) for first in firsts):
            yield f"{work.name}, with nothing done before it"


def _triggers(firsts: list[Work], seconds: list[Work]) -> Iterator[str]:
    for work in firsts:
        due = work.period.effect + CLOSE_DAYS
        if not any(second.period.effect <= due for second in seconds):
            yield f"{work.name}, with nothing done by then"


def _apart(firsts: list[Work], seconds: list[Work]) -> Iterator[str]:
    for first, second in product(firsts, seconds):
        if not (_can_follow(first, second) or _can_follow(second, first)):
            yield f"{first.name} at the same time as {second.name}"


def _can_follow(later: Work, earlier: Work) -> bool:
    return earlier.finish <= later.latest_start + CLOSE_DAYS


#: what breaks a link, by its rule
RULES: dict[str, Callable[[list[Work], list[Work]], Iterator[str]]] = {
    "needs": _needs,
    "together": _together,
    "before": _before,
    "triggers": _triggers,
    "apart": _apart,
}
