"""Links between works: what one asks of another, pair by pair and step by step."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product
from typing import Any

from bundler.judge.dates import CLOSE_DAYS, Period
from bundler.judge.possible import is_possible
from bundler.judge.reading import Reading
from bundler.judge.verdict import Breach
from bundler.judge.works import Work, works_by_component
from bundler.tables import rows


@dataclass(frozen=True)
class Tied:
    """Two components under one link, with the works of both that it counts."""

    link: Any
    first: Any
    second: Any
    firsts: list[Work]
    seconds: list[Work]

    @property
    def place(self) -> str:
        """The link with its components."""
        return f"{self.link.link}: {self.first.component}, {self.second.component}"


def check_links(reading: Reading) -> Iterator[Breach]:
    """Hold every link between two components."""
    for tied in _ties(reading):
        if tied.link.rule == "instead":
            broken = _instead(reading, tied)
        else:
            broken = RULES[tied.link.rule](tied)
        for what in broken:
            text = f"{tied.place}: {tied.link.rule} is broken by 1 of its works, {what}."
            yield Breach("links", tied.place, text, 1.0)


def _ties(reading: Reading) -> Iterator[Tied]:
    works = works_by_component(reading.works)
    for link in rows(reading.site.case["links"]):
        for first, second in _pairs(reading, link):
            firsts = _named(works.get(first.component, []), link.first_action)
            seconds = _named(works.get(second.component, []), link.second_action)
            if link.rule not in ("before", "instead"):
                firsts = _of_kind(firsts, link.only_kind)
            if link.rule not in ("triggers", "instead"):
                seconds = _of_kind(seconds, link.only_kind)
            yield Tied(link, first, second, firsts, seconds)


def _named(works: list[Work], action: str) -> list[Work]:
    return [work for work in works if action in ("", work.action.action, work.action.like)]


def _of_kind(works: list[Work], kind: str) -> list[Work]:
    return [work for work in works if kind in ("", work.period.kind)]


def _pairs(reading: Reading, link: Any) -> Iterator[tuple[Any, Any]]:
    components = reading.site.components.values()
    firsts = [row for row in components if row.family == link.first_family]
    seconds = [row for row in components if row.family == link.second_family]
    is_one_family = link.first_family == link.second_family
    is_mirrored = (
        link.rule in ("apart", "stagger", "together") and link.first_action == link.second_action
    )
    for first, second in product(firsts, seconds):
        is_same = first.component == second.component
        if is_same != (is_one_family and link.rule == "instead"):
            continue
        if is_one_family and is_mirrored and first.component > second.component:
            continue
        if link.only_unit not in ("", second.unit):
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


def _alone(firsts: list[Work], seconds: list[Work]) -> Iterator[str]:
    periods = {work.period.name for work in seconds}
    for work in firsts:
        if work.period.name not in periods:
            yield f"{work.name}, alone"


def _needs(tied: Tied) -> Iterator[str]:
    yield from _alone(tied.firsts, tied.seconds)


def _together(tied: Tied) -> Iterator[str]:
    yield from _alone(tied.firsts, tied.seconds)
    yield from _alone(tied.seconds, tied.firsts)


def _before(tied: Tied) -> Iterator[str]:
    for work in tied.seconds:
        if not any(_can_follow(work, first, tied.link.lag_days) for first in tied.firsts):
            yield f"{work.name}, with nothing done before it"


def _triggers(tied: Tied) -> Iterator[str]:
    for work in tied.firsts:
        due = work.period.effect + CLOSE_DAYS
        if not any(second.period.effect <= due for second in tied.seconds):
            yield f"{work.name}, with nothing done by then"


def _apart(tied: Tied) -> Iterator[str]:
    for first, second in product(tied.firsts, tied.seconds):
        if not (_can_follow(first, second) or _can_follow(second, first)):
            yield f"{first.name} at the same time as {second.name}"


def _stagger(tied: Tied) -> Iterator[str]:
    for first, second in product(tied.firsts, tied.seconds):
        if first.period.name == second.period.name:
            yield f"{first.name} and {second.name} share it"


def _can_follow(later: Work, earlier: Work, lag: float = 0.0) -> bool:
    return earlier.finish + lag <= later.latest_start + CLOSE_DAYS


#: what breaks a link, by its rule
RULES: dict[str, Callable[[Tied], Iterator[str]]] = {
    "needs": _needs,
    "together": _together,
    "before": _before,
    "triggers": _triggers,
    "apart": _apart,
    "stagger": _stagger,
}


def _instead(reading: Reading, tied: Tied) -> Iterator[str]:
    """Yield the outages ahead in which neither is done though one of them could be."""
    site, link = reading.site, tied.link
    for outage in site.outages:
        if outage.unit != tied.second.unit or link.only_kind not in ("", outage.kind):
            continue
        if outage.start <= 0 or outage.freeze <= 0:
            continue
        due = outage.end + CLOSE_DAYS
        is_done = any(work.period.effect <= due for work in tied.firsts)
        is_done = is_done or any(work.period.name == outage.name for work in tied.seconds)
        if not is_done and _could(reading, tied, outage):
            yield f"which is missing in {outage.name}"


def _could(reading: Reading, tied: Tied, outage: Period) -> bool:
    """Tell whether the second could be done in an outage, or the first by its end."""
    site, link = reading.site, tied.link
    if is_possible(site, tied.second, link.second_action, outage):
        return True
    return any(
        is_possible(site, tied.first, link.first_action, period)
        for period in site.periods.values()
        if period.unit == tied.first.unit and period.effect <= outage.end + CLOSE_DAYS
    )


def check_paths(reading: Reading) -> Iterator[Breach]:
    """Hold that works which wait for each other inside one outage all come to an end in it."""
    waits: dict[str, list[Tied]] = {}
    for tied in _ties(reading):
        if tied.link.rule == "before":
            waits.setdefault(tied.second.component, []).append(tied)
    for work in reading.works:
        if not work.period.is_outage:
            continue
        late = _earliest(work, waits, ()) - work.latest_start
        if late > CLOSE_DAYS and work.start <= work.latest_start + CLOSE_DAYS:
            place = f"{work.name}"
            text = (
                f"{place}: the works that have to go before it in its outage leave it "
                f"{late:.1f} days too few."
            )
            yield Breach("links", place, text, late)


def _earliest(work: Work, waits: dict[str, list[Tied]], later: tuple[Work, ...]) -> float:
    """Return the earliest start of a work after all that goes before it in its outage.

    A link asks for nothing here where its first was done elsewhere, early enough.
    """
    start = work.start
    for tied in waits.get(work.component.component, []):
        lag = tied.link.lag_days
        if work not in tied.seconds:
            continue
        here = [first for first in tied.firsts if first.period.name == work.period.name]
        there = [first for first in tied.firsts if first.period.name != work.period.name]
        if any(_can_follow(work, first, lag) for first in there):
            continue
        for first in here:
            if first not in later:
                start = max(start, _earliest(first, waits, (*later, work)) + first.length + lag)
    return start
