"""Tube bundles: a public inspection record, binomial laws of scipy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

from bundler.life.curves import Exponential, Weibull
from bundler.life.derived import failure_chance
from bundler.life.shifted import Since
from bundler.life.tubes import (
    BundleLimit,
    limit_age_years,
    plugged_count,
    weibull_through,
)
from tests.life.contract import keeps_contract

#: interval fit of the heat-exchanger tubes of three plants (data of Meeker and Escobar 1998)
TUBE = Weibull(1.345515, 23.61992)
OLD = Weibull(4.0, 46.0)


def test_expected_plugged_tubes() -> None:
    """F(10 y) = 0.269914 and the 10 % limit at eta (-ln 0.9)^(1 / beta) = 4.435301 y (Weibull fit of
    the public record, recomputed); spread of the binomial law by scipy."""
    mean, spread = plugged_count(TUBE, 300, np.array([10.0]))
    assert mean / 300 == pytest.approx([0.269914], rel=2e-6)
    assert spread == pytest.approx([stats.binom(300, mean[0] / 300).std()], rel=1e-12)
    assert limit_age_years(TUBE, 0.1) == pytest.approx(4.435301, rel=1e-6)
    assert plugged_count(TUBE, 300, np.zeros((2, 3)))[0].shape == (2, 3)


def test_a_curve_through_what_was_seen() -> None:
    """3 % plugged at 20 years with shape 4: F(20) is 0.03 again (definition)."""
    curve = weibull_through(0.03, 20.0, 4.0)
    gone = failure_chance(curve, np.array(0.0), np.array(20.0))
    assert float(gone) == pytest.approx(0.03, rel=1e-12)
    assert curve.shape_ratio == 4.0


BUNDLES = [
    BundleLimit(OLD, 6000, 0.1), BundleLimit(OLD, 6000, 0.1, 45, 14.0), BundleLimit(OLD, 1, 0.0),
    BundleLimit(Weibull(0.8, 60.0), 40, 0.3, 12, 30.0), BundleLimit(Exponential(90.0), 300, 0.0),
]  # fmt: skip


@pytest.mark.parametrize("curve", BUNDLES, ids=str)
def test_contract(curve: BundleLimit) -> None:
    keeps_contract(curve)
    keeps_contract(Since(curve, curve.age_years))


@pytest.mark.parametrize("curve", BUNDLES, ids=str)
def test_a_bundle_is_a_binomial_law(curve: BundleLimit) -> None:
    """Chance that more than the allowed number is plugged, scipy.stats.binom, in both tails
    (its logcdf has digits from a thousandth to 1e-280; below that its sf holds)."""
    spans = np.array([0.5, 2.0, 6.0, 10.0, 12.0, 15.0, 25.0])
    chance = failure_chance(curve.tube_curve, np.array(curve.age_years), spans)
    law = stats.binom(curve.tubes_count - curve.already_count, chance)
    fewer = curve.allowed_count - curve.already_count
    gone = failure_chance(curve, np.array(0.0), spans)
    assert gone == pytest.approx(law.sf(fewer), rel=1e-9, abs=0)
    known = law.logcdf(fewer)
    held, told = curve.cumulative_hazard(spans), (known > -650) & (known < -1e-3)
    assert -held[told] == pytest.approx(known[told], rel=1e-9, abs=0)


@pytest.mark.parametrize(("count", "share"), [(6000, 0.1), (300, 0.05), (40, 0.9), (50_000, 0.0)])
def test_a_bundle_beyond_the_smallest_float(count: int, share: float) -> None:
    """ln P(K <= m) summed in logs from the binomial formula, far past the limit (the
    sum itself is good to 1e-12)."""
    curve = BundleLimit(Exponential(10.0), count, share)
    m = np.arange(curve.allowed_count + 1)
    ways = special.gammaln(count + 1) - special.gammaln(m + 1) - special.gammaln(count - m + 1)
    for rise in (0.1, 0.3, 0.6, 1.2, 4.0, 20.0, 200.0):
        terms = ways + m * np.log(-np.expm1(-rise)) - (count - m) * rise
        found = -float(curve.cumulative_hazard(np.array(10.0 * rise)))
        assert found == pytest.approx(special.logsumexp(terms), rel=1e-9, abs=1e-12)


def test_one_tube_and_no_plug_allowed() -> None:
    """The first failure of n tubes has the hazard of n tubes (minimum of independent lives)."""
    ages = np.array([0.0, 3.0, 30.0, 90.0])
    for count in (1, 7):
        found = BundleLimit(OLD, count, 0.0).cumulative_hazard(ages)
        assert found == pytest.approx(count * OLD.cumulative_hazard(ages), rel=1e-12, abs=0)


def test_the_limit_is_a_whole_number_of_tubes() -> None:
    """5 % of 99 tubes allow 4; 29 % of 100 allow 29 although 0.29 x 100 is below 29 in floats."""
    assert BundleLimit(OLD, 99, 0.05).allowed_count == 4
    assert BundleLimit(OLD, 100, 0.29).allowed_count == 29


def test_a_count_tells_more_than_an_age() -> None:
    """By simulation of 20,000 bundles of 60 tubes, of those with 4 plugged at 20 years: the share
    beyond 6 plugged by 26 years, within four standard errors."""
    rng = np.random.default_rng(8)
    lives = 46.0 * rng.weibull(4.0, (20_000, 60))
    kept = lives[(lives <= 20).sum(axis=1) == 4]
    beyond = ((kept <= 26).sum(axis=1) > 6).mean()
    curve = BundleLimit(OLD, 60, 0.1, 4, 20.0)
    chance = float(failure_chance(curve, np.array(0.0), np.array(6.0)))
    assert len(kept) > 500
    assert beyond == pytest.approx(chance, abs=4 * (chance * (1 - chance) / len(kept)) ** 0.5)


@given(st.integers(1, 3000), st.floats(0.0, 0.5), st.floats(0.0, 60.0), st.floats(0.01, 60.0))
def test_more_plugged_now_is_never_better(
    count: int, share: float, age: float, span: float
) -> None:
    """The chance of passing the limit lies in 0 to 1 and grows with what is plugged already."""
    allowed = BundleLimit(OLD, count, share).allowed_count
    chances = [
        float(
            failure_chance(BundleLimit(OLD, count, share, now, age), np.array(0.0), np.array(span))
        )
        for now in sorted({0, allowed // 2, allowed})
    ]
    assert chances == sorted(chances) and chances[0] >= 0 and chances[-1] <= 1


def test_refused() -> None:
    with pytest.raises(ValueError, match="no life left"):
        BundleLimit(OLD, 100, 0.1, 11, 20.0)
    with pytest.raises(ValueError, match="limit share"):
        BundleLimit(OLD, 100, 1.0)
    with pytest.raises(ValueError, match="plugged_share"):
        weibull_through(0.0, 20.0, 4.0)
    with pytest.raises(ValueError, match="limit_share"):
        limit_age_years(OLD, 0.0)
