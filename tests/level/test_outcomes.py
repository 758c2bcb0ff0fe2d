"""Quantiles, their errors and tails of equally likely outcomes against printed values and closed forms."""

from typing import Any

import numpy as np
import pytest
from scipy import stats

from bundler.level.confidence import Outcomes
from bundler.level.draws import strata


def test_a_quantile_is_the_least_outcome_with_its_share() -> None:
    """Of 1 to 100, equally likely, k is not passed with k / 100, whatever the rounding of k / 100."""
    ordered = Outcomes(np.random.default_rng(1).permutation(np.arange(1.0, 101.0)))
    assert [ordered.at(k / 100) for k in range(1, 101)] == list(range(1, 101))
    assert ordered.at(0.071) == 8
    assert ordered.at(0.001) == 1
    assert ordered.chance_by(80) == 0.8
    for wrong in (0.0, 1.01):
        with pytest.raises(ValueError, match="above 0 and at most 1"):
            ordered.at(wrong)


def test_the_error_of_a_median_by_order_statistics() -> None:
    """Of 100 outcomes the 40th and the 61st hold the median with 95 % (usual tables, from memory)."""
    assert Outcomes(np.arange(1.0, 101.0)).error(0.5) == (40, 61)
    assert Outcomes(np.arange(1.0, 11.0)).error(0.99) == (9, 10)


def test_the_error_holds_the_true_quantile_as_often_as_it_says() -> None:
    """Plain normal samples of 200: the interval of P80 holds the true one in at least 95 % (exact
    cover 95.8 %); four standard errors of 1,000 samples are 0.026."""
    rng, true = np.random.default_rng(2), float(stats.norm.ppf(0.8))
    inside = [
        low <= true <= high
        for low, high in (Outcomes(rng.standard_normal(200)).error(0.8) for _ in range(1000))
    ]
    assert 0.95 - 0.026 < np.mean(inside) < 1


@pytest.mark.parametrize(
    ("share", "mean"),
    [
        (0.05, 100), (0.1, 100), (0.2, 60), (0.3, 46.6667), (0.4, 40), (0.5, 32),
        (0.6, 26.6667), (0.7, 22.8571), (0.8, 20), (0.9, 12.2222), (1.0, 6),
    ],
)  # fmt: skip
def test_the_worst_of_discrete_losses(share: float, mean: float) -> None:
    """Losses 100, 20, 0, -50 with 0.1, 0.3, 0.4, 0.2; the procedure and the cases of 5 and 20 %
    from an encyclopaedia's example of expected shortfall, the rest by hand."""
    losses = Outcomes(np.repeat([100.0, 20.0, 0.0, -50.0], [1, 3, 4, 2]))
    assert losses.worst_mean(share) == pytest.approx(mean, rel=1e-5)
    assert losses.at(0.8) == 20


def test_the_worst_of_a_hundred_losses() -> None:
    """1 to 100: the worst 5 % 98; the worst 4.5 %, where the edge counts in part, 98.2222."""
    losses = Outcomes(np.arange(1.0, 101.0))
    assert losses.worst_mean(0.05) == pytest.approx(98, rel=1e-9)
    assert losses.worst_mean(0.045) == pytest.approx(98.2222, abs=1e-4)


@pytest.mark.parametrize(
    ("law", "share", "quantile", "mean"),
    [
        (stats.norm(), 0.1, 1.281552, 1.754983320),
        (stats.norm(), 0.05, 1.644854, 2.062712808),
        (stats.norm(), 0.025, 1.959964, 2.337802792),
        (stats.norm(), 0.01, 2.326348, 2.665214220),
        (stats.lognorm(0.8, scale=np.exp(10)), 0.1, 61404.67507, 95568.64997),
        (stats.lognorm(0.8, scale=np.exp(10)), 0.05, 82115.56814, 120784.77758),
        (stats.expon(), 0.05, -np.log(0.05), 3.995732),
    ],
)
def test_the_worst_of_laws_in_closed_form(
    law: Any, share: float, quantile: float, mean: float
) -> None:
    """Normal phi(z) / share; lognormal exp(mu + s^2 / 2) Phi(s - z) / share; exponential 1 - ln
    share. 400,000 middles of strata stand for the law: within 5e-5 of itself."""
    outcomes = Outcomes(law.ppf(strata(400_000)))
    assert outcomes.worst_mean(share) == pytest.approx(mean, rel=5e-5)
    assert outcomes.at(1 - share) == pytest.approx(quantile, rel=5e-5)
