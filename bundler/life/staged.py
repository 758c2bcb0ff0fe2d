"""Inspection grades of one component to the life that is left, by the chain of its family."""

from functools import lru_cache
from typing import Any

import numpy as np
import pandas as pd

from bundler.life.grade_chain import GradeLife
from bundler.life.grade_reading import shares_now
from bundler.life.grades import ChainFit, GradePairs
from bundler.life.grades_continuous import fit_continuous
from bundler.life.wear import Left


def grade_pairs(readings: pd.DataFrame, grades_count: int) -> GradePairs:
    """Return the pairs of following inspections of each component, none over a renewal."""
    table = readings.assign(life=readings["age_years"] >= 0)
    table = table.sort_values(["component", "life", "years"])
    later = table.groupby(["component", "life"])[["years", "reading_value"]].shift(-1)
    span = later["years"] - table["years"]
    kept = span > 0
    return GradePairs(
        table.loc[kept, "reading_value"].to_numpy(dtype=np.int64),
        later.loc[kept, "reading_value"].to_numpy(dtype=np.int64),
        span[kept].to_numpy(dtype=float),
        grades_count,
    )


@lru_cache(maxsize=64)
def _fitted(
    then: tuple[int, ...], later: tuple[int, ...], years: tuple[float, ...], grades_count: int
) -> ChainFit:
    """Return the chain of these pairs, kept for the other components of the family."""
    return fit_continuous(
        GradePairs(np.array(then), np.array(later), np.array(years), grades_count)
    )


def graded(indicator: Any, own: pd.DataFrame, others: pd.DataFrame) -> Left:
    """Return the life left from the last grade of a component to the grade that counts as failed.

    The chain goes one grade down at a time, in continuous time, its rates fitted from all pairs
    of inspections of the family. The spread of the life is that of the rates still ahead.
    """
    count = int(indicator.limit_value)
    pairs = grade_pairs(pd.concat([own, others]), count)
    fit = _fitted(
        tuple(pairs.grade_then.tolist()), tuple(pairs.grade_later.tolist()),
        tuple(pairs.years.tolist()), count,
    )  # fmt: skip
    last = int(own["reading_value"].iloc[-1])
    if last >= count:
        raise ValueError(
            f"the last grade {last} is the one that counts as failed ({count}); correct it, or "
            "plan the work with a pin."
        )
    curve = GradeLife(fit.chain, shares_now(fit.chain, last, 0.0))
    ahead = np.array(fit.departures_count[last - 1 :], dtype=float)
    stay = np.diff(-np.append(fit.chain.mean_years_to_last, 0.0))[last - 1 : count - 1]
    sigma = float(np.sqrt((stay**2 / ahead).sum()) / stay.sum())
    left = float(fit.chain.mean_years_to_last[last - 1])
    words = (
        f"grade {last}, {left:.3g} years on average to grade {count} by {len(pairs.years)} pairs "
        "of inspections"
    )
    return Left(curve, curve, sigma, words)
