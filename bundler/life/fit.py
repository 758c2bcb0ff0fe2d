"""Maximum likelihood fits of a record of lives, and their comparison by AIC."""

from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
import pandas as pd
from scipy import optimize

from bundler.life.curves import FloatArray, LifeCurve
from bundler.life.kinds import KINDS, Kind
from bundler.life.likelihood import WORST, Likelihood, likelihood_of, plain
from bundler.life.lives import Lives

#: fewest failures that carry a fit: the trade takes a prior below about five events (from memory);
#: the third parameter is given three more (our choice)
FEWEST = {
    "exponential": 1,
    "weibull": 5,
    "lognormal": 5,
    "gamma": 5,
    "limited_weibull": 8,
    "limited_lognormal": 8,
}
#: a difference in AIC below this tells nothing: Burnham and Anderson (2002) 2.6 (from memory)
TOO_SMALL_TO_TELL = 2.0
#: shapes that are looked at: ln shape from and to; a fit that ends at an end is not a fit
LOG_SHAPES = (-6.0, 9.0)
#: how far ln age may go from the ages at failure
LOG_AGES = 25.0
#: log-odds of the share that can fail beyond which it is 1
LOG_ODDS = 25.0
#: curvature per failure below which a direction of the parameters is flat
FLAT = 1e-6


class TooFewFailures(ValueError):
    """The record holds too few failures to carry this fit."""

    def __init__(self, kind: str, found: float, needed: int) -> None:
        self.kind, self.found, self.needed = kind, found, needed
        super().__init__(
            f"The record holds {found:g} failures; a {kind} fit needs {needed} or more. "
            "Use a prior and its update, or a known shape (Weibayes), instead."
        )


class LifeNotFixed(ValueError):
    """The likelihood has no single best point: the record leaves parameters open."""

    def __init__(self, kind: str, why: str) -> None:
        super().__init__(
            f"The record does not fix a {kind} life: {why}. "
            "Use a kind with fewer parameters, a known shape (Weibayes), or a prior."
        )


@dataclass(frozen=True, eq=False)
class Fit:
    """A life curve fitted by maximum likelihood.

    Parameters
    ----------
    kind : word of `KINDS`.
    parameters : value of each parameter, named as in its curve, unit last.
    log_likelihood : greatest log-likelihood, ages in years [-].
    failures_count, items_count : failures and items behind it, by their weights [-].
    curve : the fitted life curve.
    """

    kind: str
    parameters: dict[str, float]
    log_likelihood: float
    failures_count: float
    items_count: float
    curve: LifeCurve

    @property
    def aic(self) -> float:
        """Return Akaike's criterion, 2 (parameters - log-likelihood) [-]; less is better."""
        return 2.0 * (len(self.parameters) - self.log_likelihood)


@dataclass(frozen=True, eq=False)
class _Search:
    """A likelihood over (ln age at a cumulative hazard, ln shape, log-odds of the share).

    The age lies amid the failures, so the first two are nearly independent even where few failed.
    """

    likelihood: Likelihood
    hazard: float
    middle: float

    @property
    def kind(self) -> Kind:
        return self.likelihood.kind

    def working(self, point: FloatArray) -> tuple[float, float, float]:
        """Return (ln scale, ln shape, log-odds) of a point; nan outside of what is looked at."""
        given: list[float] = point.tolist()
        log_age, log_shape, log_odds = given + [0.0, 50.0][len(given) - 1 :]
        inside = LOG_SHAPES[0] <= log_shape <= LOG_SHAPES[1]
        if not inside or abs(log_age - self.middle) > LOG_AGES:
            return np.nan, 0.0, 50.0
        with np.errstate(all="ignore"):
            unit = self.kind.log_age(float(np.exp(log_shape)), self.hazard)
        return log_age - unit, log_shape, log_odds

    def lost(self, point: FloatArray) -> float:
        """Return the negative log-likelihood of a point."""
        return -self.likelihood(*self.working(point))

    def starts(self) -> list[FloatArray]:
        """Return the best points of a coarse grid, best first."""
        log_ages = self.middle + np.linspace(-1.5, 2.5, 9)
        log_shapes = [-1.6, -0.8, -0.2, 0.4, 1.0, 1.7, 2.5, 3.5]
        axes = [log_ages.tolist(), log_shapes, [-5.0, -2.0, 0.0, 3.0]]
        points = [np.array(point) for point in product(*axes[: len(self.kind.names)])]
        return sorted(points, key=self.lost)[:3]

    def climb(self, start: FloatArray, near: float) -> FloatArray:
        """Return the top reached from a start, restarted until it stands still to `near`."""
        best, value = start, self.lost(start)
        options: Any = {"xatol": near, "fatol": near**1.3, "maxfev": 600}
        for _ in range(6):
            options["initial_simplex"] = np.vstack([best, best + 0.2 * np.eye(len(best))])
            found = optimize.minimize(self.lost, best, method="Nelder-Mead", options=options)
            gained, best, value = value - found.fun, found.x, float(found.fun)
            if gained < near:
                break
        return best

    def curvature(self, point: FloatArray) -> FloatArray:
        """Return the second derivatives of the negative log-likelihood at a point."""
        step, size = 3e-3, len(point)
        shift = step * np.eye(size)
        result = np.empty((size, size))
        for i, j in product(range(size), repeat=2):
            signs = ((1, 1), (1, -1), (-1, 1), (-1, -1))
            values = [self.lost(point + a * shift[i] + b * shift[j]) for a, b in signs]
            result[i, j] = (values[0] - values[1] - values[2] + values[3]) / (4 * step**2)
        return result


def _search_of(lives: Lives, kind: Kind) -> _Search:
    """Return where to search: around the weighted median of the ages at failure."""
    failed = ~lives.is_running
    age = np.where(lives.low_years > 0, (lives.low_years + lives.high_years) / 2, lives.high_years)
    order = np.argsort(age[failed], kind="stable")
    weights = lives.weight_count[failed][order].cumsum()
    middle = age[failed][order][np.searchsorted(weights, weights[-1] / 2)]
    share = 0.5 if kind.has_share else min(lives.failures_count / lives.items_count, 0.63)
    hazard = float(-np.log1p(-share))
    return _Search(likelihood_of(lives, kind), hazard, float(np.log(middle)))


def _check_fixed(word: str, search: _Search, point: FloatArray, failures: float) -> None:
    """Raise LifeNotFixed where the top lies at an end of the search, or is a ridge."""
    if search.lost(point) >= -WORST:
        raise LifeNotFixed(word, "no life of this kind could give this record")
    if abs(point[0] - search.middle) > LOG_AGES - 0.1:
        raise LifeNotFixed(word, "its length runs away, as no item shows it from both sides")
    if len(point) > 1 and not LOG_SHAPES[0] + 0.1 < point[1] < LOG_SHAPES[1] - 0.1:
        raise LifeNotFixed(word, "its shape runs away, as the failures do not spread over ages")
    is_whole = len(point) == 3 and point[2] > LOG_ODDS / 2
    held = search.curvature(point)[: 2 if is_whole else None, : 2 if is_whole else None]
    if np.linalg.eigvalsh(held)[0] < FLAT * failures:
        raise LifeNotFixed(word, "several lives are as likely, as the ages seen are too few")


def kind_of(word: str) -> Kind:
    """Return the kind by its word; raises ValueError if it is not known."""
    if word not in KINDS:
        raise ValueError(f"{word!r} cannot be fitted; the kinds are {', '.join(KINDS)}.")
    return KINDS[word]


def fit(lives: Lives, kind: str) -> Fit:
    """Return the maximum likelihood fit of a kind of life to these lives.

    Nelder-Mead from the three best points of a grid, restarted until it stands still, in the
    logarithms of an age amid the failures and of the shape. The likelihood is in `likelihood`.

    Parameters
    ----------
    lives : the record.
    kind : weibull, lognormal, exponential, gamma, limited_weibull or limited_lognormal.

    Raises
    ------
    TooFewFailures : fewer failures, by weight, than `FEWEST` of the kind.
    LifeNotFixed : the likelihood has no single top.
    """
    spoken = kind_of(kind)
    needed = FEWEST[kind]
    if lives.failures_count < needed - 1e-9:
        raise TooFewFailures(kind, lives.failures_count, needed)
    search = _search_of(lives, spoken)
    tops = [search.climb(start, 1e-2) for start in search.starts()]
    point = search.climb(min(tops, key=search.lost), 1e-9)
    _check_fixed(kind, search, point, lives.failures_count)
    values = plain(*search.working(point))
    if spoken.has_share and point[2] > LOG_ODDS / 2:
        values = (*values[:2], 1.0)
    return Fit(
        kind,
        dict(zip(spoken.names, values, strict=False)),
        -search.lost(point),
        lives.failures_count,
        lives.items_count,
        spoken.make(*values),
    )


def _row(lives: Lives, kind: str) -> dict[str, object]:
    """Return a row of the comparison; a kind that cannot be fitted says why."""
    try:
        made = fit(lives, kind)
    except (TooFewFailures, LifeNotFixed) as error:
        return {"kind": kind, "note": f"Not fitted. {error}"}
    return {
        "kind": kind,
        "parameters_count": len(made.parameters),
        "log_likelihood": made.log_likelihood,
        "aic": made.aic,
        "note": "",
    }


def compare(lives: Lives, kinds: tuple[str, ...] = ("weibull", "lognormal")) -> pd.DataFrame:
    """Return how well each kind fits, best AIC first.

    One row a kind; columns kind, parameters_count, log_likelihood, aic, aic_delta (above the best),
    note (where the difference to the best is too small to tell, and why a kind was not fitted).
    """
    columns = ["kind", "parameters_count", "log_likelihood", "aic", "aic_delta", "note"]
    table = pd.DataFrame([_row(lives, kind) for kind in kinds], columns=columns)
    table = table.sort_values("aic", kind="stable", na_position="last", ignore_index=True)
    delta = pd.to_numeric(table["aic"]) - pd.to_numeric(table["aic"]).min()
    close = (delta < TOO_SMALL_TO_TELL) & (delta.index > 0)
    note = table["note"].where(~close, "Too close to the best to tell which is right.")
    return table.assign(aic_delta=delta, note=note)
