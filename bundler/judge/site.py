"""The input tables as look-ups: what the judge asks of a case again and again."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bundler.case import Case, Settings
from bundler.judge.connected import Allowed, allowed_days
from bundler.judge.dates import STATION, Period, ends_of, periods_of
from bundler.judge.spans import ALWAYS, Span, Windows, common_span, windows_of, words_of
from bundler.tables import rows

Hours = Mapping[str, float]


@dataclass(frozen=True)
class Found:
    """What is to be expected to be found on a kind of work: hours, cost, and days planned for."""

    hours: Hours
    cost: float
    days: float


NOTHING = Found({}, 0.0, 0.0)


@dataclass(frozen=True)
class Site:
    """A case with its rows by key; `ends` and `periods` are in days from the planning date."""

    case: Case
    ends: dict[str, float]
    periods: dict[str, Period]
    windows: Windows
    allowed: Allowed
    units: Mapping[str, Any]
    components: Mapping[str, Any]
    families: Mapping[str, Any]
    actions: Mapping[str, Mapping[str, Any]]
    action_hours: Mapping[tuple[str, str], Hours]
    found: Mapping[tuple[str, str], Found]
    access_sets: Mapping[str, Any]
    access_hours: Mapping[str, Hours]
    members: Mapping[str, list[tuple[str, str]]]
    kinds: Mapping[str, Any]
    resources: Mapping[str, Any]
    crews: Mapping[tuple[str, str], Any]

    @property
    def settings(self) -> Settings:
        """The settings of the case."""
        return self.case.settings

    @property
    def outages(self) -> list[Period]:
        """Every outage that exists."""
        return [period for period in self.periods.values() if period.is_outage]

    def sets_of(self, family: str, action: str) -> list[str]:
        """Return the access sets that a kind of work needs."""
        like = self.actions[family][action].like
        own = [name for name, only in self.members.get(family, []) if only in ("", action, like)]
        return list(dict.fromkeys(own))

    def span(self, component: Any, action: Any, period: Period) -> Span | None:
        """Return the longest piece in which a work's conditions hold, also of connected units."""
        allowed = self.allowed.get((component.family, action.action), ALWAYS)
        words = words_of(action.conditions, component.train)
        return common_span(self.windows, words, period, allowed)

    def room(self, component: Any, action: Any, end: float) -> float:
        """Return by how many days the piece of a work grows at most with its outage [d]."""
        allowed = self.allowed.get((component.family, action.action), ALWAYS)
        words = words_of(action.conditions, component.train)
        last = [high for low, high in allowed if low < end <= high]
        return min([*last, self.windows.season_end(words, end)]) - end

    def hours_of(self, family: str, action: str) -> dict[str, float]:
        """Return the hours to be expected of a kind of work before learning, by resource [h]."""
        hours = dict(self.action_hours.get((family, action), {}))
        for name, more in self.found.get((family, action), NOTHING).hours.items():
            hours[name] = hours.get(name, 0.0) + more
        return hours

    def base_hours(self, kind: str) -> dict[str, float]:
        """Return hours decided already in a kind of period, by resource [h]."""
        base = self.case["base_scope"]
        return {row.resource: row.work_hours for row in rows(base[base["kind"] == kind])}

    def is_base_access(self, kind: str, access_set: str) -> bool:
        """Tell whether the access is made anyway in this kind of outage."""
        base = self.case["base_access"]
        return bool(((base["kind"] == kind) & (base["access_set"] == access_set)).any())

    def direct_hours(self, kind: str, resource: str) -> float:
        """Return direct hours of one head in a day [h]; kinds without such crews lose nothing."""
        row = self.resources[resource]
        paid = self.settings.paid_hours_per_week / 7 * self.settings.attendance_share
        present = paid if pd.isna(row.hours_per_day) else float(row.hours_per_day)
        crew = self.crews.get((kind, resource))
        return present * (1.0 if crew is None else float(crew.direct_share))

    def day_value(self, unit: str) -> float:
        """Return lost output of a full-power day of a unit, or of a common system [money]."""
        if unit == STATION:
            return self.settings.station_value_cost_per_day
        return float(self.units[unit].day_value_cost_per_day)


def site_of(case: Case) -> Site:
    """Return the look-ups of a case."""
    ends = ends_of(case)
    actions: dict[str, dict[str, Any]] = {}
    for row in rows(case["actions"]):
        actions.setdefault(row.family, {})[row.action] = row
    periods, windows = periods_of(case, ends), windows_of(case)
    return Site(
        case=case,
        ends=ends,
        periods=periods,
        windows=windows,
        allowed=allowed_days(case, windows, periods, ends),
        units={row.unit: row for row in rows(case["units"])},
        components={row.component: row for row in rows(case["components"])},
        families={row.family: row for row in rows(case["families"])},
        actions=actions,
        action_hours=_work_hours(case),
        found=_found(case),
        access_sets={row.access_set: row for row in rows(case["access_sets"])},
        access_hours=_hours(case["access_hours"], ["access_set"]),
        members=_members(case),
        kinds={row.kind: row for row in rows(case["outage_kinds"])},
        resources={row.resource: row for row in rows(case["resources"])},
        crews={(row.kind, row.resource): row for row in rows(case["crews"])},
    )


def _hours(table: pd.DataFrame, keys: list[str]) -> dict[Any, dict[str, float]]:
    found: dict[Any, dict[str, float]] = {}
    for row in rows(table):
        key = tuple(getattr(row, name) for name in keys)
        found.setdefault(key if len(key) > 1 else key[0], {})[row.resource] = row.work_hours
    return found


def _work_hours(case: Case) -> dict[tuple[str, str], Hours]:
    """Return the hours of each kind of work; one without its own has those of what it is like."""
    given: dict[tuple[str, str], Hours] = dict(_hours(case["action_hours"], ["family", "action"]))
    for row in rows(case["actions"]):
        if (row.family, row.action) not in given and (row.family, row.like) in given:
            given[row.family, row.action] = given[row.family, row.like]
    return given


def _found(case: Case) -> dict[tuple[str, str], Found]:
    """Return what is to be expected to be found on each kind of work."""
    table = _hours(case["discovery_hours"], ["family", "action", "discovery"])
    least = case.settings.discovery_from_chance
    found: dict[tuple[str, str], Found] = {}
    for row in rows(case["discoveries"]):
        before = found.get((row.family, row.action), NOTHING)
        hours = dict(before.hours)
        for name, more in table.get((row.family, row.action, row.discovery), {}).items():
            hours[name] = hours.get(name, 0.0) + row.chance * more
        days = before.days + (row.days if row.chance >= least else 0.0)
        found[row.family, row.action] = Found(hours, before.cost + row.chance * row.cost, days)
    return found


def _members(case: Case) -> dict[str, list[tuple[str, str]]]:
    """Return by family the access sets that it needs, each with the only work that does, or ""."""
    found: dict[str, list[tuple[str, str]]] = {}
    for row in rows(case["access_members"]):
        found.setdefault(row.family, []).append((row.access_set, row.action))
    return found
