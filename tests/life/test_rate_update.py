"""Rates and chances per demand against published priors, updates and general libraries."""

import numpy as np
import pytest
from scipy import integrate, stats

from bundler.life.rate_update import (
    JEFFREYS_CHANCE,
    JEFFREYS_RATE,
    BetaChance,
    GammaRate,
    error_factor_sigma,
    exposure_to_show_years,
    gamma_from_error_factor,
    gamma_from_percentiles,
    lognormal_median_per_year,
)

#: law, a, b, mean, 5 %, 50 %, 95 %, tolerance. INL/EXT-21-65055 (2021), the 2020 update of
#: NUREG/CR-6928, Table 1, read in a public copy of it. The last two rows print a to one
#: decimal, so they agree to 7 % only
PRINTED = {
    "pump start": (BetaChance, 2.07, 3520, 5.88e-4, 1.09e-4, 4.96e-4, 1.38e-3, 0.01),
    "pump first hour": (GammaRate, 0.579, 6340, 9.13e-5, 7.34e-7, 4.68e-5, 3.33e-4, 0.01),
    "pump run": (GammaRate, 0.511, 62900, 8.12e-6, 3.58e-8, 3.77e-6, 3.10e-5, 0.01),
    "turbine pump start": (BetaChance, 0.831, 218, 3.79e-3, 1.17e-4, 2.43e-3, 1.21e-2, 0.01),
    "turbine pump first hour": (GammaRate, 18.5, 10700, 1.73e-3, 1.12e-3, 1.70e-3, 2.44e-3, 0.01),
    "turbine pump run": (GammaRate, 8.5, 3300, 2.58e-3, 1.31e-3, 2.48e-3, 4.18e-3, 0.01),
    "check valve": (BetaChance, 0.5, 44800, 1.12e-5, 4.39e-8, 5.08e-6, 4.29e-5, 0.01),
    "battery": (GammaRate, 0.634, 1.57e6, 4.05e-7, 4.79e-9, 2.21e-7, 1.42e-6, 0.01),
    "ac bus": (GammaRate, 0.986, 1.68e6, 5.88e-7, 2.91e-8, 4.05e-7, 1.77e-6, 0.01),
    "dc bus": (GammaRate, 1.5, 2.1e6, 7.13e-7, 8.38e-8, 5.63e-7, 1.86e-6, 0.01),
    "diesel start": (BetaChance, 23.8, 10700, 2.22e-3, 1.53e-3, 2.19e-3, 3.02e-3, 0.01),
    "diesel load": (GammaRate, 3.61, 1090, 3.31e-3, 1.05e-3, 3.01e-3, 6.60e-3, 0.01),
    "diesel run": (GammaRate, 3.83, 3250, 1.18e-3, 3.90e-4, 1.08e-3, 2.31e-3, 0.01),
    "offsite power": (GammaRate, 1.3, 52.8, 2.52e-2, 2.39e-3, 1.92e-2, 6.83e-2, 0.07),
    "heat sink": (GammaRate, 5.4, 211, 2.53e-2, 1.04e-2, 2.38e-2, 4.57e-2, 0.07),
}


@pytest.mark.parametrize("name", sorted(PRINTED))
def test_printed_priors(name: str) -> None:
    law, a, b, mean, *points, tolerance = PRINTED[name]
    prior = law(a, b)
    if isinstance(prior, GammaRate):
        got = [prior.mean_per_year, *(prior.percentile_per_year(p) for p in (0.05, 0.5, 0.95))]
    else:
        got = [prior.mean_chance, *(prior.percentile_chance(p) for p in (0.05, 0.5, 0.95))]
    assert got == pytest.approx([mean, *points], rel=tolerance)


def test_nist_prior_from_two_percentiles() -> None:
    """NIST/SEMATECH e-Handbook 8.4.6: 50 % at MTBF 600, 95 % at 250: a 2.863055, b 1522.506."""
    prior = gamma_from_percentiles(0.5, 1 / 600, 0.95, 1 / 250)
    assert prior.events_count == pytest.approx(2.863055, rel=1e-6)
    assert prior.exposure_years == pytest.approx(1522.506, rel=1e-6)


@pytest.mark.parametrize("events", [0.05, 0.5, 3.0, 40.0, 3e4])
def test_percentiles_come_back(events: float) -> None:
    """The percentiles of scipy's gamma give its parameters again."""
    low, high = stats.gamma(events, scale=1 / 7.0).ppf([0.2, 0.9])
    prior = gamma_from_percentiles(0.2, float(low), 0.9, float(high))
    assert prior.events_count == pytest.approx(events, rel=1e-6)
    assert prior.exposure_years == pytest.approx(7.0, rel=1e-6)


def test_nist_worked_example() -> None:
    """NIST/SEMATECH e-Handbook 8.4.6 (data from memory, numbers recomputed): a 2, b 1400, r 2,
    600 h at 80 % needs 1909.03 h; then 827.25, 901.129, 599.995, 495.301 and 1896.526 h."""
    prior = GammaRate(2, 1400)
    assert exposure_to_show_years(prior, 600, 0.8, 2) == pytest.approx(1909.03, rel=1e-5)
    after = prior.updated(2, 1909)
    assert (after.events_count, after.exposure_years) == (4, 3309)
    assert 1 / after.mean_per_year == pytest.approx(827.25, rel=1e-9)
    found = [after.mtbf_at_least_years(chance) for chance in (0.5, 0.8, 0.9, 0.1)]
    assert found == pytest.approx([901.129, 599.995, 495.301, 1896.526], rel=1e-5)


def test_pump_update() -> None:
    """Exact conjugate arithmetic on the pump row: 1 failure in 40,000 h, and none."""
    prior = GammaRate(0.511, 62900)
    after = prior.updated(1, 40000)
    assert after.mean_per_year == pytest.approx(1.468416e-5, rel=1e-6)
    found = [after.percentile_per_year(p) for p in (0.05, 0.5, 0.95)]
    assert found == pytest.approx([1.743032e-6, 1.160201e-5, 3.815759e-5], rel=1e-6)
    assert prior.updated(0, 40000).mean_per_year == pytest.approx(4.965986e-6, rel=1e-6)


def test_textbook_conjugates() -> None:
    """Beta(5.2, 160.1): 0.0315, 0.0135 (rads.inl.gov); gamma (1.53, 10.63) with 1 in 6 years
    (attributed to NUREG/CR-6823 from memory): 0.1521347 and 0.0352818 to 0.3356374."""
    chance = BetaChance(5.2, 160.1)
    assert chance.mean_chance == pytest.approx(0.03145795, rel=1e-6)
    assert chance.spread_chance == pytest.approx(0.01353563, rel=1e-6)
    after = GammaRate(1.53, 10.63).updated(1, 6)
    assert after.mean_per_year == pytest.approx(0.1521347, rel=1e-6)
    assert after.percentile_per_year(0.05) == pytest.approx(0.0352818, rel=1e-5)
    assert after.percentile_per_year(0.95) == pytest.approx(0.3356374, rel=1e-6)


def test_posterior_by_quadrature() -> None:
    """Prior times Poisson likelihood, integrated numerically, has the mean of the update."""
    prior = stats.gamma(1.53, scale=1 / 10.63)

    def joint(rate: float) -> float:
        return float(prior.pdf(rate) * stats.poisson.pmf(2, 6 * rate))

    mass = integrate.quad(joint, 0, 5, epsabs=1e-14)[0]
    mean = integrate.quad(lambda rate: rate * joint(rate), 0, 5, epsabs=1e-14)[0] / mass
    assert GammaRate(1.53, 10.63).updated(2, 6).mean_per_year == pytest.approx(mean, rel=1e-8)


def test_jeffreys() -> None:
    """No failure in 44,800 demands gives 0.5 / 44801, the check-valve row above; a rate without
    exposure is unbounded until a record comes."""
    after = JEFFREYS_CHANCE.updated(0, 44800)
    assert after.mean_chance == pytest.approx(1.116047e-5, rel=1e-6)
    assert JEFFREYS_RATE.mean_per_year == np.inf
    assert JEFFREYS_RATE.percentile_per_year(0.05) == np.inf
    wanted = stats.chi2.ppf(0.95, 2 * 3 + 1) / 2 / 12  # chi-square with 2r + 1
    assert JEFFREYS_RATE.updated(3, 12).percentile_per_year(0.95) == pytest.approx(wanted)


def test_error_factor() -> None:
    """Mean 1e-3, error factor 3: lognormal median 8.001057e-4; the gamma has the lognormal's
    mean and variance (scipy.stats.lognorm)."""
    median = lognormal_median_per_year(1e-3, 3)
    assert median == pytest.approx(8.001057e-4, rel=1e-6)
    known = stats.lognorm(error_factor_sigma(3), scale=median)
    prior = gamma_from_error_factor(1e-3, 3)
    assert prior.mean_per_year == pytest.approx(float(known.mean()), rel=1e-9)
    assert prior.events_count / prior.exposure_years**2 == pytest.approx(float(known.var()))


def test_sisters_count_by_their_weight() -> None:
    """Weight 1 is one record; 0 leaves theirs out; between, the mean moves between the two."""
    own = JEFFREYS_RATE.updated(1, 20)
    assert own.updated(6, 60, 1.0) == JEFFREYS_RATE.updated(7, 80)
    assert own.updated(6, 60, 0.0) == own
    assert own.updated(6, 60, 0.25) == GammaRate(0.5 + 1 + 1.5, 20 + 15)
    demands = JEFFREYS_CHANCE.updated(2, 10, 0.5)
    assert demands == BetaChance(1.5, 4.5)


def test_refusals() -> None:
    for wrong in (
        lambda: GammaRate(0, 1),
        lambda: GammaRate(1, float("nan")),
        lambda: BetaChance(1, 0),
        lambda: GammaRate(1, 1).updated(-1, 2),
        lambda: GammaRate(1, 1).updated(1, 2, 1.5),
        lambda: GammaRate(1, 1).percentile_per_year(1.0),
        lambda: gamma_from_percentiles(0.5, 2.0, 0.95, 1.0),
        lambda: gamma_from_percentiles(0.95, 1.0, 0.5, 2.0),
        lambda: gamma_from_percentiles(0.4, 1.0, 0.5, 1.0 + 1e-13),
        lambda: gamma_from_error_factor(1e-3, 1.0),
        lambda: gamma_from_error_factor(0.0, 3.0),
    ):
        with pytest.raises(ValueError, match="not allowed|is not a|do not rise|No gamma"):
            wrong()
    with pytest.raises(ValueError, match="not possible"):
        JEFFREYS_CHANCE.updated(3, 2)
