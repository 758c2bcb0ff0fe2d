"""The station's register of lives and repairs, as the fits want it: ages instead of dates."""

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR
from bundler.case import Case
from bundler.life.lives import Lives, lives_from

#: a life watched from this long after the failure before it follows it without a gap [days]
NO_GAP_DAYS = 1


def _years(late: pd.Series, early: pd.Series) -> pd.Series:
    return (late - early).dt.days / DAYS_A_YEAR


def lives_table(case: Case, family: str) -> pd.DataFrame:
    """Return the lives of a family with ages: entry_years, low_years, high_years (inf: running)."""
    table = case["lives"]
    own = table[table["family"] == family].copy()
    watched = own["watched_from_date"].fillna(own["start_date"])
    own["entry_years"] = _years(watched, own["start_date"])
    low = own["last_good_date"].fillna(own["failed_date"])
    own["low_years"] = _years(low, own["start_date"])
    own["high_years"] = _years(own["failed_date"], own["start_date"]).fillna(np.inf)
    return own


def lives_of(table: pd.DataFrame) -> Lives:
    """Return rows of `lives_table` as lives."""
    return lives_from(
        table["low_years"].to_numpy(dtype=float),
        table["high_years"].to_numpy(dtype=float),
        entry_years=table["entry_years"].to_numpy(dtype=float),
        weight_count=table["items_count"].to_numpy(dtype=float),
        mode=tuple(table["mode"]),
    )


def own_and_sisters(case: Case, family: str, unit: str) -> tuple[Lives, Lives]:
    """Return the lives of a family in one unit, and those in all others."""
    table = lives_table(case, family)
    is_own = table["unit"] == unit
    return lives_of(table[is_own]), lives_of(table[~is_own])
