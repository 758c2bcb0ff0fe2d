"""The life curves of a component: now, and after each work that can be placed on it."""

from dataclasses import replace

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR
from bundler.case import Case
from bundler.choice import FloatArray
from bundler.courses.exposure import Exposure, Works
from bundler.life.curves import LifeCurve, curve_from
from bundler.life.evidence import known_lives
from bundler.life.shifted import scaled
from bundler.life.taken_over import TakenOver


def renewed_curve(case: Case, part: pd.Series) -> LifeCurve:
    """Return the life curve of a described component from new, whatever its condition is now."""
    steps = case["curve_steps"]
    own = steps[steps["steps"] == part["steps"]] if part["steps"] else steps.iloc[:0]
    rates = (
        (tuple(own["from_age_years"]), tuple(own["failure_rate_per_year"])) if len(own) else None
    )
    return curve_from(
        part["curve"], part["life_years"], part["shape_ratio"], part["guarantee_years"], rates
    )


def curve_now(case: Case, part: pd.Series) -> LifeCurve:
    """Return the life curve of a described component as its condition shows it."""
    return known_lives(case)[part["component"]].now or renewed_curve(case, part)


def sure_curve(case: Case, part: pd.Series) -> LifeCurve | None:
    """Return the curve if what is uncertain in its reading were known; None where nothing is."""
    known = known_lives(case)[part["component"]]
    return None if known.sure == known.now else known.sure


def _new_design(part: pd.Series, life_years: float, shape_ratio: float) -> LifeCurve:
    """Return the curve after a work that brings a new design."""
    life = part["life_years"] if np.isnan(life_years) else life_years
    shape = part["shape_ratio"] if np.isnan(shape_ratio) else shape_ratio
    shape = 1.0 if np.isnan(shape) else shape
    kind = "weibull" if part["curve"] == "stepped" else part["curve"]
    return curve_from(kind, life, shape, part["guarantee_years"])


def works_of(case: Case, part: pd.Series, own: pd.DataFrame, grid_years: FloatArray) -> Works:
    """Return the placements of a described component as the risk model sees them.

    Work that takes age away ends what a reading told: the curve from new holds after it.
    """
    index = np.searchsorted(grid_years, (own["effect_days"] / DAYS_A_YEAR).round(9) - 1e-9)
    is_read = known_lives(case)[part["component"]].now is not None
    back = renewed_curve(case, part) if is_read else None
    shares = own["restoration_share"].to_numpy(dtype=float)
    curves: list[LifeCurve | None] = []
    for life, shape, share in zip(
        own["new_life_years"], own["new_shape_ratio"], shares, strict=True
    ):
        if np.isnan(life) and np.isnan(shape):
            curves.append(back if share > 0 else None)
        else:
            curves.append(_new_design(part, life, shape))
    frees = own["frees_count"].to_numpy(dtype=float) > 0
    kinds = tuple(own["restoration_kind"])
    return Works(index.astype(np.int64), shares, kinds, tuple(curves), frees)


def at_life(exposure: Exposure, works: Works, life_ratio: float) -> tuple[Exposure, Works]:
    """Return a component with its life times `life_ratio`.

    All its curves, also that after a new design; where a reading tells its life, only the life
    left from there, because the reading's doubt says nothing about what comes after.
    """
    if isinstance(exposure.curve, TakenOver):
        read = replace(exposure.curve, first=scaled(exposure.curve.first, life_ratio))
        return replace(exposure, curve=read), works
    curves = tuple(curve and scaled(curve, life_ratio) for curve in works.curves)
    return replace(exposure, curve=scaled(exposure.curve, life_ratio)), replace(
        works, curves=curves
    )
