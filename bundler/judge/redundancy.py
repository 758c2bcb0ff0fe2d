"""Output lost by groups of lines that stand in for each other, state by state."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import product
from typing import Any

import numpy as np

from bundler.judge.dates import STATION, date_of, day_of
from bundler.judge.lives import steps_of
from bundler.judge.reading import Reading
from bundler.judge.risk import (
    FloatArray,
    discount,
    edges_of,
    exposed,
    failures_of,
    shut_spans,
)
from bundler.judge.site import Site
from bundler.judge.spans import Span
from bundler.judge.works import works_by_component
from bundler.tables import rows


@dataclass(frozen=True)
class Group:
    """One group at its place: its owner, a unit or the station, and its lines of components."""

    row: Any
    owner: str
    lines: tuple[tuple[Any, ...], ...]


def group_loss_pv(reading: Reading, life_ratios: Mapping[str, float] | None = None) -> float:
    """Return the present value of the expected output lost by all groups that tell states.

    `life_ratios` stretches lives by component.
    """
    ratios = life_ratios or {}
    return sum(_loss_pv(reading, group, ratios) for group in groups_of(reading.site))


def groups_of(site: Site) -> Iterator[Group]:
    """Yield every group with states at each of its places."""
    states = set(site.case["group_states"]["group"])
    for row in rows(site.case["groups"]):
        if row.group not in states:
            continue
        places: dict[tuple[str, str], dict[Any, list[Any]]] = {}
        for component in _members(site, row.group):
            lines = places.setdefault(_place(row.match, component), {})
            lines.setdefault(_line(row.line_by, component), []).append(component)
        for (owner, _), lines in sorted(places.items()):
            yield Group(row, owner, tuple(tuple(own) for own in lines.values()))


def _members(site: Site, group: str) -> list[Any]:
    table = site.case["group_members"]
    asked = {(row.family, row.train) for row in rows(table[table["group"] == group])}
    return [
        component
        for component in site.components.values()
        if not asked.isdisjoint({(component.family, ""), (component.family, component.train)})
    ]


def _place(match: str, component: Any) -> tuple[str, str]:
    if match == "station":
        return STATION, ""
    return component.unit, component.train if match == "train" else ""


def _line(line_by: str, component: Any) -> Any:
    return {
        "component": component.component,
        "position": component.position_count,
        "train": component.train,
    }[line_by]


def _loss_pv(reading: Reading, group: Group, ratios: Mapping[str, float]) -> float:
    site = reading.site
    edges = _edges(reading, group)
    days, middle = np.diff(edges), (edges[1:] + edges[:-1]) / 2
    down = _down(reading, group, edges, ratios)
    lost = _expected_mw(group, down, _lost_mw(site, group, middle))
    is_exposed = exposed(edges, _shut(site, group.owner))
    money = discount(site, middle) * is_exposed * _mw_day_value(site, group.owner)
    return float(np.sum(lost * days * money))


def _edges(reading: Reading, group: Group) -> FloatArray:
    """Return the edges of cells for all members, also where a season starts."""
    site, works = reading.site, works_by_component(reading.works)
    shut = _shut(site, group.owner)
    own = [
        edges_of(site, member, works.get(member.component, []), shut)
        for line in group.lines
        for member in line
    ]
    edges = np.unique(np.concatenate(own))
    seasons = np.array(list(_season_days(site)))
    inside = (seasons > edges[0]) & (seasons < edges[-1])
    return np.unique(np.append(edges, seasons[inside]))


def _season_days(site: Site) -> Iterator[float]:
    """Yield the days on which summer starts and ends."""
    settings = site.settings
    for year in range(settings.planning_date.year, settings.horizon_end_date.year + 1):
        for month in (settings.summer_from_month, settings.summer_to_month % 12 + 1):
            yield day_of(settings.planning_date, date(year, month, 1))


def _down(
    reading: Reading, group: Group, edges: FloatArray, ratios: Mapping[str, float]
) -> dict[str, FloatArray]:
    """Return the chance that each member is out in each cell: failures a day x repair days."""
    site, works = reading.site, works_by_component(reading.works)
    steps, found = steps_of(site), {}
    for member in (own for line in group.lines for own in line):
        failures, ratio = np.zeros(len(edges) - 1), ratios.get(member.component, 1.0)
        own_works = works.get(member.component, [])
        for part, more, _ in failures_of(site, member, own_works, steps, edges, ratio):
            failures[part] += more
        found[member.component] = np.minimum(1.0, failures / np.diff(edges) * group.row.repair_days)
    return found


def _shut(site: Site, owner: str) -> list[Span]:
    """Return the outages in which a unit, or with station-wide ones all of them, lose nothing."""
    if owner != STATION:
        return shut_spans(site, owner)
    return [(outage.start, outage.end) for outage in site.outages if outage.unit == STATION]


def _mw_day_value(site: Site, owner: str) -> float:
    """Return the value of one MW for a day; of the station that of its average unit."""
    owners = list(site.units) if owner == STATION else [owner]
    capacity = sum(float(site.units[unit].capacity_mw) for unit in owners) / len(owners)
    return site.day_value(owner) / capacity


def _lost_mw(site: Site, group: Group, days: FloatArray) -> FloatArray:
    """Return the output lost with 0 to n lines out on each day [n + 1, K]."""
    table = site.case["group_states"]
    states = {row.out_count: row for row in rows(table[table["group"] == group.row.group])}
    months = np.array([date_of(site.settings.planning_date, day).month for day in days])
    first, last = site.settings.summer_from_month, site.settings.summer_to_month
    is_summer = (months - first) % 12 <= (last - first) % 12
    found = [np.zeros(len(days))]
    for count in range(1, len(group.lines) + 1):
        row = states.get(count)
        same = found[-1]
        summer, winter = (same, same) if row is None else (row.summer_lost_mw, row.winter_lost_mw)
        found.append(np.where(is_summer, summer, winter))
    return np.array(found)


def _expected_mw(group: Group, down: Mapping[str, FloatArray], lost: FloatArray) -> FloatArray:
    """Return the expected output lost [K, MW] by trying each line out and in service.

    A share beta of each member's time down takes all lines at once; the rest is independent.
    """
    beta, count = float(group.row.beta_share), len(group.lines)
    up = [
        np.prod([1 - (1 - beta) * down[own.component] for own in line], axis=0)
        for line in group.lines
    ]
    total = beta / count * np.sum(list(down.values()), axis=0) * lost[count]
    for state in product((False, True), repeat=count):
        chance = np.prod(
            [1 - works if is_out else works for works, is_out in zip(up, state, strict=True)],
            axis=0,
        )
        total = total + chance * lost[sum(state)]
    result: FloatArray = total
    return result
