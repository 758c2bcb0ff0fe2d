"""Readings of one component, and where the curve that they gave says they are going."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.life.curves import FloatArray, LifeCurve
from bundler.life.derived import failure_chance, span_to_rise
from bundler.life.evidence import HEAT, Known, readings_of
from bundler.life.given import given_lives
from bundler.life.grade_chain import GradeLife
from bundler.life.noisy import NoisyMargin
from bundler.life.passage import GammaPassage, WienerPassage
from bundler.life.shifted import Since
from bundler.life.taken_over import TakenOver
from bundler.life.tubes import BundleLimit
from bundler.tables import rows

#: normal quantile of 0.95, so that 90 % lie between both sides [-]
SIDE = 1.6448536269514722
#: a trend is followed until this chance of being at the limit, but not farther [years]; our choice
DONE_CHANCE, FAR_YEARS = 0.95, 30.0
#: times at which a trend is told, and wear at which the law of a gamma process is looked up
TIMES_COUNT, WEARS_COUNT = 41, 800
#: middle, low and high of what is left to the limit; 90 % lie between low and high
Left = tuple[FloatArray, FloatArray, FloatArray]


@dataclass(frozen=True, eq=False)
class ReadingTrend:
    """Readings of one indicator on one component, since it was new or renewed.

    Parameters
    ----------
    name, measure, model : of the indicator; `measure` is the unit of every value here.
    limit_value : reading at which it counts as failed; nan for temperatures.
    readings : reading_date, years (from the planning date), reading_value, error_value,
        time_share.
    earlier_count : readings of an earlier life, which are left out.
    rate_value_per_year, rate_sd_value_per_year : of the trend, with its sign; nan where none.
    ahead : years (from the planning date), value, low_value, high_value; 90 % lie between the last
        two. Empty where this indicator does not give the curve in use.
    """

    name: str
    measure: str
    model: str
    limit_value: float
    readings: pd.DataFrame
    earlier_count: int
    rate_value_per_year: float
    rate_sd_value_per_year: float
    ahead: pd.DataFrame


def _line(curve: NoisyMargin, years: FloatArray) -> Left:
    """Margin less rate times years, both with errors that are correlated."""
    worn = curve.rate_sd_per_year * years
    both = 2 * curve.correlation_ratio * curve.margin_sd * worn
    side = SIDE * np.sqrt(np.maximum(curve.margin_sd**2 + worn**2 - both, 0.0))
    middle = curve.margin - curve.rate_mean_per_year * years
    return middle, middle - side, middle + side


def _wandering(curve: WienerPassage, years: FloatArray) -> Left:
    """Margin less a drift with a standard deviation of sigma sqrt(years)."""
    side = SIDE * curve.sigma_per_root_year * np.sqrt(years)
    middle = curve.margin - curve.drift_per_year * years
    return middle, middle - side, middle + side


def _by_jumps(curve: GammaPassage, years: FloatArray) -> Left:
    """Margin less a gamma process; its wear is above x at t exactly where x was passed by t."""
    mean = curve.shape_per_year * curve.scale * years
    spread = float(np.sqrt(mean.max() * curve.scale))
    wears = np.linspace(0.0, float(mean.max()) + 6 * spread + 6 * curve.scale, WEARS_COUNT)[1:]
    above = np.array(
        [failure_chance(GammaPassage(x, curve.shape_per_year, curve.scale), np.array(0.0), years)
         for x in wears]
    )  # fmt: skip

    def passed(chance: float) -> FloatArray:
        found = np.array([np.interp(-chance, -column, wears) for column in above.T], dtype=float)
        return np.where(years > 0, found, 0.0)

    return np.asarray(curve.margin - mean), curve.margin - passed(0.05), curve.margin - passed(0.95)


def _plugged(curve: BundleLimit, years: FloatArray) -> Left:
    """Share of tubes that may still be plugged; the others fail one by one (normal spread)."""
    others = curve.tubes_count - curve.already_count
    chance = failure_chance(curve.tube_curve, np.array(curve.age_years), years)
    gone = curve.already_count + others * chance
    side = SIDE * np.sqrt(others * chance * (1 - chance)) / curve.tubes_count
    middle = curve.limit_share - gone / curve.tubes_count
    return middle, middle - side, middle + side


def _graded(curve: GradeLife, years: FloatArray) -> Left:
    """Grades above the last: mean and percentiles of the chain."""
    shares = np.array(curve.start_share) @ curve.chain.after(years)
    above = curve.chain.grades_count - 1.0 - np.arange(curve.chain.grades_count)
    sums = shares.cumsum(axis=1)
    high, low = (above[np.argmax(sums >= chance - 1e-12, axis=1)] for chance in (0.05, 0.95))
    middle: FloatArray = np.asarray(shares @ above, dtype=np.float64)
    return middle, np.asarray(low), np.asarray(high)


#: how what is left to the limit goes on, by the curve of a reading
LEFT: dict[type[Any], Callable[[Any, FloatArray], Left]] = {
    NoisyMargin: _line, WienerPassage: _wandering, GammaPassage: _by_jumps,
    BundleLimit: _plugged, GradeLife: _graded,
}  # fmt: skip


def left_of(curve: LifeCurve, years: FloatArray) -> Left:
    """Return what is left to the limit some years after a reading, by the curve it gave."""
    return LEFT[type(curve)](curve, np.asarray(years, dtype=float))


def curve_of_reading(known: Known) -> LifeCurve | None:
    """Return the curve that counts from the last reading; None where no reading gives the life."""
    if isinstance(known.now, TakenOver) and isinstance(known.now.first, Since):
        return known.now.first.curve
    return None


def _rate(known: Known, curve: LifeCurve, sign: float) -> tuple[float, float]:
    """Return the mean rate of the next year and its standard deviation, nan where not known."""
    middle = left_of(curve, np.array([0.0, 1.0]))[0]
    rate = float(middle[0] - middle[1])
    if isinstance(curve, NoisyMargin):
        return sign * rate, curve.rate_sd_per_year
    has_error = isinstance(curve, WienerPassage | GammaPassage)
    return sign * rate, known.sigma_ratio * rate if has_error else np.nan


def _ahead(curve: LifeCurve, own: pd.DataFrame, limit: float, sign: float) -> pd.DataFrame:
    """Return the trend from the last reading on; a line also back to the first."""
    last = float(own["years"].iloc[-1])
    end = min(span_to_rise(curve, 0.0, -float(np.log(1 - DONE_CHANCE))), FAR_YEARS)
    start = float(own["years"].iloc[0]) - last if isinstance(curve, NoisyMargin) else 0.0
    years = np.linspace(start, max(end, 2.0 - last), TIMES_COUNT)
    middle, low, high = (limit - sign * left for left in left_of(curve, years))
    return pd.DataFrame(
        {
            "years": years + last,
            "value": middle,
            "low_value": np.minimum(low, high),
            "high_value": np.maximum(low, high),
        }
    )


def _trend(indicator: Any, mine: pd.DataFrame, known: Known) -> ReadingTrend:
    own = mine[mine["age_years"] >= 0]
    columns = ["reading_date", "years", "reading_value", "error_value", "time_share"]
    curve = curve_of_reading(known)
    rate, ahead = (np.nan, np.nan), pd.DataFrame()
    if curve is not None and indicator.model not in HEAT and len(own):
        sign = 1.0 if indicator.limit_value > indicator.new_value else -1.0
        rate = _rate(known, curve, sign)
        ahead = _ahead(curve, own, indicator.limit_value, sign)
    return ReadingTrend(
        indicator.name, indicator.measure, indicator.model, indicator.limit_value,
        own[columns].reset_index(drop=True), len(mine) - len(own), *rate, ahead,
    )  # fmt: skip


def trends_of(case: Case, known: Known) -> Iterator[ReadingTrend]:
    """Yield the readings of a component by indicator, the one that gives its curve last."""
    table = readings_of(case, given_lives(case))
    mine = table[table["component"] == known.component]
    used = case["indicators"][case["indicators"]["indicator"].isin(mine["indicator"])]
    order = used.assign(last=~used["model"].isin(HEAT)).sort_values(["last", "indicator"])
    for place, indicator in enumerate(rows(order)):
        own = mine[mine["indicator"] == indicator.indicator]
        gives = place == len(order) - 1
        yield _trend(indicator, own, known if gives else replace(known, now=None))
