"""What a family's record says about its life: fits compared, bounds, and whether it limits it."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.life.bounds import Bounds, age_bounds, all_bounds, chance_band
from bundler.life.fit import TOO_SMALL_TO_TELL, Fit, compare, fit
from bundler.life.lives import Lives
from bundler.life.nonparametric import plotting_positions
from bundler.life.turnbull import turnbull

#: kinds of life that are compared
COMPARED = ("weibull", "lognormal", "exponential", "gamma")
#: parameters in words
WORDS = {
    "scale_years": "scale", "mean_years": "mean life", "median_years": "median life",
    "shape_ratio": "shape", "sigma_ratio": "sigma",
}  # fmt: skip
#: ages at which a band is drawn, and how far below and above the ages at failure they reach
BAND_COUNT, BELOW_RATIO, ABOVE_RATIO = 31, 0.5, 2.0
NO_RECORD = "lives.csv holds no life of this family."
#: chance below which a span of the record holds nothing, to any eye
NOUGHT = 1e-6


@dataclass(frozen=True, eq=False)
class RecordFit:
    """The fit of a family's record.

    Parameters
    ----------
    compared : kinds by AIC, as `compare` gives them.
    best : the fit used here; None where the record carries none.
    bounds : 90 % profile bounds by what they bound: parameters in words, "10 % failed by", "50 %
        failed by".
    refusal : why there is no fit; empty where there is one.
    points : low_years, high_years (equal where the age is known), failed_share; for a plot.
    band : age_years, failed_chance, low_chance, high_chance; empty without a fit.
    """

    compared: pd.DataFrame
    best: Fit | None
    bounds: dict[str, Bounds]
    refusal: str
    points: pd.DataFrame
    band: pd.DataFrame

    @property
    def is_identified(self) -> bool:
        """Return whether the record limits the life from both sides: its scale and its median."""
        return self.best is not None and not any(
            bounds.open_sides for name, bounds in self.bounds.items() if _is_life(name)
        )

    @property
    def verdict(self) -> str:
        """Return in a sentence whether the record limits the life."""
        if self.best is None:
            return f"The life cannot be identified from its data. {self.refusal}"
        told = [
            f"{name} is open from {' and '.join(bounds.open_sides)}"
            for name, bounds in self.bounds.items()
            if bounds.open_sides
        ]
        if not self.is_identified:
            return f"The life cannot be identified from its data: {'; '.join(told)}."
        return " ".join([_limited(told), *self._chance_words()])

    def _chance_words(self) -> list[str]:
        """Return a sentence where a shape of 1, failures by chance, lies within the bounds."""
        shape = self.bounds.get("shape")
        if shape is not None and shape.high < 1:
            return ["The shape lies below 1: failures become rarer with age, new items fail most."]
        if shape is None or shape.low >= 1:
            return []
        return ["A shape of 1 is not excluded: wear is not told from failures by chance."]


def _is_life(name: str) -> bool:
    return name in ("scale", "mean life", "median life", "50 % failed by")


def _limited(told: list[str]) -> str:
    if told:
        return f"The record limits the life, yet {'; '.join(told)}."
    return "The record limits the life from both sides."


def _chosen(compared: pd.DataFrame, kind: str) -> str:
    """Return the kind to use: the plan's where AIC does not tell it from the best, else the best.

    "" where only a constant rate could be fitted: that is no statement on ageing.
    """
    fitted = compared[compared["aic"].notna()]
    near = fitted.loc[fitted["aic_delta"] < TOO_SMALL_TO_TELL, "kind"]
    if kind in set(near):
        return kind
    has_shape = bool((fitted["parameters_count"] > 1).any())
    return str(fitted["kind"].iloc[0]) if has_shape else ""


def _bounds(lives: Lives, best: Fit) -> dict[str, Bounds]:
    found = {WORDS[bounds.name]: bounds for bounds in all_bounds(lives, best)}
    ages = {f"{share:.0%} failed by".replace("%", " %"): share for share in (0.1, 0.5)}
    return found | {name: age_bounds(lives, best, share) for name, share in ages.items()}


def points_of(lives: Lives) -> pd.DataFrame:
    """Return the points of a probability plot: low_years, high_years, failed_share.

    Where failures were found at inspections, each span that holds chance stands at the middle of
    its step of the Turnbull estimate.
    """
    names = ["low_years", "high_years", "failed_share"]
    if lives.failures_count == 0:
        return pd.DataFrame(columns=names, dtype=float)
    if (lives.is_exact | lives.is_running).all():
        table = plotting_positions(lives).rename(columns={"age_years": "low_years"})
        table = table.assign(high_years=table["low_years"])
    else:
        table = turnbull(lives)
        table["failed_share"] -= table["chance_share"] / 2
        table = table[np.isfinite(table["high_years"]) & (table["chance_share"] > NOUGHT)]
    inside = (table["failed_share"] > 0) & (table["failed_share"] < 1)
    return table.loc[inside, names].reset_index(drop=True)


def _band(lives: Lives, best: Fit) -> pd.DataFrame:
    ages = lives.high_years[~lives.is_running]
    ends = BELOW_RATIO * float(ages.min()), ABOVE_RATIO * float(ages.max())
    return chance_band(lives, best, np.geomspace(*ends, BAND_COUNT))


def record_fit(lives: Lives, kind: str) -> RecordFit:
    """Return what the lives of a family say; `kind` is the curve that the plan gives it.

    With minimal repair the lives are stretches of running age that enter at the failure before;
    with renewal they are the gaps.
    """
    if not len(lives.low_years):
        return RecordFit(pd.DataFrame(), None, {}, NO_RECORD, points_of(lives), pd.DataFrame())
    kind = kind if kind in COMPARED else "weibull"
    compared, points = compare(lives, COMPARED), points_of(lives)
    chosen = _chosen(compared, kind)
    if not chosen:
        note = str(compared.loc[compared["kind"] == kind, "note"].iloc[0])
        refusal = note.removeprefix("Not fitted. ")
        return RecordFit(compared, None, {}, refusal, points, pd.DataFrame())
    best = fit(lives, chosen)
    return RecordFit(compared, best, _bounds(lives, best), "", points, _band(lives, best))
