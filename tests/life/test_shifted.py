"""Curves around curves: counting from a reading, and stretching a life."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bundler.life.curves import Gamma, Weibull
from bundler.life.derived import (
    failure_chance,
    hazard,
    mean_residual_years,
    median_residual_years,
)
from bundler.life.shifted import Since, Stretched, scaled
from tests.life.contract import keeps_contract

WEIBULL = Weibull(2.5, 30.0)
AGES = np.linspace(0.0, 90.0, 181)


@pytest.mark.parametrize(
    "curve",
    [
        Since(WEIBULL, 5.0), Since(Gamma(3.0, 4.0), 0.0), Stretched(WEIBULL, 1.7),
        Stretched(Gamma(3.0, 4.0), 0.2), Since(Stretched(WEIBULL, 3.0), 2.5),
    ],
)  # fmt: skip
def test_contract(curve: Since | Stretched) -> None:
    keeps_contract(curve)


def test_nothing_fails_before_the_reading() -> None:
    """H is 0 up to the reading; from there the chances are those of a new item (by hand)."""
    curve = Since(WEIBULL, 12.0)
    assert (curve.cumulative_hazard(np.array([0.0, 5.0, 12.0])) == 0).all()
    found = failure_chance(curve, np.array([12.0, 20.0]), np.array(3.0))
    assert found == pytest.approx(failure_chance(WEIBULL, np.array([0.0, 8.0]), np.array(3.0)))
    assert mean_residual_years(curve, 12.0) == pytest.approx(mean_residual_years(WEIBULL, 0.0))


def test_a_guarantee_time_is_a_reading_known_good() -> None:
    """A Weibull with a guarantee time g is the Weibull since g, its hazard at the kink as well."""
    other = Weibull(0.7, 30.0, 12.0)
    curve = Since(Weibull(0.7, 30.0), 12.0)
    assert curve.cumulative_hazard(AGES) == pytest.approx(other.cumulative_hazard(AGES), rel=1e-13)
    assert hazard(curve, AGES) == pytest.approx(hazard(other, AGES), rel=1e-13)


def test_hazard_of_what_states_none() -> None:
    """The stretched gamma life is a gamma life with its scale stretched."""
    ages = np.array([0.5, 4.0, 20.0])
    found = hazard(Stretched(Gamma(3.0, 4.0), 1.5), ages)
    assert found == pytest.approx(hazard(Gamma(3.0, 6.0), ages), rel=1e-9)


@given(st.floats(0.05, 20.0), st.floats(0.05, 20.0), st.floats(0.4, 6.0))
def test_scaled_lives(first: float, second: float, shape: float) -> None:
    """Scaling a Weibull scales its scale; twice is once by the product."""
    curve = scaled(scaled(Weibull(shape, 30.0), first), second)
    assert not isinstance(getattr(curve, "curve", None), Stretched)
    wanted = Weibull(shape, 30.0 * first * second).cumulative_hazard(AGES)
    assert curve.cumulative_hazard(AGES) == pytest.approx(wanted, rel=1e-9)


def test_only_the_life_from_the_reading_is_scaled() -> None:
    """Twice the life left from 12: the median moves from 12 + m to 12 + 2 m."""
    curve = scaled(scaled(Since(WEIBULL, 12.0), 4.0), 0.5)
    assert isinstance(curve, Since) and curve.from_age_years == 12.0
    left = median_residual_years(WEIBULL, 0.0)
    assert median_residual_years(curve, 12.0) == pytest.approx(2 * left, rel=1e-12)


def test_a_ratio_of_one_is_the_curve_itself() -> None:
    assert scaled(WEIBULL, 1.0) == WEIBULL
    assert scaled(scaled(WEIBULL, 4.0), 0.25) == WEIBULL
    assert scaled(Since(WEIBULL, 3.0), 1.0) == Since(WEIBULL, 3.0)


@pytest.mark.parametrize("ratio", [0.0, -1.0, float("nan")])
def test_a_ratio_has_to_be_above_zero(ratio: float) -> None:
    for make in (scaled, Stretched):
        with pytest.raises(ValueError, match="above 0"):
            make(WEIBULL, ratio)


@pytest.mark.parametrize("age", [-1.0, float("inf"), float("nan")])
def test_a_reading_has_an_age(age: float) -> None:
    with pytest.raises(ValueError, match="age of 0 or more"):
        Since(WEIBULL, age)
