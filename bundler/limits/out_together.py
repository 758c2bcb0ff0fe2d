"""Lines of one group that are out of service together: a rule of safety, never for sale."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np
import pandas as pd

from bundler.calendar import spans as all_spans
from bundler.case import Case
from bundler.limits.lines import Allowed, Place, allowed, places
from bundler.limits.rows import LimitRows, day_name, no_limits, no_uses
from bundler.tables import rows

NAMES = ["placement", "component", "action", "period", "start_days", "end_days", "days"]
CLOSE = 1e-6


@dataclass(frozen=True)
class Row:
    """One row: its limit's name after the period, days in words, amount and uses [lines]."""

    name: str
    window: str
    amount: float
    uses: list[tuple[int, float]]


def _line_works(place: Place, placements: pd.DataFrame) -> pd.DataFrame:
    """Return the works on the lines of a group, each no longer than its span.

    A work that needs days added to its outage is out for the whole of its span.
    """
    works = placements.loc[placements["component"].isin(place.line_of), NAMES].copy()
    works["line"] = works["component"].map(place.line_of)
    works["days"] = np.minimum(works["days"], works["end_days"] - works["start_days"])
    return works.sort_values(["start_days", "component", "placement"])


def _follows(one: pd.DataFrame, two: pd.DataFrame) -> np.ndarray:
    """Return which works of two can follow which of one [n, m]."""
    done = (one["start_days"] + one["days"]).to_numpy()[:, None]
    result: np.ndarray = done <= (two["end_days"] - two["days"]).to_numpy()[None, :] + CLOSE
    return result


def _fit_in(works: pd.DataFrame, stretch: tuple[float, float]) -> np.ndarray:
    """Return which works could be done inside a stretch [n]."""
    start, end = works["start_days"].to_numpy(), works["end_days"].to_numpy()
    inside = np.minimum(end, stretch[1]) - np.maximum(start, stretch[0])
    result: np.ndarray = inside + CLOSE >= works["days"].to_numpy()
    return result


def _at_once(works: pd.DataFrame, limit: Allowed) -> Iterator[tuple[int, ...]]:
    """Yield the smallest sets of works, by row, that would be out at once where they may not.

    If of some works no two can follow each other in either order, there is a moment in every
    plan at which all of them are under way; so many lines have to be allowed then.
    """
    clash = ~_follows(works, works) & ~_follows(works, works).T
    lines = works["line"].to_numpy()
    clash &= lines[:, None] != lines[None, :]
    barred: set[frozenset[int]] = set()
    level: list[tuple[int, ...]] = [(row,) for row in range(len(works))]
    for count in range(2, len(set(lines)) + 1):
        able = [_fit_in(works, stretch) for stretch in limit.stretches(count)]
        longer: list[tuple[int, ...]] = [
            (*some, int(row))
            for some in level
            for row in np.flatnonzero(clash[list(some)].all(axis=0))
            if row > some[-1]
        ]
        level = []
        for some in longer:
            if any(fits[list(some)].all() for fits in able):
                level.append(some)
            elif not any(frozenset(part) in barred for part in combinations(some, count - 1)):
                barred.add(frozenset(some))
                yield some


def _once_rows(works: pd.DataFrame, limit: Allowed) -> Iterator[Row]:
    """Yield rows of works that would be out at once: not all of them."""
    found = list(_at_once(works, limit))
    table = list(rows(works)) if found else []
    alike: dict[tuple[tuple[int, ...], str], list[int]] = {}
    for some in found:
        last = table[some[-1]]
        alike.setdefault((some[:-1], f"{last.component} in {last.period}"), []).append(some[-1])
    for (some, key), others in alike.items():
        told = [
            f"{table[row].component} {table[row].action} in {table[row].period}" for row in some
        ]
        uses = [(int(table[row].placement), 1.0) for row in (*some, *others)]
        yield Row(" or ".join([*told, key]), "", float(len(some)), uses)


def _most_days(works: pd.DataFrame) -> dict[str, list[tuple[str, float]]]:
    """Return by line each component and the most days that it can be out; one work a period."""
    keys = ["line", "component"]
    longest = works.groupby([*keys, "period"], as_index=False)["days"].max()
    lines: dict[str, list[tuple[str, float]]] = {}
    for row in rows(longest.groupby(keys, as_index=False)["days"].sum()):
        lines.setdefault(row.line, []).append((row.component, row.days))
    return lines


def _too_many(
    lines: dict[str, list[tuple[str, float]]],
    stretch: tuple[float, float],
    limit: Allowed,
    is_told: bool,
) -> Iterator[tuple[tuple[str, ...], float]]:
    """Yield sets of components, each of another line, that could be out too long, and the limit.

    The limit is in line days. A line is out as long as its longest work: works on one line are
    done side by side. If `is_told`, the rows of works at once say what one line too many does.
    """
    days = [limit.line_days(*stretch, count + 1) for count in range(len(lines))]
    least, length = limit.least(*stretch), stretch[1] - stretch[0]
    for count in range(1, len(lines) + 1):
        cap, spare = days[count - 1], count - 1
        is_less = count == len(lines) or days[count] > cap + CLOSE
        is_said = is_told and 0 < spare <= least and abs(cap - spare * length) < CLOSE
        if least >= count or not is_less or is_said:
            continue
        for some in combinations(lines, count):
            for chosen in product(*(lines[line] for line in some)):
                if sum(value for _, value in chosen) > cap + CLOSE:
                    yield tuple(sorted(component for component, _ in chosen)), cap


def _stretch_rows(works: pd.DataFrame, limit: Allowed, first_day: float) -> Iterator[Row]:
    """Yield rows of lines that are out, on average over a stretch, against those that may be."""
    for a in np.unique(works["start_days"]):
        for b in np.unique(works["end_days"][works["end_days"] > a]):
            inside = works[(works["start_days"] >= a) & (works["end_days"] <= b)]
            if inside.empty or limit.least(a, b) >= inside["line"].nunique():
                continue
            is_told = inside["period"].nunique() == 1
            if inside["days"].sum() <= limit.line_days(a, b, 1):
                continue  # even all of them, one after the other
            for components, cap in _too_many(_most_days(inside), (a, b), limit, is_told):
                own = inside[inside["component"].isin(components)]
                if own["start_days"].min() > a or own["end_days"].max() < b:
                    continue  # a shorter stretch says more
                days = f"{day_name(a - first_day)}-{day_name(b - first_day)}"
                used = zip(own["placement"], own["days"] / (b - a), strict=True)
                uses = [(int(number), float(amount)) for number, amount in used]
                yield Row(f"{'+'.join(components)}.{days}", days, cap / (b - a), uses)


def _period_rows(place: Place, works: pd.DataFrame, limit: Allowed, period: pd.Series) -> list[Row]:
    """Return the rows of a group in one period, with works of other units at the same time."""
    start, end = float(period["start_days"]), float(period["end_days"])
    there = works[(works["start_days"] < end) & (works["end_days"] > start)]
    own = there[(there["period"] == period["period"]).to_numpy()]
    if own.empty or limit.least(there["start_days"].min(), there["end_days"].max()) >= len(
        set(there["line"])
    ):
        return []
    return [*_once_rows(there, limit), *_stretch_rows(there, limit, start)]


def out_together_limits(case: Case, placements: pd.DataFrame, periods: pd.DataFrame) -> LimitRows:
    """Return, for each group and period, the lines that are out against those that may be.

    A line is out while any of its components is worked on. Days added to an outage are not
    counted on. Works of different lines of which no two can follow each other are under way at
    once, so that not all of them may be done where fewer lines may be out; and for every stretch
    of days, the works that have to lie inside it are held against the line days there are. Where
    no line may be out, no work is.
    """
    limits: list[tuple[str, str, str, str, str, float]] = []
    uses: list[tuple[str, int, float]] = []
    seen: set[tuple[tuple[int, float], ...]] = set()
    spans = all_spans(case, periods)
    for place in places(case):
        works, limit = _line_works(place, placements), allowed(case, place, periods, spans)
        own = periods[periods["period"].isin(works["period"])]
        for _, period in own.sort_values(["start_days", "period"]).iterrows():
            for row in _period_rows(place, works, limit, period):
                key = tuple(sorted(row.uses))
                if key in seen and len(place.units) > 1:
                    continue
                seen.add(key)
                name = f"{period['period']}.{place.group} {place.place}.{row.name}"
                title = f"lines of {place.name} out of service together in {period['period']}"
                limits.append((name, title, place.group, period["period"], row.window, row.amount))
                uses += [(name, number, amount) for number, amount in row.uses]
    if not limits:
        return LimitRows(no_limits(), no_uses("placement"), no_uses("access"))
    names = ["limit", "title", "resource", "period", "window", "amount"]
    table = pd.DataFrame(limits, columns=names).assign(measure="lines", step="1 line")
    return LimitRows(
        table, pd.DataFrame(uses, columns=["limit", "placement", "amount"]), no_uses("access")
    )
