"""A doubted batch and a common shock, against Bayes by hand, quadrature and closed forms."""

import numpy as np
import pytest
from scipy import integrate, stats

from bundler.life.batch import (
    BatchDoubt,
    Member,
    WithShock,
    all_alive_chance,
    bad_batch_chance,
    curve_in_batch,
    shock_split,
)
from bundler.life.curves import Exponential, Weibull
from bundler.life.derived import failure_chance, hazard, mean_residual_years, survival

CURVE = Weibull(3.0, 20.0)
DOUBT = BatchDoubt(0.2, 0.5)
GOOD, BAD = stats.weibull_min(3.0, scale=20.0), stats.weibull_min(3.0, scale=10.0)


def test_chance_by_hand() -> None:
    """Two exponential members of mean 10 and 5 years if bad: one failed at 4, one alive at 6.
    odds 1/4 x (1/5 e^-2) / (1/10 e^-1) ratio, by hand: 1/4 x 2 e^(-4/5+4/10) x e^(-6/5+6/10)."""
    life = Exponential(10.0)
    found = bad_batch_chance(DOUBT, [Member(life, 4.0, True), Member(life, 6.0, False)])
    odds = 0.25 * 2 * np.exp(-0.4 - 0.6)
    assert found == pytest.approx(odds / (1 + odds), rel=1e-12)


def test_chance_as_scipy() -> None:
    """Each member by its own curve: densities and survivals of scipy.stats, Bayes' rule."""
    other = Weibull(2.0, 30.0)
    members = [Member(CURVE, 9.0, True), Member(CURVE, 12.0, False), Member(other, 11.0, True)]
    bad = 0.2 * BAD.pdf(9) * BAD.sf(12) * stats.weibull_min(2.0, scale=15.0).pdf(11)
    good = 0.8 * GOOD.pdf(9) * GOOD.sf(12) * stats.weibull_min(2.0, scale=30.0).pdf(11)
    assert bad_batch_chance(DOUBT, members) == pytest.approx(bad / (bad + good), rel=1e-10)
    assert bad_batch_chance(DOUBT, []) == pytest.approx(0.2, rel=1e-15)


def test_life_of_a_survivor() -> None:
    """The curve, asked from the member's own age, is the mixture with Bayes' chance from everything
    (others and its own survival): two independent ways to one number."""
    others = [Member(CURVE, 7.0, True), Member(CURVE, 10.0, False)]
    curve = curve_in_batch(DOUBT, CURVE, others)
    chance = bad_batch_chance(DOUBT, [*others, Member(CURVE, 10.0, False)])
    spans = np.array([0.5, 2.0, 5.0, 15.0])
    wanted = chance * (1 - BAD.sf(10 + spans) / BAD.sf(10)) + (1 - chance) * (
        1 - GOOD.sf(10 + spans) / GOOD.sf(10)
    )
    assert failure_chance(curve, np.array(10.0), spans) == pytest.approx(wanted, rel=1e-9)
    assert isinstance(hash(curve), int)
    mean = integrate.quad(lambda x: float(survival(curve, np.array(10 + x))), 0, 80)[0]
    mean /= float(survival(curve, np.array(10.0)))
    assert mean_residual_years(curve, 10.0) == pytest.approx(mean, rel=1e-7)


def test_evidence_moves_the_right_way() -> None:
    """Early failures raise the doubt, old survivors lower it, and a doubt in the other direction
    (a batch that lives longer) is allowed."""
    early, old = Member(CURVE, 4.0, True), Member(CURVE, 14.0, False)
    assert bad_batch_chance(DOUBT, [early]) > 0.5
    assert bad_batch_chance(DOUBT, [early, early]) > bad_batch_chance(DOUBT, [early])
    assert bad_batch_chance(DOUBT, [old]) < 0.05
    assert bad_batch_chance(BatchDoubt(0.2, 2.0), [early]) < 0.2


def test_certainty_does_not_break() -> None:
    """Hundreds of members settle the matter; the curve is then one of the two."""
    doomed = curve_in_batch(DOUBT, CURVE, [Member(CURVE, 3.0, True)] * 300)
    assert survival(doomed, np.array(9.0)) == pytest.approx(float(BAD.sf(9.0)))
    fine = curve_in_batch(DOUBT, CURVE, [Member(CURVE, 19.0, False)] * 300)
    assert fine is CURVE


def test_shock_as_marshall_and_olkin() -> None:
    """Bivariate exponential (Marshall & Olkin 1967, from memory): S(x, y) = exp(-l1 x - l2 y - l12
    max(x, y)); drawn with seed 4, 200,000 pairs, it is met within 4 standard errors."""
    pair = [WithShock(Exponential(20.0), 0.02), WithShock(Exponential(10.0), 0.02)]
    found = all_alive_chance(pair, [6.0, 9.0])
    assert found == pytest.approx(np.exp(-0.3 - 0.9 - 0.18), rel=1e-12)
    rng = np.random.default_rng(4)
    own, shock = rng.exponential([20.0, 10.0], (200_000, 2)), rng.exponential(50.0, 200_000)
    alive = (np.minimum(own[:, 0], shock) > 6) & (np.minimum(own[:, 1], shock) > 9)
    assert alive.mean() == pytest.approx(found, abs=4 * np.sqrt(found * (1 - found) / 200_000))
    assert all_alive_chance(pair[:1], [6.0]) == pytest.approx(
        float(survival(pair[0], np.array(6.0)))
    )


def test_beta_factor() -> None:
    """A tenth of a rate of 0.05 is common: 0.045 and 0.005, and the member's rate stays."""
    own, common = shock_split(0.05, 0.1)
    assert (own, common) == pytest.approx((0.045, 0.005))
    curve = WithShock(Exponential(1 / own), common)
    assert hazard(curve, np.array([0.0, 9.0])) == pytest.approx([0.05, 0.05])
    worn = WithShock(CURVE, 0.01)
    step = worn.cumulative_hazard(np.array([9.999, 10.001]))
    assert hazard(worn, np.array(10.0)) == pytest.approx((step[1] - step[0]) / 0.002, rel=1e-6)


def test_refusals() -> None:
    for wrong in (
        lambda: BatchDoubt(0.0, 0.5),
        lambda: BatchDoubt(0.2, 0.0),
        lambda: Member(CURVE, 0.0, True),
        lambda: Member(CURVE, float("nan"), False),
        lambda: shock_split(0.1, 1.2),
    ):
        with pytest.raises(ValueError, match="not allowed"):
            wrong()
    with pytest.raises(ValueError, match="0 or more"):
        WithShock(CURVE, -0.1)
    with pytest.raises(ValueError, match="one shock rate"):
        all_alive_chance([WithShock(CURVE, 0.1), WithShock(CURVE, 0.2)], [1.0, 1.0])
    late = Weibull(2.0, 30.0, 10.0)
    with pytest.raises(ValueError, match="guarantee"):
        bad_batch_chance(BatchDoubt(0.2, 0.9), [Member(late, 5.0, True)])
