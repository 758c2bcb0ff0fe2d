"""Survival without a curve where failures were found at inspections: the Turnbull estimate."""

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from bundler.life.curves import FloatArray
from bundler.life.lives import BoolArray, Lives

#: most passes, and the largest change of a chance in a pass at which the estimate stands
PASSES, STANDS = 50_000, 1e-13
#: order of ends at one age: a failure seen begins there, then spans end, then spans begin
SEEN, ENDS, BEGINS = 0, 1, 2


def _supports(lives: Lives) -> tuple[FloatArray, FloatArray, NDArray[np.int64]]:
    """Return low, high and word of the innermost spans, the only ones that can hold chance.

    A span runs from a beginning to an end with no other beginning between them. An age of entry
    counts as an end: what lies before it is not contradicted by that item (Frydman 1994).
    """
    exact = lives.is_exact
    begins = np.stack([lives.low_years, np.where(exact, SEEN, BEGINS)], axis=1)
    ends = np.concatenate([lives.high_years, lives.entry_years[lives.entry_years > 0]])
    marks = np.concatenate([begins, np.stack([ends, np.full(len(ends), ENDS)], axis=1)])
    marks = np.unique(marks, axis=0)
    first = np.flatnonzero((marks[:-1, 1] != ENDS) & (marks[1:, 1] == ENDS))
    return marks[first, 0], marks[first + 1, 0], marks[first, 1].astype(np.int64)


def _incidence(lives: Lives) -> tuple[FloatArray, FloatArray, BoolArray, BoolArray]:
    """Return the spans, and which of them each record allows and each record was watched over."""
    low, high, word = _supports(lives)
    exact = lives.is_exact[:, None]
    inside = (low >= lives.low_years[:, None]) & (high <= lives.high_years[:, None])
    allowed = np.where(
        exact,
        inside & (word == SEEN),
        inside & ~((word == SEEN) & (low <= lives.low_years[:, None])),
    )
    watched = high > lives.entry_years[:, None]
    return low, high, allowed, watched


def turnbull(lives: Lives) -> pd.DataFrame:
    """Return the chance of failing in each span that the records can tell apart.

    One row a span; columns low_years, high_years (equal where a failure was seen, inf for those
    that never failed), chance_share, failed_share (by high_years). Between low and high the record
    does not say where the chance lies. The estimate is the fixed point of: each record spreads its
    weight over the spans it allows in proportion to their chances, and with late entry also over
    those that its entry hides. Turnbull (1976) JRSS B 38, 290-295 (from memory).

    Raises ValueError if there is no record, or the passes do not come to stand.
    """
    if not len(lives.low_years):
        raise ValueError("There is no record to estimate from; give at least one life.")
    low, high, allowed, watched = _incidence(lives)
    chance = _fixed_point(allowed, watched, lives.weight_count)
    failed = np.where(np.isinf(high), 1.0, chance.cumsum())
    return pd.DataFrame(
        {"low_years": low, "high_years": high, "chance_share": chance, "failed_share": failed}
    )


def _fixed_point(allowed: BoolArray, watched: BoolArray, weight: FloatArray) -> FloatArray:
    """Return the self-consistent chances of the spans."""
    mine, hidden = allowed.astype(float), (~watched).astype(float)
    chance = np.full(mine.shape[1], 1 / mine.shape[1])
    change = np.inf
    for _ in range(PASSES):
        share = weight / (mine @ chance)
        ghosts = weight / (1 - np.minimum(hidden @ chance, 1 - 1e-12))
        spread = chance * (share @ mine + ghosts @ hidden)
        after: FloatArray = spread / spread.sum()
        change = float(np.abs(after - chance).max())
        chance = after
        if change < STANDS:
            return chance
    raise ValueError(f"The Turnbull estimate still moves by {change:.1e} after {PASSES} passes.")
