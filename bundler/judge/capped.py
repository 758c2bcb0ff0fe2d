"""The cap on the expected failures of one component in a year, on the judge's own grid."""

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from bundler.judge.bridges import restores
from bundler.judge.conditions import check_notice, check_tests
from bundler.judge.dates import YEAR_DAYS, date_of
from bundler.judge.law import check_fit, check_readiness
from bundler.judge.lives import steps_of
from bundler.judge.pins import is_forced_out
from bundler.judge.reading import Reading
from bundler.judge.risk import failures_of
from bundler.judge.verdict import Breach
from bundler.judge.works import Work, work_of, works_by_component
from bundler.life.curves import Steps

FloatArray = NDArray[np.float64]
#: cells of the judge's grid [years]
STEP_YEARS = 1 / 24
#: part of the cap by which it may be exceeded here: the plan's grid is coarser
CAP_SHARE = 0.01
#: failures that differ by a smaller part are the same
SAME_SHARE = 1e-9


def _may_be(reading: Reading, work: Work) -> bool:
    """Tell whether a work could be planned where it is, as far as it alone decides."""
    site, period = reading.site, work.period
    most = float(site.kinds[period.kind].max_extension_days) if period.is_outage else 0.0
    facts = replace(reading.facts, extension_days={period.name: most})
    alone = replace(reading, works=(work,), facts=facts)
    checks = (check_fit, check_readiness, check_notice, check_tests)
    wrong = any(True for check in checks for _ in check(alone))
    return not wrong and not is_forced_out(site, work)


def _first_help(reading: Reading, component: Any) -> float:
    """Return the day on which work that restores something can first take effect."""
    site, first = reading.site, math.inf
    periods = [period for period in site.periods.values() if period.unit == component.unit]
    for action in site.actions[component.family].values():
        for period in sorted(periods, key=lambda one: one.effect):
            work = work_of(site, component, action, period) if period.effect < first else None
            if work is not None and restores(work) and _may_be(reading, work):
                first = period.effect
    return first


def _failures_up_to(
    reading: Reading, component: Any, works: list[Work], steps: dict[str, Steps]
) -> tuple[FloatArray, FloatArray]:
    """Return days, and the expected failures of a component up to each of them."""
    end = reading.site.ends[component.unit]
    grid = np.arange(0.0, end, STEP_YEARS * YEAR_DAYS)
    edges = np.unique(np.concatenate([grid, [work.period.effect for work in works], [end]]))
    found = np.zeros(len(edges) - 1)
    for part, failures, _ in failures_of(reading.site, component, works, steps, edges):
        found[part] += failures
    return edges, np.append(0.0, np.cumsum(found))


def worst_year(
    reading: Reading, component: Any, works: list[Work], steps: dict[str, Steps], first: float
) -> tuple[float, float]:
    """Return the most expected failures in a year that starts on `first` or later, and its start.

    Where less than a year is left, what is left counts.
    """
    days, total = _failures_up_to(reading, component, works, steps)
    last = max(days[-1] - YEAR_DAYS, first)
    starts = np.unique(np.append(days[(days >= first) & (days <= last)], [first, last]))
    ends = np.minimum(starts + YEAR_DAYS, days[-1])
    found = np.interp(ends, days, total) - np.interp(starts, days, total)
    at = int((found >= found.max() * (1 - SAME_SHARE)).argmax())
    return float(found[at]), float(starts[at])


def check_caps(reading: Reading) -> Iterator[Breach]:
    """Hold that no component is expected to fail more often in a year than its family allows.

    Counted from the first day on which work could help it; at the lives assumed.
    """
    site, steps = reading.site, steps_of(reading.site)
    works = works_by_component(reading.works)
    for name, component in site.components.items():
        cap = float(site.families[component.family].most_failures_per_year)
        first = math.inf if pd.isna(cap) else _first_help(reading, component)
        if first >= site.ends[component.unit]:
            continue
        found, start = worst_year(reading, component, works.get(name, []), steps, first)
        if found > cap * (1 + CAP_SHARE):
            year = date_of(site.settings.planning_date, start)
            text = (
                f"{name}: {found:.3g} failures are expected in the year from {year}, {cap:g} may."
            )
            yield Breach("cap", name, text, found - cap)
