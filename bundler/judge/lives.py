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
from bundler.tables import rows


@dataclass(frozen=True)
class Life:
    """The words and numbers of a life curve; `read` is what a reading puts in its place for now."""

    kind: str
    life_years: float
    shape_ratio: float
    guarantee_years: float
    steps: Steps | None
    read: LifeCurve | None = None

    def curve(self) -> LifeCurve:
        """Return the curve."""
        if self.read is not None:
            return self.read
        shape = 1.0 if np.isnan(self.shape_ratio) else self.shape_ratio
        return curve_from(self.kind, self.life_years, shape, self.guarantee_years, self.steps)

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
    """The time from one work (or planning) to the next, with the age it starts at."""

    start: float
    end: float
    age_years: float
    life: Life


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
    site: Site, component: Any, works: list[Work], steps: dict[str, Steps]
) -> list[Stretch]:
    """Return the stretches of a component's life between its works, which are in time order."""
    family, known = site.families[component.family], known_lives(site.case)[component.component]
    life = Life(
        kind=family.curve,
        life_years=known.life_years,
        shape_ratio=known.shape_ratio,
        guarantee_years=float(family.guarantee_years),
        steps=steps.get(family.steps),
        read=known.now,
    )
    found: list[Stretch] = []
    start, age, restored = 0.0, age_at_planning(site, component), 0.0
    for work in works:
        if family.on_failure == "renew" and _leaves_all(work):
            continue
        day = work.period.effect
        found.append(Stretch(start, day, age, life))
        before = age + (day - start) / YEAR_DAYS
        share = float(work.action.restoration_share)
        gained = before if work.action.restoration_kind == "II" else before - restored
        start, age = day, before - share * gained
        restored = age
        life = life.after(work.action)
    return [*found, Stretch(start, site.ends[component.unit], age, life)]


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
