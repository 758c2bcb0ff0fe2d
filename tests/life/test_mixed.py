"""Curves made of curves, against products and sums of survivals by scipy.stats."""

import numpy as np
import pytest
from scipy import stats

from bundler.life.curves import Exponential, Lognormal, Weibull
from bundler.life.derived import hazard, survival
from bundler.life.mixed import CompetingModes, LimitedFailures, Mixture
from tests.life.contract import keeps_contract

WEAR, EARLY = Weibull(3.0, 30.0), Weibull(0.6, 4.0)
AGES = np.array([0.0, 1e-6, 0.5, 8.0, 25.0, 60.0])
SCIPY_WEAR, SCIPY_EARLY = stats.weibull_min(3.0, scale=30.0), stats.weibull_min(0.6, scale=4.0)


@pytest.mark.parametrize(
    "curve",
    [
        CompetingModes((WEAR, EARLY)),
        CompetingModes((Lognormal(20.0, 0.4),)),
        LimitedFailures(WEAR, 0.2),
        LimitedFailures(WEAR, 1.0),
        LimitedFailures(Lognormal(10.0, 2.0), 1e-9),
        Mixture((WEAR, EARLY), (0.9, 0.1)),
    ],
)
def test_contract(curve: CompetingModes | LimitedFailures | Mixture) -> None:
    keeps_contract(curve)


def test_competing_modes_multiply_survivals() -> None:
    """scipy.stats: product of the two survival functions."""
    found = survival(CompetingModes((WEAR, EARLY)), AGES)
    assert found == pytest.approx(SCIPY_WEAR.sf(AGES) * SCIPY_EARLY.sf(AGES), rel=1e-12)


def test_limited_failures_and_mixture_add_survivals() -> None:
    """scipy.stats: 1 - p F, and the weighted sum of survivals; young ages by p F to 1e-9."""
    limited = LimitedFailures(WEAR, 0.2)
    assert survival(limited, AGES) == pytest.approx(1 - 0.2 * SCIPY_WEAR.cdf(AGES), rel=1e-12)
    young = np.array([1e-6, 1e-3])
    assert limited.cumulative_hazard(young) == pytest.approx(0.2 * SCIPY_WEAR.cdf(young), rel=1e-9)
    mixed = survival(Mixture((WEAR, EARLY), (0.9, 0.1)), AGES)
    expected = 0.9 * SCIPY_WEAR.sf(AGES) + 0.1 * SCIPY_EARLY.sf(AGES)
    assert mixed == pytest.approx(expected, rel=1e-12)


def test_tails() -> None:
    """A limited population levels off at -ln(1 - p); a mixture ends as its longest-lived kind."""
    far = np.array([1e3, 1e6, 1e90])
    limited = LimitedFailures(WEAR, 0.2).cumulative_hazard(far)
    assert limited == pytest.approx(-np.log(0.8), rel=1e-12)
    mixed = Mixture((Exponential(1.0), Exponential(5.0)), (0.25, 0.75)).cumulative_hazard(far)
    assert mixed == pytest.approx(far / 5 - np.log(0.75), rel=1e-12)


def test_hazards_by_hand() -> None:
    """f / S with the densities of scipy.stats."""
    ages = AGES[2:]
    mixture = Mixture((WEAR, EARLY), (0.9, 0.1))
    density = 0.9 * SCIPY_WEAR.pdf(ages) + 0.1 * SCIPY_EARLY.pdf(ages)
    assert hazard(mixture, ages) == pytest.approx(density / survival(mixture, ages), rel=1e-10)
    limited = LimitedFailures(EARLY, 0.3)
    density = 0.3 * SCIPY_EARLY.pdf(ages)
    assert hazard(limited, ages) == pytest.approx(density / survival(limited, ages), rel=1e-10)
    both = hazard(CompetingModes((WEAR, EARLY)), ages)
    assert both == pytest.approx(hazard(WEAR, ages) + hazard(EARLY, ages), rel=1e-12)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one curve"):
        CompetingModes(())
    for share in (0.0, 1.1, np.nan):
        with pytest.raises(ValueError, match="failing_share is"):
            LimitedFailures(WEAR, share)
    with pytest.raises(ValueError, match="share for each curve"):
        Mixture((WEAR,), (0.5, 0.5))
    with pytest.raises(ValueError, match="above 0 and sum to 1"):
        Mixture((WEAR, EARLY), (0.5, 0.6))
