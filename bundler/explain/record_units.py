"""The family's life before its record, and after it in each unit."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bundler.case import Case
from bundler.courses.lives import renewed_curve
from bundler.life.curves import LifeCurve
from bundler.life.evidence import posterior
from bundler.life.given import given_lives
from bundler.tables import rows


@dataclass(frozen=True, eq=False)
class Prior:
    """The life of a family as its tables give it, before any record.

    life_years and shape_ratio are nan where the curve has none (stepped).
    """

    kind: str
    life_years: float
    life_sigma_ratio: float
    shape_ratio: float
    shape_sigma_ratio: float
    curve: LifeCurve

    @property
    def words(self) -> str:
        """Return the prior with its numbers."""
        if self.kind == "stepped":
            return "a stepped failure rate of curve_steps.csv"
        shape = f", shape {self.shape_ratio:.2g} +/- {self.shape_sigma_ratio:.2g}"
        return (
            f"{self.kind}, life {self.life_years:.3g} years "
            f"(sigma of its logarithm {self.life_sigma_ratio:.2g})"
            f"{'' if self.kind == 'exponential' else shape}"
        )


@dataclass(frozen=True)
class UnitLife:
    """The life of a family in one unit, before and after the record; low and high hold 90 %.

    failures_count counts those of other units by the sister weight. word is speaks, says little
    or contradicts.
    """

    unit: str
    components_count: int
    failures_count: float
    prior_years: float
    life_years: float
    low_years: float
    high_years: float
    prior_shape_ratio: float
    shape_ratio: float
    word: str


def prior_of(case: Case, family: str) -> Prior:
    """Return the life of a family as the tables give it."""
    row = case["families"][case["families"]["family"] == family].iloc[0]
    return Prior(
        row["curve"], row["life_years"], row["life_sigma_ratio"], row["shape_ratio"],
        row["shape_sigma_ratio"], renewed_curve(case, row),
    )  # fmt: skip


def _word(found: Any) -> str:
    if found.contradicts:
        return "contradicts"
    return "speaks" if found.has_moved else "says little"


def _unit_life(case: Case, part: Any, count: int) -> UnitLife:
    found = posterior(case, part)
    low, life, high = (found.life_percentile_years(chance) for chance in (0.05, 0.5, 0.95))
    return UnitLife(
        part.unit, count, found.failures_count, part.life_years, life, low, high,
        part.shape_ratio, found.shape_percentile_ratio(0.5), _word(found),
    )  # fmt: skip


def unit_lives(case: Case, family: str) -> Iterator[UnitLife]:
    """Yield the life of a family in each unit after the record.

    Components of a unit that have a life of their own stand apart. Raises ValueError where the
    curve is not one that a record can move, or no such life could leave the record.
    """
    table = given_lives(case)
    own = table[table["family"] == family]
    keys = ["unit", "life_years", "shape_ratio", "life_sigma_ratio"]
    for _, same in own.groupby(keys, dropna=False):
        yield _unit_life(case, next(rows(same)), len(same))


def told_lives(case: Case, family: str) -> tuple[tuple[UnitLife, ...], str]:
    """Return the lives by unit, and why there are none if so."""
    try:
        return tuple(unit_lives(case, family)), ""
    except ValueError as fault:
        return (), str(fault)


def records_by_unit(table: pd.DataFrame, mode: str = "") -> pd.DataFrame:
    """Return records_count and failures_count (by a mode, or all) of each unit, by their items."""
    counts_mode = (table["mode"] == mode) | (mode == "")
    failed = table["items_count"].where(table["failed_date"].notna() & counts_mode, 0.0)
    counts = table.assign(failures_count=failed).groupby("unit", as_index=False)
    return counts.agg(
        records_count=("items_count", "sum"), failures_count=("failures_count", "sum")
    )
