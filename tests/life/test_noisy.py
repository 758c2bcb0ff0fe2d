"""Margin and rate both with an error: against two-dimensional integrals, limits and draws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, special, stats

from bundler.life.derived import failure_chance
from bundler.life.noisy import NoisyMargin
from bundler.life.passage import NormalRate
from tests.life.contract import keeps_contract

CURVES = [
    NoisyMargin(3.3, 0.2, 0.31, 0.06), NoisyMargin(0.1, 0.2, 0.31, 0.06, -0.7),
    NoisyMargin(-0.3, 0.2, -0.1, 0.06, 0.9), NoisyMargin(3.0, 0.08, 0.25, 0.05, 0.5),
    NoisyMargin(3.0, 0.2, 0.25, 0.01, -0.5), NoisyMargin(0.0, 0.2, 0.0, 0.1),
    NoisyMargin(3.0, 1e-7, 0.25, 0.05), NoisyMargin(3.0, 0.0, 0.25, 0.05),
    NoisyMargin(3.0, 0.2, 0.25, 0.0), NoisyMargin(3.0, 0.2, 0.25, 1e-8),
]  # fmt: skip


@pytest.mark.parametrize("curve", CURVES, ids=str)
def test_contract(curve: NoisyMargin) -> None:
    keeps_contract(curve)
    assert np.isfinite(curve.cumulative_hazard(np.array(1e100)))


def by_quadrature(curve: NoisyMargin, age: float) -> float:
    """Return H from the definition: the margin integrated over its positive values."""
    m, s, mean, sd, r = (
        curve.margin, curve.margin_sd, curve.rate_mean_per_year, curve.rate_sd_per_year,
        curve.correlation_ratio,
    )  # fmt: skip

    def part(sign: float) -> float:
        def density(d: float) -> float:
            given_mean, given_sd = mean + r * sd * (d - m) / s, sd * np.sqrt(1 - r * r)
            z = (d / age - given_mean) / given_sd
            return float(stats.norm.pdf(d, m, s) * special.ndtr(sign * z))

        cuts = np.linspace(0.0, max(m, 0.0) + 12 * s, 120)
        pairs = zip(cuts, cuts[1:], strict=False)
        return sum(integrate.quad(density, a, b, epsabs=0, epsrel=1e-10)[0] for a, b in pairs)

    return float(np.log1p(part(-1.0) / part(1.0)))


@pytest.mark.parametrize("curve", CURVES[:6], ids=str)
@pytest.mark.parametrize("age", [4.0, 10.0, 30.0])
def test_equals_the_definition(curve: NoisyMargin, age: float) -> None:
    """S = P(D > 0, D - r t > 0) / P(D > 0) by adaptive quadrature, from 1e-31 to H of 57."""
    found = float(curve.cumulative_hazard(np.array(age)))
    assert found == pytest.approx(by_quadrature(curve, age), rel=1e-9, abs=0)


@given(
    st.floats(-0.5, 4.0), st.floats(0.05, 1.0), st.floats(-0.2, 0.6), st.floats(0.02, 0.3),
    st.floats(-0.95, 0.95), st.floats(0.5, 40.0),
)  # fmt: skip
def test_equals_scipys_two_dimensional_normal(
    margin: float, margin_sd: float, rate: float, rate_sd: float, corr: float, age: float
) -> None:
    """scipy.stats.multivariate_normal for any parameters, to its own 1e-6 (the chance that the
    margin is not used up now is kept above a thousandth)."""
    margin = max(margin, -3 * margin_sd)
    cross = corr * margin_sd * rate_sd
    ends = margin_sd**2 - cross * age
    last = margin_sd**2 - 2 * cross * age + (rate_sd * age) ** 2
    both = stats.multivariate_normal(
        [-margin, -(margin - rate * age)], [[margin_sd**2, ends], [ends, last]]
    )
    alive = both.cdf([0.0, 0.0]) / stats.norm.cdf(margin / margin_sd)
    curve = NoisyMargin(margin, margin_sd, rate, rate_sd, corr)
    assert np.exp(-curve.cumulative_hazard(np.array(age))) == pytest.approx(alive, abs=2e-5)


@given(
    st.floats(-1.0, 4.0), st.floats(0.01, 1.0), st.floats(-0.5, 0.6), st.floats(0.001, 0.5),
    st.floats(-0.99, 0.99),
)  # fmt: skip
def test_never_falls(
    margin: float, margin_sd: float, rate: float, rate_sd: float, corr: float
) -> None:
    """H rises all the way, also where rates below 0 are likely and P(D - r t < 0) falls again."""
    held = NoisyMargin(margin, margin_sd, rate, rate_sd, corr).cumulative_hazard(
        np.append(0.0, np.geomspace(0.01, 1000.0, 200))
    )
    assert held[0] == 0 and np.isfinite(held).all()
    assert (np.diff(held) >= -1e-13 * held[1:]).all()


def test_the_plain_chance_does_fall() -> None:
    """Why two dimensions: near the limit with a rate about 0, P(D - r t < 0) shrinks with time
    (by hand: z = (D - r t) / spread grows), while no item that failed comes back."""
    ages = np.array([0.0, 1.0, 2.0, 4.0])
    plain = special.ndtr(-(0.05 + 0.1 * ages) / np.hypot(0.2, 0.05 * ages))
    assert (np.diff(plain) < 0).all()
    held = NoisyMargin(0.05, 0.2, -0.1, 0.05).cumulative_hazard(ages)
    assert (np.diff(held) > 0).all()


def test_limits() -> None:
    """A margin read ever better is the normal rate; a rate known ever better is the normal margin
    D / r, cut at 0; far above the limit the plain normal chance holds to 1e-12."""
    ages = np.array([5.0, 10.0, 12.0, 30.0])
    sharp = NormalRate(3.0, 0.25, 0.05).cumulative_hazard(ages)
    assert NoisyMargin(3.0, 1e-6, 0.25, 0.05).cumulative_hazard(ages) == pytest.approx(
        sharp, rel=1e-9, abs=0
    )
    assert NoisyMargin(3.0, 0.0, 0.25, 0.05).cumulative_hazard(ages) == pytest.approx(sharp)
    life = stats.truncnorm(-3.0 / 0.2, np.inf, loc=12.0, scale=0.8)
    for sd, digits in ((0.0, 1e-12), (1e-7, 1e-6)):
        found = NoisyMargin(3.0, 0.2, 0.25, sd).cumulative_hazard(ages)
        assert -found == pytest.approx(life.logsf(ages), rel=digits, abs=0)
    far = failure_chance(NoisyMargin(3.3, 0.2, 0.31, 0.06), np.array(0.0), ages)
    plain = special.ndtr(-(3.3 - 0.31 * ages) / np.hypot(0.2, 0.06 * ages))
    assert far == pytest.approx(plain, rel=1e-12, abs=0)


def test_seeded_lines() -> None:
    """200,000 lines drawn, those below the limit now left out; within four standard errors."""
    rng = np.random.default_rng(11)
    draws = rng.multivariate_normal(
        [0.3, 0.1], [[0.04, -0.5 * 0.2 * 0.08], [-0.5 * 0.2 * 0.08, 0.0064]], 200_000
    )
    margin, rate = draws[draws[:, 0] > 0].T
    curve = NoisyMargin(0.3, 0.2, 0.1, 0.08, -0.5)
    for age in (1.0, 4.0, 20.0):
        chance = float(failure_chance(curve, np.array(0.0), np.array(age)))
        error = 4 * (chance * (1 - chance) / len(rate)) ** 0.5
        assert (margin <= rate * age).mean() == pytest.approx(chance, abs=error)


def test_a_wall_that_heals_never_fails() -> None:
    """A known rate below 0 leaves H at 0; with rates of either sign, a margin of 0 and no mean the
    half of the lines that wear fails in the end (by symmetry), and 1/4 by the time sd / rate sd."""
    healing = NoisyMargin(1.0, 0.3, -0.2, 0.0)
    assert (healing.cumulative_hazard(np.array([0.0, 10.0, 1e6])) == 0).all()
    even = NoisyMargin(0.0, 0.3, 0.0, 0.1)
    gone = failure_chance(even, np.array(0.0), np.array([3.0, 1e12]))
    assert gone == pytest.approx([0.25, 0.5], rel=1e-9)


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ((1.0, -0.1, 0.2, 0.1), "0 or more"), ((1.0, 0.1, 0.2, -0.1), "0 or more"),
        ((0.0, 0.0, 0.2, 0.1), "above 0"), ((1.0, 0.0, 0.2, 0.0), "above 0"),
        ((1.0, 0.1, 0.2, 0.1, 1.0), "between -1 and 1"), ((1.0, float("nan"), 0.2, 0.1), "0 or more"),
    ],
)  # fmt: skip
def test_refused(values: tuple[float, ...], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        NoisyMargin(*values)
