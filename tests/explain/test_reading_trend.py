"""Where readings go: the spread of each kind of wear against libraries and draws."""

import numpy as np
import pytest
from scipy import linalg, stats

from bundler.explain.reading_trend import left_of
from bundler.life.curves import Weibull
from bundler.life.grade_chain import ContinuousChain, GradeLife
from bundler.life.noisy import NoisyMargin
from bundler.life.passage import GammaPassage, WienerPassage
from bundler.life.tubes import BundleLimit, weibull_through

YEARS = np.array([0.0, 0.5, 2.0, 7.0, 20.0])


def test_a_line_spreads_as_draws_of_its_margin_and_rate() -> None:
    """Against 400,000 draws from the joint normal of margin and rate; sampling error about 0.3 %."""
    curve = NoisyMargin(3.3, 0.2, 0.31, 0.06, -0.4)
    both = -0.4 * 0.2 * 0.06
    rng = np.random.default_rng(11)
    margin, rate = rng.multivariate_normal(
        [3.3, 0.31], [[0.2**2, both], [both, 0.06**2]], size=400_000
    ).T
    for t, middle, low, high in zip(YEARS, *left_of(curve, YEARS), strict=True):
        drawn = np.quantile(margin - rate * t, [0.05, 0.5, 0.95])
        assert [low, middle, high] == pytest.approx(drawn, abs=0.01)


def test_drifting_wear_is_normal_at_any_time() -> None:
    """Brownian motion with drift: scipy.stats.norm."""
    curve = WienerPassage(2.06, 0.31, 0.33)
    middle, low, high = left_of(curve, YEARS[1:])
    law = stats.norm(2.06 - 0.31 * YEARS[1:], 0.33 * np.sqrt(YEARS[1:]))
    assert middle == pytest.approx(law.mean())
    assert low == pytest.approx(law.ppf(0.05)) and high == pytest.approx(law.ppf(0.95))


def test_wear_by_jumps_is_gamma_at_any_time() -> None:
    """Gamma process: scipy.stats.gamma; percentiles are looked up on a grid of a few permille."""
    curve = GammaPassage(1.79, 2.865, 0.0675)
    middle, low, high = left_of(curve, YEARS[1:])
    law = stats.gamma(2.865 * YEARS[1:], scale=0.0675)
    assert middle == pytest.approx(1.79 - law.mean())
    assert low == pytest.approx(1.79 - law.ppf(0.95), abs=2e-3)
    assert high == pytest.approx(1.79 - law.ppf(0.05), abs=2e-3)
    assert [side[0] for side in left_of(curve, YEARS)] == [1.79] * 3


def test_plugged_tubes_are_binomial() -> None:
    """Tubes that fail one by one: scipy.stats.binom, to a tube and a half of 1450."""
    tube = weibull_through(0.11, 23.0, 3.0)
    curve = BundleLimit(tube, 1450, 0.15, 160, 23.0)
    middle, low, high = left_of(curve, YEARS[1:4])
    ahead = tube.cumulative_hazard(23.0 + YEARS[1:4]) - tube.cumulative_hazard(np.array(23.0))
    more = stats.binom(1290, -np.expm1(-ahead))
    assert middle == pytest.approx(0.15 - (160 + more.mean()) / 1450)
    assert low == pytest.approx(0.15 - (160 + more.ppf(0.95)) / 1450, abs=1.5 / 1450)
    assert high == pytest.approx(0.15 - (160 + more.ppf(0.05)) / 1450, abs=1.5 / 1450)


def test_grades_go_as_their_chain() -> None:
    """Against the matrix exponential of the chain's rates (scipy.linalg.expm)."""
    rates = (0.8, 0.2, 0.1, 0.16)
    curve = GradeLife(ContinuousChain(rates), (0.0, 0.0, 1.0, 0.0, 0.0))
    moves = np.diag([-rate for rate in rates] + [0.0]) + np.diag(rates, 1)
    for t, middle, low, high in zip(YEARS, *left_of(curve, YEARS), strict=True):
        shares = linalg.expm(moves * t)[2]
        assert 5 - middle == pytest.approx(shares @ [1, 2, 3, 4, 5])
        best, worst = 5 - high, 5 - low
        assert shares[: int(best)].sum() >= 0.05 - 1e-9 and shares[: int(best) - 1].sum() < 0.05
        assert shares[: int(worst)].sum() >= 0.95 - 1e-9 and shares[: int(worst) - 1].sum() < 0.95


def test_a_curve_that_no_reading_gives_has_no_trend() -> None:
    with pytest.raises(KeyError):
        left_of(Weibull(2.0, 20.0), YEARS)
