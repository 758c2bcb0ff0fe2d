"""Lines of a group that are out of service together, held against those that have to stay."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise, product
from typing import Any

from bundler.judge.dates import CLOSE_DAYS, STATION, Period, date_of
from bundler.judge.reading import Reading
from bundler.judge.site import Site
from bundler.judge.spans import Span, span_of
from bundler.judge.verdict import Breach, over
from bundler.judge.works import Work
from bundler.tables import rows


@dataclass(frozen=True)
class Group:
    """One group at its place: the line of each component, and the units these belong to."""

    row: Any
    place: str
    line_of: dict[str, Any]
    units: frozenset[str]


@dataclass(frozen=True)
class Out:
    """A line out of service for one work, at most as long as its span."""

    work: Work
    line: Any
    days: float

    @property
    def span(self) -> Span:
        """First and last day on which it can be out."""
        return self.work.start, self.work.span[1]

    def can_precede(self, other: "Out") -> bool:
        """Tell whether this work can be over before the other has to begin."""
        return self.work.start + self.days <= other.span[1] - other.days + CLOSE_DAYS


#: stretches of days, each with the lines that may be out in it
Steps = list[tuple[Span, int]]


def check_out_together(reading: Reading) -> Iterator[Breach]:
    """Hold that enough lines of every group stay in service, in every period and condition.

    The components of one line are worked on side by side, so it is out as long as its longest
    work; added days are not counted on.
    """
    site = reading.site
    for group in _groups(site):
        outs = [
            Out(work, group.line_of[work.component.component], _days(work))
            for work in reading.works
            if work.component.component in group.line_of
        ]
        periods = {out.work.period.name: out.work.period for out in outs}
        for period in periods.values():
            there = [o for o in outs if o.span[0] < period.end and o.span[1] > period.start]
            yield from _in_period(site, group, period, there)


def _days(work: Work) -> float:
    return min(work.length, work.span[1] - work.start)


def _groups(site: Site) -> Iterator[Group]:
    """Yield every group that has to keep lines in service, at each of its places."""
    asked = set(site.case["group_needs"]["group"])
    table = site.case["group_members"]
    for row in rows(site.case["groups"]):
        if row.group not in asked:
            continue
        families = {(own.family, own.train) for own in rows(table[table["group"] == row.group])}
        places: dict[str, list[Any]] = {}
        for part in site.components.values():
            if {(part.family, ""), (part.family, part.train)} & families:
                places.setdefault(_place(row.match, part), []).append(part)
        for place, parts in sorted(places.items()):
            line_of = {part.component: _line(row.line_by, part) for part in parts}
            yield Group(row, place, line_of, frozenset(part.unit for part in parts))


def _place(match: str, part: Any) -> str:
    if match == "station":
        return STATION
    return f"{part.unit} train {part.train}" if match == "train" else str(part.unit)


def _line(line_by: str, part: Any) -> Any:
    return {
        "component": part.component,
        "position": part.position_count,
        "train": part.train,
    }[line_by]


def _steps(site: Site, group: Group, low: float, high: float) -> Steps:
    """Return how many lines may be out in each stretch from low to high."""
    table = site.case["group_needs"]
    needs = list(rows(table[table["group"] == group.row.group]))
    own = [
        period
        for period in site.periods.values()
        if period.unit in group.units and period.start < high and period.end > low
    ]
    asked = [(period, row) for period in own for row in needs if row.kind == period.kind]
    spans = [(period, row, _span(site, row, period)) for period, row in asked]
    edges = {low, high} | {day for *_, span in spans for day in span if low < day < high}
    count = len(set(group.line_of.values()))
    found: Steps = []
    for a, b in pairwise(sorted(edges)):
        middle = (a + b) / 2
        needed = 0
        for period in own:
            held = [row for one, row, (s, e) in spans if one.name == period.name and s < middle < e]
            special = [row.in_service_count for row in held if row.condition]
            needed = max(needed, *(special or [row.in_service_count for row in held]), 0)
        found.append(((a, b), max(0, count - int(needed))))
    return found


def _span(site: Site, row: Any, period: Period) -> Span:
    """Return the days of a period in which a row of needs counts; none where it never does."""
    if not row.condition:
        return period.start, period.end
    window = site.windows.row(row.condition, period)
    return (0.0, 0.0) if window is None else span_of(window, period)


def _in_period(site: Site, group: Group, period: Period, outs: list[Out]) -> Iterator[Breach]:
    low, high = min(out.span[0] for out in outs), max(out.span[1] for out in outs)
    steps = _steps(site, group, low, high)
    name = f"{group.row.name} of {group.place} in {period.name}"
    for some in _at_once(outs, steps):
        works = " and ".join(out.work.name for out in some)
        text = f"{name}: {works} can only be done at once, and fewer lines may be out then."
        yield Breach("out_together", name, text, 1.0)
    for a, b in product(sorted({o.span[0] for o in outs}), sorted({o.span[1] for o in outs})):
        inside = [out for out in outs if out.span[0] >= a and out.span[1] <= b]
        for lines, used, limit in _too_long(inside, [_cut(step, a, b) for step in steps]):
            planning = site.settings.planning_date
            text = (
                f"{name}: {lines} of its lines are out of service for {used:.1f} days together "
                f"from {date_of(planning, a)} to {date_of(planning, b)}, {limit:.1f} may be."
            )
            yield Breach("out_together", name, text, used - limit)


def _at_once(outs: list[Out], steps: Steps) -> Iterator[tuple[Out, ...]]:
    """Yield works of different lines that are all under way on some day, where they may not.

    There is such a day in every plan if no two of them can follow each other.
    """
    for count in range(2, len({out.line for out in outs}) + 1):
        for some in combinations(outs, count):
            if len({out.line for out in some}) < count or any(
                one.can_precede(two) or two.can_precede(one) for one, two in combinations(some, 2)
            ):
                continue
            if not any(_fit(some, a, b) for a, b in _where(steps, count)):
                yield some


def _where(steps: Steps, count: int) -> list[list[float]]:
    """Return the stretches in which so many lines may be out."""
    joined: list[list[float]] = []
    for (a, b), lines in steps:
        if lines >= count and joined and abs(joined[-1][1] - a) < CLOSE_DAYS:
            joined[-1][1] = b
        elif lines >= count:
            joined.append([a, b])
    return joined


def _fit(outs: tuple[Out, ...], low: float, high: float) -> bool:
    return all(
        min(out.span[1], high) - max(out.span[0], low) >= out.days - CLOSE_DAYS for out in outs
    )


def _cut(step: tuple[Span, int], low: float, high: float) -> tuple[float, int]:
    """Return how many days of a stretch lie between two days, and the lines that may be out."""
    (a, b), lines = step
    return max(0.0, min(b, high) - max(a, low)), lines


def _too_long(
    inside: list[Out], steps: list[tuple[float, int]]
) -> Iterator[tuple[int, float, float]]:
    """Yield how many lines are out too long together: lines, line days, and those there are."""
    by_component: dict[tuple[Any, str], float] = {}
    for out in inside:
        key = (out.line, out.work.component.component)
        by_component[key] = by_component.get(key, 0.0) + out.days
    longest: dict[Any, float] = {}
    for (line, _), days in by_component.items():
        longest[line] = max(longest.get(line, 0.0), days)
    ranked = sorted(longest.values(), reverse=True)
    for count in range(1, len(ranked) + 1):
        used = sum(ranked[:count])
        limit = sum(days * min(lines, count) for days, lines in steps)
        is_free = all(lines >= count for days, lines in steps if days > CLOSE_DAYS)
        if not is_free and over(used, limit):
            yield count, used, limit
            return
