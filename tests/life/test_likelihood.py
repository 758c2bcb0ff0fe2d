"""The likelihood against the densities and survivals of scipy.stats, record by record."""

import numpy as np
import pytest
from scipy import special, stats

from bundler.life.kinds import KINDS
from bundler.life.likelihood import WORST, likelihood_of
from bundler.life.lives import Lives, lives_from

INF = np.inf
LIVES = lives_from(
    [5.0, 12.0, 20.0, 8.0, 0.0, 30.0, 30.0],
    [5.0, 12.0, INF, 11.0, 3.0, INF, 30.5],
    entry_years=[0.0, 10.0, 4.0, 8.0, 0.0, 0.0, 2.0],
    weight_count=[1.0, 2.0, 148.0, 1.0, 0.3, 7.0, 1.0],
)
FROZEN = {
    "exponential": lambda scale, shape: stats.expon(scale=scale),
    "weibull": lambda scale, shape: stats.weibull_min(shape, scale=scale),
    "lognormal": lambda scale, shape: stats.lognorm(shape, scale=scale),
    "gamma": lambda scale, shape: stats.gamma(shape, scale=scale),
}


def by_record(lives: Lives, frozen: stats.rv_continuous, share: float) -> float:
    """The textbook sum, one record at a time, with 1 - share of the items never failing."""

    def alive(age: float) -> float:
        return 1 - share + share * float(frozen.sf(age))

    total = 0.0
    for i, low in enumerate(lives.low_years):
        high = lives.high_years[i]
        if high == low:
            seen = share * float(frozen.pdf(low))
        else:
            seen = alive(low) - (0 if np.isinf(high) else alive(high))
        total += lives.weight_count[i] * np.log(seen / alive(lives.entry_years[i]))
    return total


@pytest.mark.parametrize("kind", list(FROZEN))
@pytest.mark.parametrize(("scale", "shape"), [(25.0, 1.7), (14.0, 0.6), (16.0, 5.0)])
def test_every_sort_of_record(kind: str, scale: float, shape: float) -> None:
    """scipy.stats pdf and sf, summed by hand."""
    found = likelihood_of(LIVES, KINDS[kind])(np.log(scale), np.log(shape))
    known = by_record(LIVES, FROZEN[kind](scale, shape), 1.0)
    assert found == pytest.approx(known, rel=1e-9)


@pytest.mark.parametrize("kind", ["weibull", "lognormal"])
def test_limited_population(kind: str) -> None:
    """The same with a share of 0.3 that can fail."""
    found = likelihood_of(LIVES, KINDS[f"limited_{kind}"])(
        np.log(9), np.log(0.9), special.logit(0.3)
    )
    assert found == pytest.approx(by_record(LIVES, FROZEN[kind](9.0, 0.9), 0.3), rel=1e-9)


@pytest.mark.parametrize("kind", list(FROZEN))
def test_age_at_a_hazard_inverts_the_curve(kind: str) -> None:
    """H(age) = h again, from deep in the young tail to deep in the old."""
    spoken = KINDS[kind]
    for hazard in (1e-9, 1e-3, 0.3, 0.99, 1.01, 5.0, 60.0):
        age = np.exp(spoken.log_age(1.8, hazard))
        held = float(spoken.whole(1.0, 1.8).cumulative_hazard(np.array(age)))
        assert held == pytest.approx(hazard, rel=1e-8)


def test_where_nothing_can_be_computed() -> None:
    """Parameters beyond any float count as the worst, without a warning."""
    chance = likelihood_of(LIVES, KINDS["weibull"])
    assert chance(900.0, 0.0) == WORST
    assert chance(-900.0, 0.0) == WORST
    assert chance(0.0, 8.0) == WORST
    assert chance(np.nan, 0.0) == WORST
