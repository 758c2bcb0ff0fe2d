"""Whether a work could be done in a period at all, whatever else the plan holds."""

from typing import Any

from bundler.judge.dates import CLOSE_DAYS, Period, day_after_months
from bundler.judge.site import Site
from bundler.judge.spans import longest_days, words_of
from bundler.judge.works import work_of
from bundler.tables import rows


def is_possible(site: Site, component: Any, action: str, period: Period) -> bool:
    """Tell whether a kind of work ("": any) on a component could be done in a period."""
    return any(
        _fits(site, component, own, period) and not _is_barred(site, component, own, period)
        for own in site.actions[component.family].values()
        if action in ("", own.action, own.like)
    )


def _fits(site: Site, component: Any, action: Any, period: Period) -> bool:
    work = work_of(site, component, action, period)
    if work is None:
        return False
    kind = site.kinds.get(period.kind)
    longer = float(kind.max_extension_days) if kind is not None and period.is_outage else 0.0
    words = words_of(action.conditions, component.train)
    drawn = day_after_months(site.settings.planning_date, action.design_months)
    due = period.start - (0.0 if kind is None else float(kind.design_days))
    return (
        work.missing_days <= longer + CLOSE_DAYS
        and work.length <= longest_days(site.windows, words, period) + CLOSE_DAYS
        and (not period.is_outage or action.design_months <= 0 or drawn <= due + CLOSE_DAYS)
        and period.freeze > 0
    )


def _is_barred(site: Site, component: Any, action: Any, period: Period) -> bool:
    """Tell whether people have ruled a work out."""
    pins = site.case["pins"]
    for row in rows(pins[pins["component"] == component.component]):
        is_work = row.action in ("", action.action)
        is_there = row.outage in ("", period.name)
        if row.rule == "out" and is_work and is_there:
            return True
        if row.rule == "only" and is_work and not is_there:
            return True
    return False
