"""Works that can only follow each other: chains."""

from collections.abc import Iterator
from itertools import product

from bundler.judge.dates import date_of
from bundler.judge.reading import Reading
from bundler.judge.verdict import Breach, over
from bundler.judge.works import Work


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
