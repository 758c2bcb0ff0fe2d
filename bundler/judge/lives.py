"""The lives of a component: curve and age from planning to its end, as works change them."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from bundler.judge.dates import STATION, YEAR_DAYS, day_of
from bundler.judge.site import Site
from bundler.judge.works import Work
from bundler.life.curves import LifeCurve, Steps, curve_from
from bundler.life.evidence import known_lives
from bundler.life.shifted import scaled
from bundler.life.taken_over import TakenOver
from bundler.tables import rows


@dataclass(frozen=True)
class Life:
    """The words and numbers of a life curve; `read` is what a reading puts in its place for now.

    ratio and read_ratio stretch the curve, and the life left from the reading.
    """

    kind: str
    life_years: float
    shape_ratio: float
    guarantee_years: float
    steps: Steps | None
    read: LifeCurve | None = None
    ratio: float = 1.0
    read_ratio: float = 1.0

    def curve(self) -> LifeCurve:
        """Return the curve."""
        if isinstance(self.read, TakenOver):
            return TakenOver(scaled(self.read.first, self.read_ratio), self.read.after)
        shape = 1.0 if np.isnan(self.shape_ratio) else self.shape_ratio
        own = curve_from(self.kind, self.life_years, shape, self.guarantee_years, self.steps)
        return scaled(own, self.ratio)

    def after(self, action: Any) -> "Life":
        """Return the life after a work: it may bring a new design, and end what a reading told."""
        life, shape = float(action.new_life_years), float(action.new_shape_ratio)
        if np.isnan(life) and np.isnan(shape):
            return replace(self, read=None) if action.restoration_share > 0 else self
        return replace(
            self,
            read=None,
            kind="weibull" if self.kind == "stepped" else self.kind,
            life_years=self.life_years if np.isnan(life) else life,
            shape_ratio=self.shape_ratio if np.isnan(shape) else shape,
        )


@dataclass(frozen=True)
class Stretch:
    """The time from one work (or planning) to the next, with the age it starts at.

    share is the chance that it has not failed in the stretches before; until the day up to which
    what fails in it goes on. Both matter only where failures renew and works take a part of the
    age: what has failed before such a work is younger than the work leaves it.
    """

    start: float
    end: float
    age_years: float
    life: Life
    share: float = 1.0
    until: float = 0.0


def age_at_planning(site: Site, component: Any) -> float:
    """Return the age on the planning date, moved by evidence [years]."""
    born = component.renewed_date
    if pd.isna(born):
        units = site.units
        owners = list(units.values()) if component.unit == STATION else [units[component.unit]]
        born = min(unit.first_sync_date for unit in owners)
    days = -day_of(site.settings.planning_date, born)
    return max(0.0, days / YEAR_DAYS * float(component.age_ratio))


def own_value(component: Any, family: Any, name: str) -> float:
    """Return a number of the component, or else of its family."""
    own = getattr(component, name)
    return float(getattr(family, name) if pd.isna(own) else own)


def stretches_of(
    site: Site, component: Any, works: list[Work], steps: dict[str, Steps], life_ratio: float = 1.0
) -> list[Stretch]:
    """Return the stretches of a component's life between its works, which are in time order.

    `life_ratio` stretches its lives; where a reading tells it, only the life left from there.
    """
    family, known = site.families[component.family], known_lives(site.case)[component.component]
    life = Life(
        kind=family.curve,
        life_years=known.life_years,
        shape_ratio=known.shape_ratio,
        guarantee_years=float(family.guarantee_years),
        steps=steps.get(family.steps),
        read=known.now,
        ratio=life_ratio if known.now is None else 1.0,
        read_ratio=life_ratio,
    )
    if family.on_failure == "renew":
        works = [work for work in works if not _leaves_all(work)]
    found: list[Stretch] = []
    start, age, restored = 0.0, age_at_planning(site, component), 0.0
    for work in works:
        day = work.period.effect
        found.append(Stretch(start, day, age, life, until=day))
        before = age + (day - start) / YEAR_DAYS
        share = float(work.action.restoration_share)
        gained = before if work.action.restoration_kind == "II" else before - restored
        start, age = day, before - share * gained
        restored = age
        life = life.after(work.action)
    end = site.ends[component.unit]
    found.append(Stretch(start, end, age, life, until=end))
    return renewed_stretches(found, works) if family.on_failure == "renew" else found


def renewed_stretches(stretches: list[Stretch], works: list[Work]) -> list[Stretch]:
    """Return the stretches with the share that has not failed yet, and how long the rest goes on.

    A work that takes all of the age away starts anew; `works` are those between the stretches.
    """
    anew = [True, *(_renews_all(work) for work in works)]
    until = stretches[-1].end
    found: list[Stretch] = []
    for stretch, is_new in zip(reversed(stretches), reversed(anew), strict=True):
        found.insert(0, replace(stretch, until=until))
        until = stretch.start if is_new else until
    for number in range(1, len(found)):
        before = found[number - 1]
        if not anew[number]:
            found[number] = replace(found[number], share=before.share * _lasts(before))
    return found


def _renews_all(work: Work) -> bool:
    return bool(work.action.restoration_share == 1 and work.action.restoration_kind == "II")


def _lasts(stretch: Stretch) -> float:
    """Return the chance of not failing for the first time in a stretch."""
    older = stretch.age_years + (stretch.end - stretch.start) / YEAR_DAYS
    held = stretch.life.curve().cumulative_hazard(np.array([stretch.age_years, older]))
    return float(np.exp(held[0] - held[1]))


def _leaves_all(work: Work) -> bool:
    """Tell whether a work restores nothing and brings no new design."""
    new = (work.action.new_life_years, work.action.new_shape_ratio)
    return work.action.restoration_share == 0 and all(np.isnan(float(value)) for value in new)


def steps_of(site: Site) -> dict[str, Steps]:
    """Return the stepped rates of a case by their names."""
    found: dict[str, Steps] = {}
    for row in rows(site.case["curve_steps"].sort_values(["steps", "from_age_years"])):
        ages, rates = found.get(row.steps, ((), ()))
        found[row.steps] = (
            (*ages, float(row.from_age_years)),
            (*rates, float(row.failure_rate_per_year)),
        )
    return found
