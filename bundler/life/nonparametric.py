"""Survival without a curve: Kaplan-Meier with late entry, points of a probability plot."""

import numpy as np
import pandas as pd
from scipy import stats

from bundler.life.curves import FloatArray
from bundler.life.lives import Lives


def _refuse_intervals(lives: Lives) -> None:
    found = ~lives.is_exact & ~lives.is_running
    if found.any():
        raise ValueError(
            f"{int(found.sum())} records were found failed at an inspection, so their ages at "
            "failure are not known; use `turnbull` for them."
        )


def _risk_table(lives: Lives) -> pd.DataFrame:
    """Return age_years, at_risk_count and failures_count at each different age at failure.

    At risk are those whose entry lies before the age and who had not left before it: who leaves at
    the age of a failure was still there.
    """
    _refuse_intervals(lives)
    exact, weight = lives.is_exact, lives.weight_count
    age, place = np.unique(lives.low_years[exact], return_inverse=True)
    failures = np.bincount(place, weights=weight[exact], minlength=len(age))
    late = np.sort(lives.entry_years), np.sort(lives.low_years)
    sums = [
        np.append(0.0, weight[np.argsort(ages, kind="stable")].cumsum())
        for ages in (lives.entry_years, lives.low_years)
    ]
    entered = sums[0][np.searchsorted(late[0], age, side="left")]
    left = sums[1][np.searchsorted(late[1], age, side="left")]
    return pd.DataFrame(
        {"age_years": age, "at_risk_count": entered - left, "failures_count": failures}
    )


def _log_log_bounds(survival: FloatArray, greenwood: FloatArray, level: float) -> list[FloatArray]:
    """Return lower and upper bounds of survival on the scale ln(-ln S); nan where S is 0."""
    with np.errstate(divide="ignore", invalid="ignore"):
        width = stats.norm.ppf((1 + level) / 2) * np.sqrt(greenwood) / np.log(survival)
        return [np.where(survival > 0, survival ** np.exp(s * width), np.nan) for s in (-1, 1)]


def kaplan_meier(lives: Lives, *, level: float = 0.90) -> pd.DataFrame:
    """Return the product-limit estimate of survival, a row a different age at failure.

    Columns age_years, at_risk_count, failures_count, survival_share, low_share, high_share: S is
    the product of 1 - d / n up to the age, its bounds are pointwise, by Greenwood's variance on
    the scale ln(-ln S). Kaplan and Meier (1958); Kalbfleisch and Prentice (2002) 1.4 (from memory).

    With late entry few may be at risk at young ages: where all of them fail, S is 0 from then on,
    which says nothing of the old. Fractional weights count as fractions of an item, also in the
    variance. Raises ValueError for records found at an inspection, and for a level not in (0, 1).
    """
    if not 0 < level < 1:
        raise ValueError(f"level is {level:g}; a confidence level lies between 0 and 1.")
    table = _risk_table(lives)
    risk, failed = (table[name].to_numpy() for name in ("at_risk_count", "failures_count"))
    last = risk - failed < 1e-9 * risk
    survival = np.cumprod(np.where(last, 0.0, 1 - failed / risk))
    with np.errstate(divide="ignore", invalid="ignore"):
        greenwood = np.cumsum(np.where(last, np.inf, failed / (risk * (risk - failed))))
    low, high = _log_log_bounds(survival, greenwood, level)
    return table.assign(survival_share=survival, low_share=low, high_share=high)


def plotting_positions(lives: Lives) -> pd.DataFrame:
    """Return the points of a probability plot: columns age_years, failed_share.

    From new: one point a failed item, at its median rank (i - 0.3) / (n + 0.4) (Benard), i the rank
    adjusted for those that left before (Johnson 1964; IEC 61649, from memory). With late entry or
    weights that are not whole there are no ranks: one point an age, in the middle of the step
    of the Kaplan-Meier estimate (Meeker and Escobar 1998, 6.4, from memory).
    """
    is_whole = bool((lives.weight_count == np.round(lives.weight_count)).all())
    if lives.has_late_entry or not is_whole:
        return _middle_positions(lives)
    return _rank_positions(lives)


def _rank_positions(lives: Lives) -> pd.DataFrame:
    """Return Benard's median ranks at Johnson's adjusted ranks."""
    table = _risk_table(lives)
    items, rank = lives.items_count, 0.0
    points: list[tuple[float, float]] = []
    for age, risk, failed in zip(*(table[name] for name in table.columns), strict=True):
        for gone in range(round(failed)):
            rank += (items + 1 - rank) / (risk - gone + 1)
            points.append((age, (rank - 0.3) / (items + 0.4)))
    return pd.DataFrame(points, columns=["age_years", "failed_share"], dtype=float)


def _middle_positions(lives: Lives) -> pd.DataFrame:
    """Return the middles of the steps of the Kaplan-Meier estimate."""
    table = kaplan_meier(lives)
    failed = 1 - table["survival_share"].to_numpy()
    before = np.append(0.0, failed)[:-1]
    return pd.DataFrame({"age_years": table["age_years"], "failed_share": (failed + before) / 2})
