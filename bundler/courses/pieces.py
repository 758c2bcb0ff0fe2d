"""Where all the conditions of a work hold inside a period: pieces of days, and the longest one."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

import numpy as np
import pandas as pd

from bundler.intervals import Stretches
from bundler.tables import rows

#: the conditions of a work on components of one unit
KEY = ["unit", "needs"]
SPAN = ["span_start_days", "span_end_days", "longest_days", "last_days"]


class Piece(NamedTuple):
    """Days in a row on which conditions hold, in days from the planning date.

    longest_days is the longest single work in it, last_days what it never passes, even if its
    outage is lengthened.
    """

    start_days: float
    end_days: float
    longest_days: float = float("inf")
    last_days: float = float("inf")


NOWHERE = Piece(float("nan"), float("nan"), float("nan"), float("nan"))
#: pieces by period and condition
Pieces = dict[tuple[str, str], list[Piece]]


def pieces_of(spans: pd.DataFrame) -> Pieces:
    """Return the pieces of each period and condition from the table of `spans`."""
    found: Pieces = {}
    for row in rows(spans):
        piece = Piece(row.start_days, row.end_days, row.longest_days, row.last_days)
        found.setdefault((row.period, row.condition), []).append(piece)
    return found


def _both(a: Piece, b: Piece) -> Piece:
    """Return what two pieces share; it ends before it starts where they do not meet."""
    return Piece(
        max(a.start_days, b.start_days),
        min(a.end_days, b.end_days),
        min(a.longest_days, b.longest_days),
        min(a.last_days, b.last_days),
    )


def shared(first: Iterable[Piece], second: Iterable[Piece]) -> list[Piece]:
    """Return the pieces that two lists of pieces share."""
    every = [_both(a, b) for a in first for b in second]
    return [piece for piece in every if piece.start_days < piece.end_days]


def held(pieces: Pieces, period: str, needs: str) -> list[Piece]:
    """Return the pieces of a period in which all of its conditions, joined by +, hold."""
    first, *others = [pieces.get((period, word), []) for word in needs.split("+")]
    for other in others:
        first = shared(first, other)
    return first


def inside(pieces: Iterable[Piece], days: Stretches) -> list[Piece]:
    """Return the pieces without all days outside a set; no extension takes them past it."""
    return shared(pieces, [Piece(start, end, last_days=end) for start, end in days])


def longest(pieces: Iterable[Piece]) -> Piece:
    """Return the longest piece, the earliest of equal ones; `NOWHERE` if there is none."""
    return max(
        pieces, key=lambda piece: (piece.end_days - piece.start_days, -piece.start_days),
        default=NOWHERE,
    )  # fmt: skip


def _rows(
    works: pd.DataFrame, periods: pd.DataFrame, pieces: Pieces
) -> Iterator[tuple[object, ...]]:
    """Return unit, conditions, period and longest common piece, for each of them."""
    pairs = works[KEY].drop_duplicates().sort_values(KEY)
    names = {unit: list(own["period"]) for unit, own in periods.groupby("unit")}
    for unit, needs in pairs.itertuples(index=False):
        for period in names.get(unit, []):
            yield unit, needs, period, *longest(held(pieces, period, needs))


def need_spans(works: pd.DataFrame, periods: pd.DataFrame, spans: pd.DataFrame) -> pd.DataFrame:
    """Return one row a unit, set of conditions and period, with the longest piece they share.

    A work is offered one piece of a period, the longest, so that it has one placement there.
    Columns unit, needs, period, span_start_days, span_end_days, longest_days, last_days (NaN
    where the conditions do not hold together) and has_conditions.
    """
    columns = [*KEY, "period", *SPAN]
    kinds = dict.fromkeys([*KEY, "period"], "str") | dict.fromkeys(SPAN, "float64")
    found = list(_rows(works, periods, pieces_of(spans)))
    table = pd.DataFrame(found, columns=columns).astype(kinds)
    return table.assign(has_conditions=np.isfinite(table["span_start_days"]))
