"""Where life curves are hard: far tails, kinks, means that do not exist, ages near 0."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

from bundler.life.curves import CURVES, curve_from
from bundler.life.derived import (
    failure_chance,
    hazard,
    mean_residual_years,
    median_residual_years,
    span_to_rise,
)

AGES = st.floats(0.0, 200.0)


def test_gamma_beyond_the_smallest_float() -> None:
    """Shape 3 by its finite sum, -ln(exp(-x)(1 + x + x^2 / 2)) (computed from the formula)."""
    x = np.array([600.0, 660.0, 700.0, 2000.0, 1e5])
    found = curve_from("gamma", 2.0, 3.0).cumulative_hazard(2.0 * x)
    assert found == pytest.approx(x - np.log(1 + x + x**2 / 2), rel=1e-13)


@pytest.mark.parametrize("shape", [0.05, 0.7, 3.3, 50.0])
def test_gamma_has_no_seam(shape: float) -> None:
    """Where the tail takes over H still rises evenly: its slope stays near 1 / scale."""
    x = np.linspace(600.0, 900.0, 3001)
    slope = np.diff(curve_from("gamma", 1.0, shape).cumulative_hazard(x)) / 0.1
    assert np.diff(slope) == pytest.approx(0, abs=1e-4)


@pytest.mark.parametrize("kind", ["weibull", "lognormal", "gamma"])
def test_young_ages_keep_their_digits(kind: str) -> None:
    """H at a ten-thousandth of the life equals scipy's distribution function to 1e-12."""
    known = {
        "weibull": stats.weibull_min(3.0, scale=20.0),
        "lognormal": stats.lognorm(3.0, scale=20.0),
        "gamma": stats.gamma(3.0, scale=20.0),
    }[kind]
    found = curve_from(kind, 20.0, 3.0).cumulative_hazard(np.array([0.0, 0.002]))
    assert found == pytest.approx([0.0, -np.log1p(-known.cdf(0.002))], rel=1e-12)


def test_lognormal_far_tail() -> None:
    """H = -ln Phi(-z) at z of 60 by the asymptotic series of Mills' ratio (DLMF 7.12.1)."""
    z = 60.0
    found = float(curve_from("lognormal", 10.0, 0.2).cumulative_hazard(10 * np.exp(0.2 * z)))
    series = np.log(1 - 1 / z**2 + 3 / z**4 - 15 / z**6)
    assert found == pytest.approx(z**2 / 2 + np.log(z * np.sqrt(2 * np.pi)) - series, rel=1e-12)


def test_means_of_hard_curves() -> None:
    """Heavy tail (shape 0.3, mean scale x Gamma(1 + 1/0.3)), sharp kink after a guarantee, quiet
    start, and a life that a part never ends (computed from the textbook formulae)."""
    heavy = mean_residual_years(curve_from("weibull", 3.0, 0.3), 0.0)
    assert heavy == pytest.approx(3 * special.gamma(1 + 1 / 0.3), rel=1e-10)
    sharp = mean_residual_years(curve_from("weibull", 1e-3, 3.0, 5.0), 0.0)
    assert sharp == pytest.approx(5 + 1e-3 * special.gamma(4 / 3), rel=1e-9)
    quiet = curve_from("stepped", 1.0, 1.0, 0.0, ((0.0, 5.0), (0.0, 0.3)))
    assert mean_residual_years(quiet, 0.0) == pytest.approx(5 + 1 / 0.3, rel=1e-9)
    forever = curve_from("stepped", 1.0, 1.0, 0.0, ((0.0, 5.0), (0.1, 0.0)))
    assert mean_residual_years(forever, 0.0) == np.inf
    assert median_residual_years(forever, 0.0) == np.inf


def test_hazard_at_kinks_and_at_zero() -> None:
    """A stepped rate is told without smearing, a Weibull hazard at 0 is 0, 1 / scale or inf."""
    steps = curve_from("stepped", 1.0, 1.0, 0.0, ((0.0, 5.0), (0.1, 0.4)))
    assert hazard(steps, np.array([0.0, 4.999999, 5.0])) == pytest.approx([0.1, 0.1, 0.4])
    for shape, start in ((2.0, 0.0), (1.0, 0.1), (0.5, np.inf)):
        assert float(hazard(curve_from("weibull", 10.0, shape), np.array(0.0))) == start
    assert float(hazard(curve_from("weibull", 10.0, 0.5, 3.0), np.array(2.0))) == 0.0


@pytest.mark.parametrize("shape", [0.5, 3.0, 50.0])
def test_hazard_by_difference(shape: float) -> None:
    """Gamma hazard from H alone equals scipy's density over survival to 1e-7."""
    ages = np.array([0.5, 10.0, 60.0]) * shape / 10
    known = stats.gamma(shape, scale=2.0)
    found = hazard(curve_from("gamma", 2.0, shape), ages)
    assert found == pytest.approx(known.pdf(ages) / known.sf(ages), rel=1e-7)


@given(st.sampled_from(sorted(CURVES)), st.floats(0.5, 80.0), st.floats(0.3, 6.0), AGES, AGES)
def test_chances_are_chances(kind: str, life: float, shape: float, age: float, span: float) -> None:
    """Any curve, any age: H(0) = 0 and never falls, a chance lies in 0 to 1 and grows with time."""
    steps = ((0.0, life, 3 * life), (0.1, 0.02, shape))
    curve = curve_from(kind, life, shape, 0.0, steps)
    first, second = failure_chance(curve, np.array(age), np.array([span, 2 * span]))
    assert 0 <= first <= second <= 1
    held = curve.cumulative_hazard(np.array([0.0, age, age + span]))
    assert held[0] == 0 and held[0] <= held[1] <= held[2]


@given(st.floats(0.5, 80.0), st.floats(0.3, 6.0), AGES, st.floats(1e-6, 20.0))
def test_span_to_rise_is_the_inverse(life: float, shape: float, age: float, rise: float) -> None:
    """For a Weibull the span is scale (H + rise) ** (1 / shape) less the age (textbook formula)."""
    curve = curve_from("weibull", life, shape)
    span = span_to_rise(curve, age, rise)
    wanted = life * ((age / life) ** shape + rise) ** (1 / shape) - age
    assert span == pytest.approx(wanted, rel=1e-6, abs=1e-9 * (age + 1))


def test_an_unknown_word_is_named() -> None:
    """A curve that columns.csv does not know is refused with the words that it knows."""
    with pytest.raises(ValueError, match="'bathtub' is not a life curve; the curves are exp"):
        curve_from("bathtub", 1.0, 1.0)
