"""Access sets that the plan makes: when they can be needed, their hours and cost."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from bundler.judge.dates import STATION, Period
from bundler.judge.site import Hours, Site
from bundler.judge.spans import Span
from bundler.judge.verdict import Breach, PlanFacts
from bundler.judge.works import Work
from bundler.tables import rows

AccessKey = tuple[str, str, str, str]


@dataclass(frozen=True)
class MadeSet:
    """An access set made once in one outage; its span is of all works that could need it."""

    access_set: Any
    unit: str
    train: str
    period: Period
    span: Span
    hours: Hours
    cost: float

    @property
    def key(self) -> AccessKey:
        """Set, unit, train and outage."""
        return (self.access_set.access_set, self.unit, self.train, self.period.name)


def keys_needed(site: Site, work: Work) -> list[AccessKey]:
    """Return the access sets that a work needs and that are not made anyway."""
    if not work.period.is_outage:
        return []
    found: list[AccessKey] = []
    for name in site.sets_of(work.family.family, work.action.action):
        if not site.is_base_access(work.period.kind, name):
            train = work.component.train if site.access_sets[name].is_by_train else ""
            found.append((name, work.component.unit, train, work.period.name))
    return found


def read_sets(site: Site, facts: PlanFacts) -> tuple[tuple[MadeSet, ...], list[Breach]]:
    """Return the sets the plan makes and pays for, and what is wrong with the others."""
    made: dict[AccessKey, MadeSet] = {}
    breaches: list[Breach] = []
    for row in rows(facts.access):
        period = site.periods.get(row.period)
        access_set = site.access_sets.get(row.access_set)
        place = f"access {row.access_set} of {row.unit} {row.train} in {row.period}"
        if period is None or access_set is None or not period.is_outage:
            text = f"{place}: there is no such access set, or no such outage."
            breaches.append(Breach("known", place, text, 1.0))
        elif not site.is_base_access(period.kind, row.access_set):
            span = _span(site, access_set, (row.unit, row.train), period)
            if span is None:
                text = f"{place}: 0 works of its members could need it there."
                breaches.append(Breach("access", place, text, 1.0))
            else:
                one = _made(site, row, period, span)
                made[one.key] = one
    return tuple(made.values()), breaches


def _made(site: Site, row: Any, period: Period, span: Span) -> MadeSet:
    access_set = site.access_sets[row.access_set]
    hours = site.access_hours.get(row.access_set, {})
    labour = sum(amount * site.resources[name].cost_per_hour for name, amount in hours.items())
    cost = float(access_set.setup_cost + labour)
    return MadeSet(access_set, row.unit, row.train, period, span, hours, cost)


def _span(site: Site, access_set: Any, owner: tuple[str, str], period: Period) -> Span | None:
    spans = list(_spans(site, access_set, owner, period))
    if not spans or period.unit not in (owner[0], STATION):
        return None
    return min(low for low, _ in spans), max(high for _, high in spans)


def _spans(site: Site, access_set: Any, owner: tuple[str, str], period: Period) -> Iterator[Span]:
    unit, train = owner
    for component in site.components.values():
        if component.unit != unit:
            continue
        if train != (component.train if access_set.is_by_train else ""):
            continue
        for action in site.actions.get(component.family, {}).values():
            if access_set.access_set not in site.sets_of(component.family, action.action):
                continue
            span = site.span(component, action, period)
            if span is not None:
                yield span
