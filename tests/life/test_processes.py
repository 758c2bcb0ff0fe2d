"""Wiener and gamma processes from readings, against scipy fits, the full likelihood and draws."""

import numpy as np
import pytest
from scipy import optimize, stats

from bundler.life.processes import fit_gamma, fit_wiener

SPANS = np.array([1.0, 0.5, 2.0, 1.5, 1.0, 3.0])
GROWTHS = np.array([0.31, 0.10, 0.42, 0.55, 0.17, 0.93])
TIMES, VALUES = np.append(0.0, SPANS.cumsum()), 2.0 + np.append(0.0, GROWTHS.cumsum())
ONE = np.zeros(7)


def drawn(rng: np.random.Generator, noise: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return 40 items with 15 readings each: drift 0.25, sigma 0.2, a reading error."""
    spans = rng.uniform(0.3, 1.2, (40, 15))
    steps = 0.25 * spans + 0.2 * np.sqrt(spans) * rng.standard_normal((40, 15))
    values = steps.cumsum(axis=1) + noise * rng.standard_normal((40, 15))
    return np.repeat(np.arange(40), 15), spans.cumsum(axis=1).ravel(), values.ravel()


def test_wiener_by_its_closed_form() -> None:
    """Drift = all growth / all time, sigma^2 = mean (growth - drift span)^2 / span (textbook)."""
    fit = fit_wiener(ONE, TIMES, VALUES)
    drift = GROWTHS.sum() / SPANS.sum()
    sigma = ((GROWTHS - drift * SPANS) ** 2 / SPANS).mean() ** 0.5
    assert fit.drift_per_year == pytest.approx(drift, rel=1e-12)
    assert fit.sigma_per_root_year == pytest.approx(sigma, rel=1e-12)
    assert fit.drift_sd_per_year == pytest.approx(sigma / SPANS.sum() ** 0.5, rel=1e-12)
    even = fit_wiener(ONE, np.arange(7.0), VALUES)
    assert (even.drift_per_year, even.sigma_per_root_year) == pytest.approx(stats.norm.fit(GROWTHS))


def test_wiener_with_a_reading_error() -> None:
    """The most likely drift and sigma by scipy's multivariate normal of the readings of two items
    as they are (levels free), found by Nelder-Mead: to 1e-4."""
    rng = np.random.default_rng(5)
    items, times, values = (column[:30] for column in drawn(rng, 0.1))
    fit = fit_wiener(items, times, values, 0.1)

    def misfit(x: np.ndarray) -> float:
        total = 0.0
        for item in (0, 1):
            t, v = times[items == item], values[items == item]
            lift = np.eye(len(t))[1:] - np.eye(len(t))[0]  # what is left when the level is free
            spread = np.exp(2 * x[1]) * np.minimum.outer(t, t) + 0.01 * np.eye(len(t))
            law = stats.multivariate_normal(x[0] * lift @ t, lift @ spread @ lift.T)
            total -= float(law.logpdf(lift @ v))
        return total

    best = optimize.minimize(
        misfit, [0.2, -1.5], method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-10}
    )
    assert fit.drift_per_year == pytest.approx(best.x[0], rel=1e-4)
    assert fit.sigma_per_root_year == pytest.approx(np.exp(best.x[1]), rel=1e-4)


def test_a_reading_error_is_not_taken_for_wandering() -> None:
    """Seeded draws with error 0.15: sigma 0.2 comes back within 10 %, while leaving the error out
    makes it a third too large; the drift within four standard errors."""
    items, times, values = drawn(np.random.default_rng(2), 0.15)
    with_error, without = fit_wiener(items, times, values, 0.15), fit_wiener(items, times, values)
    assert with_error.sigma_per_root_year == pytest.approx(0.2, rel=0.1)
    assert without.sigma_per_root_year > 0.26
    assert abs(with_error.drift_per_year - 0.25) < 4 * with_error.drift_sd_per_year


def test_the_error_may_explain_all() -> None:
    """A straight line read with an error: sigma is 0 and the drift its least-squares slope, which
    is what a Wiener process of sigma 0 with a free level is (generalised least squares)."""
    t = np.arange(8.0)
    v = 1.0 + 0.3 * t + np.array([0.02, -0.03, 0.01, 0.02, -0.02, 0.0, 0.01, -0.01])
    fit = fit_wiener(np.zeros(8), t, v, 0.1)
    assert fit.sigma_per_root_year == pytest.approx(0.0, abs=1e-9)
    assert fit.drift_per_year == pytest.approx(np.polyfit(t, v, 1)[0], rel=1e-9)
    assert fit.drift_sd_per_year == pytest.approx(
        0.1 / ((t - t.mean()) ** 2).sum() ** 0.5, rel=1e-9
    )


def test_no_scatter_and_the_order_of_rows() -> None:
    """Exact lines have no sigma; shuffled rows of two items are the same readings."""
    fit = fit_wiener([0, 0, 0], [0.0, 1.0, 3.0], [0.0, 0.5, 1.5])
    assert fit.drift_per_year == pytest.approx(0.5)
    assert fit.sigma_per_root_year == pytest.approx(0.0, abs=1e-12)
    items, times, values = (
        np.repeat(["a", "b"], 7),
        np.tile(TIMES, 2),
        np.append(VALUES, VALUES + 9),
    )
    order = np.random.default_rng(1).permutation(14)
    twice, shuffled = (
        fit_wiener(items, times, values, 0.05),
        fit_wiener(items[order], times[order], values[order], 0.05),
    )
    assert twice == shuffled
    assert twice.drift_per_year == pytest.approx(
        fit_wiener(ONE, TIMES, VALUES, 0.05).drift_per_year
    )


def test_gamma_on_even_spans_is_a_gamma_fit() -> None:
    """With readings every year the growths are a gamma sample: scipy.stats.gamma.fit to 1e-6."""
    fit = fit_gamma(ONE, np.arange(7.0), VALUES)
    shape, _, scale = stats.gamma.fit(GROWTHS, floc=0)
    assert (fit.shape_per_year, fit.scale) == pytest.approx((shape, scale), rel=1e-6)
    half = fit_gamma(ONE, np.arange(7.0) / 2, VALUES)
    assert (half.shape_per_year, half.scale) == pytest.approx((2 * shape, scale), rel=1e-6)


def test_gamma_on_uneven_spans_is_the_most_likely() -> None:
    """Nelder-Mead on scipy's log-density of the growths: to 1e-5; the mean wear is exact."""
    fit = fit_gamma(ONE, TIMES, VALUES)

    def misfit(x: np.ndarray) -> float:
        law = stats.gamma(np.exp(x[0]) * SPANS, scale=np.exp(x[1]))
        return -float(law.logpdf(GROWTHS).sum())

    best = optimize.minimize(
        misfit, [1.0, -1.0], method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12}
    )
    assert (fit.shape_per_year, fit.scale) == pytest.approx(tuple(np.exp(best.x)), rel=1e-5)
    assert fit.shape_per_year * fit.scale == pytest.approx(GROWTHS.sum() / SPANS.sum(), rel=1e-12)


@pytest.mark.parametrize("unit", [1e-3, 1.0, 1e4])
def test_gamma_of_draws(unit: float) -> None:
    """1,000 seeded growths of shape 1 a year, scale 0.25, in years or not: shape within 10 %."""
    rng = np.random.default_rng(3)
    spans = rng.uniform(0.2, 3.0, 1000)
    values = np.append(0.0, rng.gamma(spans, 0.25).cumsum())
    fit = fit_gamma(np.zeros(1001), unit * np.append(0.0, spans.cumsum()), values)
    assert fit.shape_per_year * unit == pytest.approx(1.0, rel=0.1)
    assert fit.scale == pytest.approx(0.25, rel=0.12)


def test_what_is_no_process() -> None:
    with pytest.raises(ValueError, match="1 steps between readings"):
        fit_wiener([0, 0], [0.0, 1.0], [0.0, 1.0])
    with pytest.raises(ValueError, match="different times"):
        fit_wiener([0, 0, 0], [0.0, 1.0, 1.0], [0.0, 1.0, 1.2])
    with pytest.raises(ValueError, match="1 do not grow"):
        fit_gamma([0, 0, 0], [0.0, 1.0, 2.0], [0.0, 1.0, 1.0])
    with pytest.raises(ValueError, match="same rate"):
        fit_gamma([0, 0, 0], [0.0, 1.0, 3.0], [0.0, 0.5, 1.5])
    with pytest.raises(ValueError, match="0 or more"):
        fit_wiener([0, 0, 0], [0.0, 1.0, 2.0], [0.0, 1.0, 2.0], -0.1)
