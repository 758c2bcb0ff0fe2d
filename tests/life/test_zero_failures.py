"""Rate bounds and Weibayes against NIST, the reliability library and the chi-square law."""

import numpy as np
import pytest

from bundler.life.fit import fit
from bundler.life.lives import failed_and_running, lives_from
from bundler.life.zero_failures import (
    rate_bounds_per_year,
    rate_upper_per_year,
    weibayes_one_failure_years,
    weibayes_scale_low_years,
    weibayes_scale_years,
)
from tests.life import records


def mean_bounds(exposure: float, failures: float, level: float) -> tuple[float, float]:
    low, high = rate_bounds_per_year(exposure, failures, level=level)
    return 1 / high, 1 / low


def test_nist_two_failures_in_800_hours() -> None:
    """NIST/SEMATECH e-Handbook 8.4.5.1 (data from memory): 90 % 127.069 to 2251.229, 95 % 110.731
    to 3302.929, 60 % 186.958 to 970.416; factors 0.31767 and 5.62807 of the estimate 400; to the rounding of the three decimals printed."""
    assert mean_bounds(800, 2, 0.90) == pytest.approx((127.069, 2251.229), abs=5.1e-4)
    assert mean_bounds(800, 2, 0.95) == pytest.approx((110.731, 3302.929), abs=5.1e-4)
    assert mean_bounds(800, 2, 0.60) == pytest.approx((186.958, 970.416), abs=5.1e-4)
    assert mean_bounds(800, 2, 0.90) == pytest.approx((400 * 0.31767, 400 * 5.62807), rel=1e-5)


def test_reliability_documentation() -> None:
    """reliability library, test planner: one-sided 80 % lower 1101.8815940201118 (10000 h, 6
    failures), two-sided 80 % lower 1658.3248534993454 (19520 h, 7 failures)."""
    assert 1 / rate_upper_per_year(10000, 6, level=0.8) == pytest.approx(
        1101.8815940201118, rel=1e-12
    )
    assert mean_bounds(19520, 7, 0.8)[0] == pytest.approx(1658.3248534993454, rel=1e-12)


def test_no_failure() -> None:
    """NIST/SEMATECH e-Handbook 8.4.5.1, T / -ln(1 - level): 434.2945 (90 %), 1091.3567 (60 %)."""
    assert 1 / rate_upper_per_year(1000, 0, level=0.9) == pytest.approx(434.2945, rel=1e-7)
    assert 1 / rate_upper_per_year(1000, 0, level=0.6) == pytest.approx(1091.3567, rel=1e-7)
    assert rate_bounds_per_year(1000, 0, level=0.9) == (
        0.0,
        rate_upper_per_year(1000, 0, level=0.9),
    )


def test_air_conditioners_ended_by_their_last_failure() -> None:
    """Proschan (1963): exact 95 % limits of the mean, 12 gaps 65.8976 to 209.1741, 24 gaps 44.5941
    to 100.0829 (chi-square with 2 r degrees on both sides)."""
    for total, gaps, known in ((1297, 12, (65.8976, 209.1741)), (1539, 24, (44.5941, 100.0829))):
        low, high = rate_bounds_per_year(total, gaps, level=0.95, ends_at_failure=True)
        assert (1 / high, 1 / low) == pytest.approx(known, rel=1e-6)


def test_weibayes() -> None:
    """Shock absorber with shape 3: 28079.236. None of 10 failed in 1000 h, shape 2.5: 90 % lower
    1799.342, as if one had failed 2511.886 (computed from the formulae)."""
    assert weibayes_scale_years(records.SHOCK, 3.0) == pytest.approx(28079.236, rel=1e-7)
    none = lives_from(1000, np.inf, weight_count=10)
    assert weibayes_scale_low_years(none, 2.5) == pytest.approx(1799.342, rel=1e-6)
    assert weibayes_one_failure_years(none, 2.5) == pytest.approx(2511.886, rel=1e-6)
    assert weibayes_one_failure_years(records.SHOCK, 3.0) == weibayes_scale_years(
        records.SHOCK, 3.0
    )


def test_weibayes_at_the_fitted_shape_is_the_fit() -> None:
    """The likelihood for a known shape has this closed top, also with late entry."""
    for lives in (records.NIST, records.late_record(7)):
        scale, shape = fit(lives, "weibull").parameters.values()
        assert weibayes_scale_years(lives, shape) == pytest.approx(scale, rel=1e-6)


def test_the_bound_holds_as_often_as_it_says() -> None:
    """Seeded: 4,000 lots of 20 items watched to 10 years, shape 2, scale 30, late entry: the 90 %
    lower bound of few failures holds in at least 90 % (it is exact or safe), less 2 points."""
    rng = np.random.default_rng(9)
    held = []
    for _ in range(4000):
        entry = rng.uniform(0, 5, 20)
        age = 30 * np.sqrt((entry / 30) ** 2 + rng.exponential(1, 20))  # given alive at entry
        lives = lives_from(np.minimum(age, 10), np.where(age > 10, np.inf, age), entry_years=entry)
        held.append(weibayes_scale_low_years(lives, 2.0) <= 30)
    assert np.mean(held) > 0.88


def test_long_ages_do_not_overflow() -> None:
    """A shape of 60 at 100,000 h: powers of ages as a share of the longest."""
    lives = failed_and_running([1e5], [1e5])
    assert weibayes_scale_years(lives, 60.0) == pytest.approx(1e5 * 2 ** (1 / 60), rel=1e-12)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="exposure is 0"):
        rate_upper_per_year(0, 1)
    with pytest.raises(ValueError, match="failures_count is -1"):
        rate_bounds_per_year(5, -1)
    with pytest.raises(ValueError, match="confidence level"):
        rate_bounds_per_year(5, 1, level=1.0)
    with pytest.raises(ValueError, match="yet there is no failure"):
        rate_upper_per_year(5, 0, ends_at_failure=True)
    with pytest.raises(ValueError, match="so no estimate of the scale"):
        weibayes_scale_years(lives_from(5, np.inf), 2.0)
    with pytest.raises(ValueError, match="shape_ratio is 0"):
        weibayes_scale_years(records.NIST, 0.0)
    with pytest.raises(ValueError, match="Weibayes needs ages at failure"):
        weibayes_scale_low_years(records.TUBES, 2.0)
    with pytest.raises(ValueError, match="No item has lived yet"):
        weibayes_scale_low_years(lives_from(0, np.inf), 2.0)
    with pytest.raises(ValueError, match="watched over any age"):
        weibayes_scale_low_years(lives_from(5, np.inf, entry_years=5), 2.0)
