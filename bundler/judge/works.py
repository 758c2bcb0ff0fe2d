"""The facts of each placed work: span, start, length, hours."""

from dataclasses import dataclass
from typing import Any

from bundler.judge.dates import Period, day_after_months
from bundler.judge.learned import learning_factors
from bundler.judge.site import NOTHING, Hours, Site
from bundler.judge.spans import Span, common_span, words_of
from bundler.judge.verdict import Breach, PlanFacts
from bundler.tables import rows


@dataclass(frozen=True)
class Parts:
    """When parts can be ordered and when they are delivered, in days from the planning date."""

    approval: float
    delivery: float

    @property
    def lead_days(self) -> float:
        """Days from order to delivery."""
        return self.delivery - self.approval


@dataclass(frozen=True)
class Work:
    """One work in one period; days are counted from the planning date, hours are learned.

    length is all that its span has to hold, from make-ready to test; room by how much the span
    grows at most with its outage.
    """

    component: Any
    family: Any
    action: Any
    period: Period
    span: Span
    room: float
    start: float
    length: float
    factor: float
    hours: Hours

    @property
    def name(self) -> str:
        """Component and action in words."""
        return f"{self.component.component} ({self.action.action}) in {self.period.name}"

    @property
    def finish(self) -> float:
        """Earliest finish."""
        return self.start + self.length

    @property
    def latest_start(self) -> float:
        """Last start that ends with the span."""
        return self.span[1] - self.length

    @property
    def planned_start(self) -> float:
        """Start with half of the slack before it."""
        return self.start + max(0.0, self.latest_start - self.start) / 2

    @property
    def missing_days(self) -> float:
        """Days by which the span is too short for the work."""
        return max(0.0, self.finish - self.span[1])


def parts_of(site: Site, action: Any) -> Parts | None:
    """Return order and delivery of the parts of an action; None if it has no lead time."""
    lead = float(action.lead_months)
    if lead <= 0:
        return None
    table = site.case["approval_times"].sort_values("lead_from_months")
    band = table.loc[table["lead_from_months"] <= lead, "approval_months"]
    months = float(band.iloc[-1]) if len(band) else 0.0
    planning = site.settings.planning_date
    return Parts(day_after_months(planning, months), day_after_months(planning, months + lead))


def length_of(site: Site, action: Any, factor: float) -> float:
    """Return the days of a work in its span: make-ready, work, what is found, and its test."""
    found = site.found.get((action.family, action.action), NOTHING).days
    test = 0.0 if action.test_condition else float(action.test_days)
    return float(action.make_ready_days + action.days * factor + found + test)


def _start(site: Site, component: Any, action: Any, period: Period, span: Span) -> float:
    """Return the first day of a work: access is made and parts are there."""
    start = span[0]
    if period.is_outage:
        sets = [site.access_sets[name] for name in site.sets_of(component.family, action.action)]
        start += max((float(row.setup_days) for row in sets), default=0.0)
    parts = parts_of(site, action)
    if parts is not None:
        start = max(start, parts.delivery + site.settings.receive_days)
    return start


def work_of(
    site: Site, component: Any, action: Any, period: Period, factor: float = 1.0
) -> Work | None:
    """Return the facts of a work; None if its conditions do not hold together in the period."""
    span = site.span(component, action, period)
    if span is None:
        return None
    hours = site.hours_of(component.family, action.action)
    return Work(
        component=component,
        family=site.families[component.family],
        action=action,
        period=period,
        span=span,
        room=site.room(component, action, span[1]),
        start=_start(site, component, action, period, span),
        length=length_of(site, action, factor),
        factor=factor,
        hours={resource: amount * factor for resource, amount in hours.items()},
    )


def read_works(site: Site, facts: PlanFacts) -> tuple[tuple[Work, ...], list[Breach]]:
    """Return the works that can be read, in time order, and what is wrong with the others."""
    works: list[Work] = []
    breaches: list[Breach] = []
    factors = learning_factors(site, facts)
    for row in rows(facts.works):
        found = _read(site, row, factors.get((row.component, row.action, row.period), 1.0))
        if isinstance(found, Work):
            works.append(found)
        else:
            breaches.append(found)
    works.sort(key=lambda work: (work.component.component, work.period.effect, work.period.name))
    return tuple(works), breaches


def _read(site: Site, row: Any, factor: float) -> Work | Breach:
    place = f"{row.component} ({row.action}) in {row.period}"
    component = site.components.get(row.component)
    period = site.periods.get(row.period)
    family = "" if component is None else component.family
    action = site.actions.get(family, {}).get(row.action)
    if component is None or period is None or action is None:
        missing = [
            f"{word} {name}"
            for word, name, item in (
                ("component", row.component, component),
                ("action", row.action, action),
                ("period", row.period, period),
            )
            if item is None
        ]
        return Breach("known", place, f"{place}: there is no {' and no '.join(missing)}.", 1.0)
    if period.unit != component.unit:
        text = f"{place}: the period is of {period.unit}, the component of {component.unit}."
        return Breach("known", place, text, 1.0)
    return work_of(site, component, action, period, factor) or _nowhere(
        site, component, action, period
    )


def _nowhere(site: Site, component: Any, action: Any, period: Period) -> Breach:
    """Return why a work has no span in its period: its own conditions, or those of units."""
    place = f"{component.component} ({action.action}) in {period.name}"
    words = words_of(action.conditions, component.train)
    if common_span(site.windows, words, period) is None:
        text = f"{place}: its conditions {action.conditions} hold together on 0 days."
        return Breach("conditions", place, text, float(action.days))
    text = f"{place}: the units connected to it are as it needs them on 0 days."
    return Breach("common_system", place, text, float(action.days))


def works_by_component(works: tuple[Work, ...]) -> dict[str, list[Work]]:
    """Return the works of each component in time order."""
    found: dict[str, list[Work]] = {}
    for work in works:
        found.setdefault(work.component.component, []).append(work)
    return found
