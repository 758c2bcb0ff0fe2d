"""One component: its age, the curve in use, what moved it, and the life that is left."""

from dataclasses import dataclass

import numpy as np

from bundler.case import Case
from bundler.courses.described import described
from bundler.courses.lives import curve_now
from bundler.explain.reading_trend import ReadingTrend, trends_of
from bundler.life.derived import failure_chance, median_residual_years
from bundler.life.evidence import known_lives


@dataclass(frozen=True, eq=False)
class OwnLife:
    """The life of one component as the plan takes it.

    Parameters
    ----------
    unit, evidence, note : its unit; what moved its life, in words ("" for the family's); the note
        of components.csv.
    kind, life_years, shape_ratio : the curve from new.
    sigma_ratio : how well the life is known: standard deviation of its logarithm.
    is_replaced : a reading, grade or batch takes the place of the curve until the first failure.
    age_years : at the planning date.
    chance_5_years, chance_10_years : of failing within so many years from the planning date.
    median_left_years : residual life that half would reach; inf where half never fail.
    trends : its readings.
    """

    unit: str
    evidence: str
    note: str
    kind: str
    life_years: float
    shape_ratio: float
    sigma_ratio: float
    is_replaced: bool
    age_years: float
    chance_5_years: float
    chance_10_years: float
    median_left_years: float
    trends: tuple[ReadingTrend, ...]


def own_life(case: Case, component: str) -> OwnLife:
    """Return the life of one component as the plan takes it."""
    parts = described(case)
    part = parts[parts["component"] == component].iloc[0]
    known, curve, age = known_lives(case)[component], curve_now(case, part), part["age_years"]
    chances = failure_chance(curve, np.array(age), np.array([5.0, 10.0]))
    return OwnLife(
        part["unit"], known.words, part["note"], part["curve"], known.life_years,
        known.shape_ratio, known.sigma_ratio, known.now is not None, float(age),
        float(chances[0]), float(chances[1]), median_residual_years(curve, float(age)),
        tuple(trends_of(case, known)),
    )  # fmt: skip
