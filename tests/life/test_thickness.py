"""Wall thickness: printed examples, edges, and a case told as mean and spread (invented)."""

from datetime import date

import numpy as np
import pytest
from scipy import stats

from bundler.life.derived import failure_chance
from bundler.life.thickness import (
    Wall,
    chance_below,
    combined_with_rate,
    inspection_interval_years,
    loss_rate_mm_per_year,
    loss_rate_sd_mm_per_year,
    remaining_years,
    wall_ahead,
    wall_curve,
    wall_from_readings,
)
from tests.life.contract import keeps_contract

#: made up: an elbow of a steam line, read 2024-10
ELBOW = Wall(8.3, 0.2, 5.0, 0.31, 0.06)


def array(*values: float) -> np.ndarray:
    return np.array(values)


def test_printed_example() -> None:
    """API 570 section 7.1 (a worked sheet): 3.24 mm, required 0.37 mm, 0.34 mm/y: 8.441176 y or
    101.2941 months (printed 8.441, 101.3); long-term rate (7.8 - 3.24) / 15 = 0.304 mm/y."""
    left = remaining_years(array(3.24), array(0.37), array(0.34))
    assert left == pytest.approx([8.441176], rel=1e-6)
    assert 12 * left == pytest.approx([101.2941], rel=1e-6)
    assert loss_rate_mm_per_year(array(7.8), array(3.24), array(15.0)) == pytest.approx([0.304])


def test_half_life_interval() -> None:
    """9.5, 8.6, 8.1 mm over 10 and 4 years, required 5.6 (exact): rates 0.14 and 0.125, life
    17.857143 y, half of it 8.928571 y; class maxima 5 and 10 y (API 570, from memory)."""
    rates = loss_rate_mm_per_year(array(9.5, 8.6), array(8.1, 8.1), array(10.0, 4.0))
    assert rates == pytest.approx([0.14, 0.125], rel=1e-12)
    left = remaining_years(array(8.1), array(5.6), rates.max())
    assert left == pytest.approx([2.5 / 0.14], rel=1e-12)
    assert inspection_interval_years(left, array(10.0)) == pytest.approx([2.5 / 0.28], rel=1e-12)
    assert inspection_interval_years(left, array(5.0)) == pytest.approx([5.0])
    safer = remaining_years(array(8.1), array(5.6), rates.max(), safety_ratio=1.1)
    assert safer == pytest.approx(left / 1.1)


def test_edges() -> None:
    """No loss or a growing wall lasts for ever, inspected at the class maximum; a wall at or below
    the required one has no life left, whatever its rate."""
    thickness, rate = array(8.0, 8.0, 5.0, 4.9, 4.9), array(0.0, -0.1, 0.2, 0.2, -0.2)
    left = remaining_years(thickness, array(5.0), rate)
    assert list(left) == [np.inf, np.inf, 0.0, 0.0, 0.0]
    assert list(inspection_interval_years(left, array(10.0))) == [10.0, 10.0, 0.0, 0.0, 0.0]


def test_the_error_of_a_rate() -> None:
    """sqrt(0.2^2 + 0.15^2) / 5 = 0.05 (propagation of errors)."""
    found = loss_rate_sd_mm_per_year(array(0.2), array(0.15), array(5.0))
    assert found == pytest.approx([0.05], rel=1e-12)


def test_an_elbow_between_two_outages() -> None:
    """By 2034-09 expected 5.22 +/- 0.63 mm against 5.0: 36 % chance below; by 2031-10 under 1 %
    (figures made up by hand in a description of the trade, to their printed digits)."""
    read = date(2024, 10, 1)
    late, early = ((day - read).days / 365.25 for day in (date(2034, 9, 1), date(2031, 10, 1)))
    mean, sd = wall_ahead(ELBOW, np.array(late))
    assert (float(mean), float(sd)) == pytest.approx((5.22, 0.63), abs=0.006)
    assert float(chance_below(ELBOW, np.array(late))) == pytest.approx(0.36, abs=0.005)
    assert float(chance_below(ELBOW, np.array(early))) == pytest.approx(0.0076, abs=1e-4)
    as_life = failure_chance(wall_curve(ELBOW), np.array(0.0), np.array([early, late]))
    assert as_life == pytest.approx(chance_below(ELBOW, np.array([early, late])), rel=1e-12, abs=0)
    keeps_contract(wall_curve(ELBOW))


def test_two_readings_make_a_wall() -> None:
    """Against seeded draws of both reading errors: the forecast 6 years on has their spread."""
    wall = wall_from_readings((8.6, 0.15), (8.1, 0.2), 4.0, 5.6)
    assert wall.rate_mm_per_year == pytest.approx(0.125)
    rng = np.random.default_rng(4)
    before, now = 8.6 + 0.15 * rng.standard_normal(10**6), 8.1 + 0.2 * rng.standard_normal(10**6)
    ahead = now - 6.0 * (before - now) / 4.0
    mean, sd = wall_ahead(wall, np.array(6.0))
    assert float(mean) == pytest.approx(ahead.mean(), abs=4 * float(sd) / 1000)
    assert float(sd) == pytest.approx(ahead.std(), rel=4e-3)
    assert float(sd) == pytest.approx(((2.5 * 0.2) ** 2 + (1.5 * 0.15) ** 2) ** 0.5, rel=1e-12)
    below = float(chance_below(wall, np.array(6.0)))
    assert below == pytest.approx(float(stats.norm.cdf(5.6, mean, sd)), rel=1e-12)


def test_an_assumed_rate_and_a_measured_one() -> None:
    """The two readings and the assumed rate as three observations of thickness and rate, by
    weighted least squares (numpy): the same mean and covariance."""
    wall = combined_with_rate(wall_from_readings((8.6, 0.15), (8.1, 0.2), 4.0, 5.6), 0.2, 0.03)
    design = np.array([[1.0, 4.0], [1.0, 0.0], [0.0, 1.0]]) / np.array([[0.15], [0.2], [0.03]])
    seen = np.array([8.6 / 0.15, 8.1 / 0.2, 0.2 / 0.03])
    spread = np.linalg.inv(design.T @ design)
    mean = spread @ design.T @ seen
    assert (wall.thickness_mm, wall.rate_mm_per_year) == pytest.approx(tuple(mean), rel=1e-10)
    assert wall.thickness_sd_mm == pytest.approx(spread[0, 0] ** 0.5, rel=1e-10)
    assert wall.rate_sd_mm_per_year == pytest.approx(spread[1, 1] ** 0.5, rel=1e-10)
    correlation = spread[0, 1] / (spread[0, 0] * spread[1, 1]) ** 0.5
    assert wall.correlation_ratio == pytest.approx(correlation, rel=1e-10)


def test_independent_rates_weigh_by_their_errors() -> None:
    """Normal with normal: 0.31 +/- 0.06 and 0.2 +/- 0.03 give (0.31 / 36 + 0.2 / 9) / (1 / 36 +
    1 / 9) = 0.222 and sd 1 / sqrt(1 / 0.0036 + 1 / 0.0009); the thickness stays."""
    wall = combined_with_rate(ELBOW, 0.2, 0.03)
    assert wall.rate_mm_per_year == pytest.approx(0.222)
    assert wall.rate_sd_mm_per_year == pytest.approx((1 / 0.0036 + 1 / 0.0009) ** -0.5)
    assert (wall.thickness_mm, wall.thickness_sd_mm) == pytest.approx((8.3, 0.2))
    assert wall.correlation_ratio == 0


def test_refused() -> None:
    with pytest.raises(ValueError, match="span"):
        loss_rate_mm_per_year(array(9.0), array(8.0), array(0.0))
    with pytest.raises(ValueError, match="error of a thickness"):
        wall_from_readings((8.6, 0.15), (8.1, 0.0), 4.0, 5.6)
    with pytest.raises(ValueError, match="assumed rate"):
        combined_with_rate(ELBOW, 0.2, 0.0)
    with pytest.raises(ValueError, match="without any error"):
        chance_below(Wall(8.3, 0.0, 5.0, 0.31, 0.0), array(3.0))
