"""Hours and days of each work of a plan over those of the first of its kind."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

from bundler.judge.dates import YEAR_DAYS, Period
from bundler.judge.site import Site
from bundler.judge.verdict import PlanFacts
from bundler.tables import rows

#: by component, action and period
Factors = Mapping[tuple[str, str, str], float]
#: family, kind of work, series
Kind = tuple[str, str, str]


def _kind(site: Site, family: str, action: str, period: Period) -> Kind | None:
    """Return what a work is learned with; None where nothing is."""
    row = site.actions.get(family, {}).get(action)
    if row is None or not period.is_outage or not period.series:
        return None
    return family, row.like or action, period.series


def _known(site: Site, facts: PlanFacts) -> Iterator[tuple[Any, Any, Period, Kind]]:
    """Yield the works of a plan that are in a series: row, component, period, kind."""
    for row in rows(facts.works):
        component, period = site.components.get(row.component), site.periods.get(row.period)
        if component is None or period is None or period.unit != component.unit:
            continue
        kind = _kind(site, component.family, row.action, period)
        if kind is not None:
            yield row, component, period, kind


def _ends(site: Site, facts: PlanFacts) -> dict[Kind, dict[str, float]]:
    """Return the last day on which each kind of work of the plan is done in each outage."""
    found: dict[Kind, dict[str, float]] = {}
    for row, component, period, kind in _known(site, facts):
        span = site.span(component, site.actions[component.family][row.action], period)
        if span is not None:
            own = found.setdefault(kind, {})
            own[period.name] = max(own.get(period.name, -math.inf), span[1])
    return found


def _begin(site: Site, kind: Kind, period: Period) -> float:
    """Return the first day on which a kind of work could be done on its family in an outage."""
    family, word, _ = kind
    actions = [row for name, row in site.actions[family].items() if (row.like or name) == word]
    spans = [
        site.span(component, action, period)
        for component in site.components.values()
        if component.family == family and component.unit == period.unit
        for action in actions
    ]
    return min((span[0] for span in spans if span is not None), default=math.inf)


def _factor(site: Site, begin: float, ends: list[float]) -> float:
    """Return the factor after works that ended on these days, in unit theory, with its fading."""
    settings = site.settings
    before = [end for end in ends if end + settings.feedback_months / 12 * YEAR_DAYS <= begin]
    if not before:
        return 1.0
    learned = 1 - (len(before) + 1) ** math.log2(settings.learning_ratio)
    pause = (begin - max(before)) / YEAR_DAYS
    return float(1 - learned * 0.5 ** (pause / settings.half_learning_years))


def learning_factors(site: Site, facts: PlanFacts) -> Factors:
    """Return the factor on hours and days of each work of a plan.

    Learned is what works of the same family and kind in other outages of the series leave, if
    they ended long enough before this kind of work could begin here.
    """
    ends = _ends(site, facts)
    found: dict[tuple[str, str, str], float] = {}
    told: dict[tuple[Kind, str], float] = {}
    for row, _, period, kind in _known(site, facts):
        if (kind, period.name) not in told:
            others = [day for name, day in ends.get(kind, {}).items() if name != period.name]
            told[kind, period.name] = _factor(site, _begin(site, kind, period), others)
        found[row.component, row.action, row.period] = told[kind, period.name]
    return found
