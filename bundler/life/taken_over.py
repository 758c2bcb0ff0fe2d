"""A life known from its condition up to its first failure; after it, the life of its family."""

from dataclasses import dataclass

from bundler.life.curves import FloatArray, LifeCurve
from bundler.life.derived import hazard


@dataclass(frozen=True)
class TakenOver:
    """The first failure comes as a reading tells; then `after` takes over.

    A reading speaks of one spot or one winding: once that has failed and been repaired, the reading
    says nothing more. H is that of `first`; who counts failures beyond the first uses `after`.
    """

    first: LifeCurve
    after: LifeCurve

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) of the first failure [-]."""
        return self.first.cumulative_hazard(age_years)

    def hazard_per_year(self, age_years: FloatArray) -> FloatArray:
        """Return h(age) of the first failure [1/year]."""
        return hazard(self.first, age_years)


def after_first(curve: LifeCurve) -> LifeCurve:
    """Return the curve that holds after the first failure."""
    return curve.after if isinstance(curve, TakenOver) else curve
