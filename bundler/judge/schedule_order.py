"""The order of a schedule: what waits for what, and what is never under way at the same time."""

from collections.abc import Iterator
from itertools import combinations, product
from typing import Any

from bundler.judge.dates import CLOSE_DAYS
from bundler.judge.links import MATCHES
from bundler.judge.schedule_days import in_span
from bundler.judge.schedule_reading import Placed, Timetable
from bundler.judge.verdict import Breach
from bundler.judge.works import Work
from bundler.tables import rows


def _named(works: list[Work], family: str, action: str, kind: str) -> list[Work]:
    """Return the works that one side of a link speaks of."""
    return [
        work
        for work in works
        if work.family.family == family
        and action in ("", work.action.action, work.action.like)
        and kind in ("", work.period.kind)
    ]


def _tied(link: Any, first: Work, second: Work) -> bool:
    """Tell whether a link ties the components of two works."""
    one, two = first.component, second.component
    if one.component == two.component or link.only_unit not in ("", two.unit):
        return False
    return bool(MATCHES[link.match](one) == MATCHES[link.match](two))


def _beside(table: Timetable, first: Work, second: Work) -> Iterator[tuple[Placed, Placed]]:
    """Yield the tasks of two works that are under way at once."""
    for one, two in product(in_span(table, first), in_span(table, second)):
        if one.overlaps(two):
            yield one, two


def _at_once(rule: str, one: Placed, two: Placed, why: str) -> Breach:
    days = min(one.end, two.end) - max(one.start, two.start)
    text = f"{one.name} and {two.name} are under way at once for {days:g} days: {why}."
    return Breach(rule, one.name, text, days)


def check_days_before(table: Timetable) -> Iterator[Breach]:
    """Hold that a work waits for what has to go before it in its outage, and for the days between.

    What was done elsewhere, early enough for the last day on which the work could begin, is done.
    """
    links = table.reading.site.case["links"]
    for link in rows(links[links["rule"] == "before"]):
        planned = _named(list(table.reading.works), link.first_family, link.first_action, "")
        there = _named(list(table.works()), link.second_family, link.second_action, link.only_kind)
        for second in there:
            for first in planned:
                if _tied(link, first, second) and first.period == second.period:
                    if _is_done(planned, first, second, link.lag_days):
                        continue
                    yield from _waits(table, (first, second), link.lag_days, str(link.link))


def _is_done(planned: list[Work], first: Work, second: Work, lag: float) -> bool:
    """Tell whether the first's component is done in another period, early enough."""
    return any(
        other.component.component == first.component.component
        and other.period != second.period
        and other.finish + lag <= second.latest_start + CLOSE_DAYS
        for other in planned
    )


def _waits(table: Timetable, pair: tuple[Work, Work], lag: float, link: str) -> Iterator[Breach]:
    first, second = pair
    own = in_span(table, first)
    start = table.of_work(second, "work")[0].start
    if not own:
        text = f"{second.name}: {first.name} has to go before it and is left out ({link})."
        yield Breach("schedule before", second.name, text, 1.0)
        return
    late = max(one.end for one in own) + lag - start
    if late > CLOSE_DAYS:
        text = (
            f"{second.name}: it begins {late:g} days too early behind {first.name} "
            f"and {lag:g} days between ({link})."
        )
        yield Breach("schedule before", second.name, text, late)


def check_days_needed(table: Timetable) -> Iterator[Breach]:
    """Hold that no work goes on without the work of its outage that a link asks for.

    What a work triggers may have been done in a period before.
    """
    links, works = table.reading.site.case["links"], list(table.reading.works)
    there = {id(work) for work in table.works()}
    for link in rows(links[links["rule"].isin(["needs", "together", "triggers"])]):
        only = "" if link.rule == "triggers" else link.only_kind
        firsts = _named(works, link.first_family, link.first_action, link.only_kind)
        seconds = _named(works, link.second_family, link.second_action, only)
        for first, second in product(firsts, seconds):
            if first.period != second.period or not _tied(link, first, second):
                continue
            if link.rule == "triggers" and _is_due_before(works, first, second):
                continue
            pairs = [(first, second), (second, first)][: 1 + (link.rule == "together")]
            for one, other in pairs:
                if id(one) in there and id(other) not in there:
                    text = f"{one.name}: {other.name} has to go with it, is left out ({link.link})."
                    yield Breach("schedule needed", one.name, text, 1.0)


def _is_due_before(planned: list[Work], first: Work, second: Work) -> bool:
    """Tell whether what a work triggers is done by then in another period."""
    return any(
        other.component.component == second.component.component
        and other.period != second.period
        and other.period.effect <= first.period.effect + CLOSE_DAYS
        for other in planned
    )


def check_days_apart(table: Timetable) -> Iterator[Breach]:
    """Hold that works which a link keeps apart are not under way at once, in whatever outage."""
    links = table.reading.site.case["links"]
    works = list(table.works())
    for link in rows(links[links["rule"] == "apart"]):
        firsts = _named(works, link.first_family, link.first_action, link.only_kind)
        seconds = _named(works, link.second_family, link.second_action, link.only_kind)
        seen: set[frozenset[int]] = set()
        for first, second in product(firsts, seconds):
            key = frozenset((id(first), id(second)))
            if key not in seen and _tied(link, first, second):
                seen.add(key)
                for one, two in _beside(table, first, second):
                    yield _at_once("schedule apart", one, two, f"{link.link} keeps them apart")


def check_days_chained(table: Timetable) -> Iterator[Breach]:
    """Hold that works of one chain follow each other."""
    chains = table.reading.site.case["chains"]
    works = list(table.works())
    for chain, families in chains.groupby("chain", sort=True)["family"]:
        by_train = "*" in str(chain)
        own = [work for work in works if work.family.family in set(families)]
        for first, second in combinations(own, 2):
            same_place = not by_train or first.component.train == second.component.train
            if first.period == second.period and same_place:
                for one, two in _beside(table, first, second):
                    why = f"works of chain {chain} follow each other"
                    yield _at_once("schedule chain", one, two, why)
