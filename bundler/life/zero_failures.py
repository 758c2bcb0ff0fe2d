"""What a record with no or few failures still says: rate bounds, and Weibayes."""

import numpy as np
from scipy import stats

from bundler.life.lives import Lives


def _check(exposure: float, failures: float, level: float) -> None:
    if not 0 < exposure < np.inf:
        raise ValueError(f"The exposure is {exposure:g}; it has to be above 0.")
    if not failures >= 0:
        raise ValueError(f"failures_count is {failures:g}; it has to be 0 or more.")
    if not 0 < level < 1:
        raise ValueError(f"level is {level:g}; a confidence level lies between 0 and 1.")


def rate_upper_per_year(
    exposure_years: float,
    failures_count: float,
    *,
    level: float = 0.90,
    ends_at_failure: bool = False,
) -> float:
    """Return the one-sided upper bound of a constant failure rate [1/year].

    chi2(level; 2 r + 2) / (2 T), or 2 r degrees of freedom where the last failure ended the
    watching; with no failure -ln(1 - level) / T. NIST/SEMATECH e-Handbook 8.4.5.1.
    """
    _check(exposure_years, failures_count, level)
    if ends_at_failure and failures_count == 0:
        raise ValueError("ends_at_failure is set, yet there is no failure; leave it False.")
    degrees = 2 * failures_count + (0 if ends_at_failure else 2)
    return float(stats.chi2.ppf(level, degrees) / (2 * exposure_years))


def rate_bounds_per_year(
    exposure_years: float,
    failures_count: float,
    *,
    level: float = 0.90,
    ends_at_failure: bool = False,
) -> tuple[float, float]:
    """Return two-sided bounds of a constant failure rate [1/year].

    From chi2((1 - level) / 2; 2 r) / (2 T) to `rate_upper_per_year` at (1 + level) / 2. With no
    failure 0 and the one-sided upper bound at `level`, as all error then lies above.
    """
    _check(exposure_years, failures_count, level)
    side = (1 + level) / 2 if failures_count > 0 else level
    high = rate_upper_per_year(
        exposure_years, failures_count, level=side, ends_at_failure=ends_at_failure
    )
    if failures_count == 0:
        return 0.0, high
    low = float(stats.chi2.ppf((1 - level) / 2, 2 * failures_count) / (2 * exposure_years))
    return low, high


def _aged(lives: Lives, shape: float) -> tuple[float, float]:
    """Return sum of w (t / top)^shape lived since entry, and the top age [years]."""
    if not 0 < shape < np.inf:
        raise ValueError(f"shape_ratio is {shape:g}; it has to be above 0.")
    if (~lives.is_exact & ~lives.is_running).any():
        raise ValueError("Weibayes needs ages at failure; records found at inspections have none.")
    top = float(lives.low_years.max(initial=0.0))
    if top == 0:
        raise ValueError("No item has lived yet; a bound needs ages above 0.")
    powers = (lives.low_years / top) ** shape - (lives.entry_years / top) ** shape
    aged = float(lives.weight_count @ powers)
    if not aged > 0:
        raise ValueError("No item was watched over any age; a bound needs ages above the entry.")
    return aged, top


def weibayes_scale_years(lives: Lives, shape_ratio: float) -> float:
    """Return the maximum likelihood scale of a Weibull life with a known shape [years].

    (sum w (t^shape - entry^shape) / r)^(1 / shape). Without a failure there is no estimate: raises
    ValueError then. Abernethy, The New Weibull Handbook, chapter 6 (from memory).
    """
    aged, top = _aged(lives, shape_ratio)
    if lives.failures_count == 0:
        raise ValueError(
            "There is no failure, so no estimate of the scale; use `weibayes_scale_low_years`, or "
            "`weibayes_one_failure_years` as if one were about to come."
        )
    return float(top * (aged / lives.failures_count) ** (1 / shape_ratio))


def weibayes_one_failure_years(lives: Lives, shape_ratio: float) -> float:
    """Return the scale as if one failure were about to come where there is none yet [years]."""
    aged, top = _aged(lives, shape_ratio)
    return float(top * (aged / max(lives.failures_count, 1.0)) ** (1 / shape_ratio))


def weibayes_scale_low_years(lives: Lives, shape_ratio: float, *, level: float = 0.90) -> float:
    """Return the one-sided lower bound of the scale of a Weibull life with a known shape [years].

    Age to the power of the shape is an exponential life, so it is
    (2 sum / chi2(level; 2 r + 2))^(1 / shape); with no failure (sum / -ln(1 - level))^(1 / shape).
    """
    aged, top = _aged(lives, shape_ratio)
    rate = rate_upper_per_year(aged, lives.failures_count, level=level)
    return float(top * rate ** (-1 / shape_ratio))
