"""Two components tied by a rule between works, and the linear row that says it."""

from dataclasses import dataclass
from typing import Any

import pandas as pd


@dataclass(frozen=True)
class LinkRow:
    """One rule between components: its name, the terms (placement, factor) and the most."""

    link: str
    rule: str
    terms: list[tuple[int, float]]
    most: float = 0.0


@dataclass(frozen=True)
class Tie:
    """One link between two components.

    first, second: the placements of both that it speaks of; outages: those of the second's unit
    that it asks, with period and end_days; lag_days: between the end of one and the next.
    """

    name: str
    rule: str
    first: pd.DataFrame
    second: pd.DataFrame
    outages: pd.DataFrame
    lag_days: float


def finish_days(works: Any) -> Any:
    """Return the earliest finish of a work, or of each in a table [days from planning]."""
    return works.start_days + works.days


def last_start_days(works: Any) -> Any:
    """Return the last start with which a work ends in its span [days from planning]."""
    return works.end_days - works.days
