"""First passage of wear with one uncertain number or process, against closed forms and scipy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, special, stats

from bundler.life.curves import LifeCurve
from bundler.life.derived import (
    failure_chance,
    mean_residual_years,
    median_residual_years,
    survival,
)
from bundler.life.passage import GammaPassage, LognormalRate, NormalRate, WienerPassage
from tests.life.contract import keeps_contract

CURVES: list[LifeCurve] = [
    NormalRate(3.0, 0.25, 0.05), NormalRate(3.0, -0.1, 0.2), LognormalRate(3.0, 0.25, 0.2),
    WienerPassage(3.0, 0.25, 0.2), WienerPassage(3.0, 0.0, 0.5), WienerPassage(3.0, -0.05, 0.4),
    WienerPassage(3.0, 2.0, 0.01), GammaPassage(3.0, 1.0, 0.25), GammaPassage(3.0, 0.01, 9.0),
    GammaPassage(300.0, 2000.0, 0.01),
]  # fmt: skip


def gone(curve: LifeCurve, ages: list[float]) -> np.ndarray:
    return failure_chance(curve, np.array(0.0), np.array(ages))


def inverse_gaussian(margin: float, drift: float, sigma: float) -> stats.rv_continuous:
    """Mean margin / drift and shape margin^2 / sigma^2, as scipy writes it."""
    shape = (margin / sigma) ** 2
    return stats.invgauss(mu=margin / drift / shape, scale=shape)


@pytest.mark.parametrize("curve", CURVES, ids=str)
def test_contract(curve: LifeCurve) -> None:
    keeps_contract(curve)
    assert np.isfinite(curve.cumulative_hazard(np.array(1e100)))


def test_random_rates() -> None:
    """Closed forms: rate normal(0.25, 0.05), margin 3: F(10) = Phi(-1) = 0.158655254, F(12) = 0.5;
    rate lognormal with median 0.25, sigma 0.2: a lognormal life with median 12, sigma 0.2, so
    F(10) = Phi(ln(10 / 12) / 0.2) = 0.180987612 (erfc, scipy.stats.lognorm, and quadrature of
    the rate's density)."""
    assert gone(NormalRate(3.0, 0.25, 0.05), [10.0, 12.0]) == pytest.approx(
        [0.158655254, 0.5], rel=1e-8
    )
    curve, known = LognormalRate(3.0, 0.25, 0.2), stats.lognorm(0.2, scale=12.0)
    assert gone(curve, [10.0]) == pytest.approx([0.180987612], rel=5e-9)
    ages = np.array([1.0, 6.0, 20.0, 60.0])
    assert -curve.cumulative_hazard(ages) == pytest.approx(known.logsf(ages), rel=1e-12, abs=0)


def test_items_that_do_not_wear_never_fail() -> None:
    """A share Phi(-mean / sd) = Phi(-1) of the rates is below 0 (definition)."""
    curve = NormalRate(3.0, 0.1, 0.1)
    assert survival(curve, np.array(1e12)) == pytest.approx(stats.norm.cdf(-1.0), rel=1e-9)
    assert mean_residual_years(curve, 0.0) == np.inf


def test_normal_rate_in_both_tails() -> None:
    """ln F and ln S equal scipy's normal logcdf and logsf to 1e-12, to chances of 1e-300."""
    curve = NormalRate(3.0, 0.25, 0.05)
    young = np.array([1.5, 2.0, 5.0])
    assert np.log(gone(curve, list(young))) == pytest.approx(
        stats.norm.logsf((3 / young - 0.25) / 0.05), rel=1e-12
    )
    sure = NormalRate(3.0, 2.5, 0.05)
    old = np.array([2.0, 5.0, 50.0])
    assert -sure.cumulative_hazard(old) == pytest.approx(
        stats.norm.logcdf((3 / old - 2.5) / 0.05), rel=1e-12
    )


def test_wiener_by_its_closed_form() -> None:
    """Drift 0.25, sigma 0.2, margin 3: inverse Gaussian with mean 12, variance 7.68 (margin
    sigma^2 / drift^3) and F(10) = 0.247733348 (closed form and scipy.stats.invgauss)."""
    curve, known = WienerPassage(3.0, 0.25, 0.2), inverse_gaussian(3.0, 0.25, 0.2)
    assert gone(curve, [10.0]) == pytest.approx([0.247733348], rel=2e-9)
    assert mean_residual_years(curve, 0.0) == pytest.approx(12.0, rel=1e-11)
    second = integrate.quad(lambda t: 2 * t * float(survival(curve, np.array(t))), 0, 200)[0]
    assert second - 144.0 == pytest.approx(7.68, rel=1e-8)
    ages = np.array([0.4, 0.5, 2.0, 8.0, 12.0, 13.0, 30.0, 200.0, 3000.0])
    assert gone(curve, list(ages[:5])) == pytest.approx(known.cdf(ages[:5]), rel=1e-11, abs=0)
    assert -curve.cumulative_hazard(ages) == pytest.approx(known.logsf(ages), rel=1e-11, abs=0)


@given(st.floats(0.05, 20.0), st.floats(0.01, 5.0), st.floats(0.02, 5.0), st.floats(0.05, 20.0))
def test_any_wiener_passage_equals_scipy(
    margin: float, drift: float, sigma: float, part: float
) -> None:
    """scipy.stats.invgauss at any age; where it runs out of digits (F next to 0) both are 0."""
    age = np.array(part * margin / drift)
    found = float(WienerPassage(margin, drift, sigma).cumulative_hazard(age))
    known = inverse_gaussian(margin, drift, sigma)
    cumulative = -float(known.logsf(age))
    assert found == pytest.approx(cumulative, rel=2e-7, abs=1e-13)


def test_a_wiener_process_without_drift() -> None:
    """First passage of a Brownian motion is a Levy life, S = erf(margin / (sigma sqrt(2 t)))."""
    ages = np.array([0.1, 1.0, 36.0, 1e4, 1e20])
    found = survival(WienerPassage(3.0, 0.0, 0.5), ages)
    assert found == pytest.approx(special.erf(3.0 / (0.5 * np.sqrt(2 * ages))), rel=1e-9, abs=0)
    assert gone(WienerPassage(3.0, 0.0, 0.5), [1.0]) == pytest.approx(
        [stats.levy(scale=36.0).cdf(1.0)], rel=1e-12
    )


def test_a_wiener_process_that_drifts_away() -> None:
    """Drift -0.05, sigma 0.4, margin 3: a share exp(-2 x 0.05 x 3 / 0.16) is ever hit, and those
    are hit as soon as with the drift turned round (textbook results on Brownian motion)."""
    away, there = WienerPassage(3.0, -0.05, 0.4), WienerPassage(3.0, 0.05, 0.4)
    share = np.exp(-0.3 / 0.16)
    assert gone(away, [1e9]) == pytest.approx([share], rel=1e-12)
    ages = [0.5, 20.0, 60.0, 300.0]
    assert gone(away, ages) == pytest.approx(share * gone(there, ages), rel=1e-12, abs=0)
    nearly = [WienerPassage(3.0, drift, 0.4) for drift in (-1e-9, 0.0, 1e-9)]
    low, middle, high = (float(curve.cumulative_hazard(np.array(80.0))) for curve in nearly)
    assert low == pytest.approx(middle, rel=1e-7) and high == pytest.approx(middle, rel=1e-7)


def test_wiener_paths() -> None:
    """20,000 seeded paths of 0.01-year steps, corrected for what a step hides (the limit lies
    0.5826 sigma sqrt(step) farther: Broadie, Glasserman and Kou 1997, from memory), within four
    standard errors."""
    rng, count, step = np.random.default_rng(7), 20_000, 0.01
    level, hit = np.zeros(count), np.zeros(count, dtype=bool)
    limit = 1.0 - 0.5826 * 0.6 * step**0.5
    for _ in range(300):
        level += 0.3 * step + 0.6 * step**0.5 * rng.standard_normal(count)
        hit |= level >= limit
    chance = float(gone(WienerPassage(1.0, 0.3, 0.6), [3.0])[0])
    assert hit.mean() == pytest.approx(chance, abs=4 * (chance * (1 - chance) / count) ** 0.5)


def test_gamma_process() -> None:
    """Shape 1 a year, scale 0.25, margin 3: F(8), F(10), F(12), F(15), median, mean 12.5 and
    standard deviation 3.452053 (closed form of van Noortwijk 2009, from memory; recomputed)."""
    curve = GammaPassage(3.0, 1.0, 0.25)
    wanted = [0.089504497, 0.242392162, 0.461597333, 0.772024532]
    assert gone(curve, [8.0, 10.0, 12.0, 15.0]) == pytest.approx(wanted, rel=1e-8)
    assert median_residual_years(curve, 0.0) == pytest.approx(12.331684, rel=1e-7)
    mean = mean_residual_years(curve, 0.0)
    assert mean == pytest.approx(12.5, rel=1e-6)
    second = integrate.quad(lambda t: 2 * t * float(survival(curve, np.array(t))), 0, 80)[0]
    assert (second - mean**2) ** 0.5 == pytest.approx(3.452053, rel=1e-6)


@given(st.floats(0.01, 50.0), st.floats(0.01, 20.0), st.floats(0.01, 5.0), st.floats(0.01, 100.0))
def test_any_gamma_passage_equals_scipy(
    margin: float, shape: float, scale: float, age: float
) -> None:
    """1 - F is the chance that the wear, gamma distributed, is below the margin; where
    scipy.stats runs out of digits (-inf) H is beyond ln of the smallest float."""
    wear = stats.gamma(shape * age, scale=scale)
    found = -float(GammaPassage(margin, shape, scale).cumulative_hazard(np.array(age)))
    known = float(wear.logcdf(margin))
    if np.isinf(known):
        assert found < -650
    else:
        assert found == pytest.approx(known, rel=1e-7, abs=1e-15)


def test_gamma_passage_beyond_the_smallest_float() -> None:
    """With a whole shape n, P(n, x) = exp(-x) sum_{k >= n} x^k / k!, summed in logs from the
    formula; the tail joins what scipy still knows without a seam."""
    curve, x = GammaPassage(3.0, 1.0, 0.25), 12.0
    for n in (150.0, 171.0, 400.0, 5000.0):
        k = n + np.arange(3000)
        wanted = special.logsumexp(k * np.log(x) - x - special.gammaln(k + 1))
        assert -float(curve.cumulative_hazard(np.array(n))) == pytest.approx(wanted, rel=1e-12)
    steady, x = GammaPassage(1e8, 1.0, 1.0), 1e8  # ratios of 0.996: the rest counts
    k = 1.0038e8 + np.arange(40_000)
    wanted = special.logsumexp(k * np.log(x) - x - special.gammaln(k + 1))
    assert -float(steady.cumulative_hazard(np.array(1.0038e8))) == pytest.approx(wanted, rel=2e-6)
    ages = np.linspace(140.0, 220.0, 4001)
    slope = np.diff(curve.cumulative_hazard(ages)) / 0.02
    assert np.abs(np.diff(slope)).max() < 1e-3


def test_a_slow_start_of_the_gamma_process() -> None:
    """For a short time F = a t E1(margin / scale) (first term of the series in the shape)."""
    found = gone(GammaPassage(3.0, 1.0, 0.25), [1e-9, 1e-6])
    assert found == pytest.approx(special.exp1(12.0) * np.array([1e-9, 1e-6]), rel=1e-5, abs=0)


@pytest.mark.parametrize("curve", [NormalRate, LognormalRate, WienerPassage, GammaPassage])
def test_no_margin_is_no_life(curve: type) -> None:
    for margin in (0.0, -1.0, float("nan")):
        with pytest.raises(ValueError, match="margin is .* above 0"):
            curve(margin, 0.2, 0.1)
    with pytest.raises(ValueError, match="above 0"):
        curve(3.0, 0.2, 0.0)
