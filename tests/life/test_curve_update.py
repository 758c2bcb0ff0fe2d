"""The weighing of a prior with a record, against brute force, closed forms and priors alone."""

from collections.abc import Callable

import numpy as np
import pytest
from scipy import integrate, stats

from bundler.life.curve_update import CurvePrior, pooled, updated_curve
from bundler.life.derived import failure_chance, survival
from bundler.life.known_shape import KnownShape
from bundler.life.lives import failed_and_running, lives_from, together

PRIOR = CurvePrior("weibull", 30.0, 0.25, 2.5, 0.5)
#: two failures seen, one found between inspections, two run, one of two watched from age 8 runs
RECORD = together(
    failed_and_running([12.0, 18.0], [20.0, 15.0]),
    lives_from([9.0], [14.0], weight_count=1.5),
    lives_from([22.0, 11.0], [np.inf, 11.0], entry_years=8.0),
)
AGES = np.array([2.0, 5.0, 10.0, 20.0, 40.0, 60.0])
FROZEN: dict[str, Callable[[float, float], object]] = {
    "weibull": lambda scale, shape: stats.weibull_min(shape, scale=scale),
    "lognormal": lambda scale, shape: stats.lognorm(shape, scale=scale),
    "gamma": lambda scale, shape: stats.gamma(shape, scale=scale),
}


def brute(prior: CurvePrior, points: int = 220) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return scales, shapes and weights of an independent sum: scipy.stats on Gauss-Legendre
    points over scale and shape themselves."""
    nodes, sizes = np.polynomial.legendre.leggauss(points)
    scale, shape = 6 + 57 * (nodes + 1), 0.15 + 4.2 * (nodes + 1)
    x, y = np.meshgrid(scale, shape)
    d = FROZEN[prior.kind](x[..., np.newaxis], y[..., np.newaxis])
    logs = d.logpdf([12.0, 18.0]).sum(-1) + d.logsf([20.0, 15.0]).sum(-1)
    with np.errstate(divide="ignore"):  # where no weight is
        logs += 1.5 * np.log(d.sf([9.0]) - d.sf([14.0]))[..., 0]
    logs += d.logsf([22.0])[..., 0] + d.logpdf([11.0])[..., 0] - 2 * d.logsf([8.0])[..., 0]
    logs += stats.lognorm(0.25, scale=30).logpdf(x)
    middle, spread = prior.shape_ratio, prior.shape_spread_ratio
    laws = {"normal": stats.norm(middle, spread), "lognormal": stats.lognorm(spread, scale=middle)}
    logs += laws[prior.shape_law].logpdf(y)
    weights = np.exp(logs - logs.max()) * np.outer(sizes, sizes)
    return x, y, weights / weights.sum()


@pytest.mark.parametrize(
    ("kind", "law", "shape", "spread"), [("weibull", "normal", 2.5, 0.5), ("weibull", "lognormal", 2.5, 0.3), ("gamma", "normal", 2.5, 0.5), ("lognormal", "lognormal", 0.8, 0.3)]
)  # fmt: skip
def test_as_brute_force(kind: str, law: str, shape: float, spread: float) -> None:
    """All kinds of records, every kind of curve: moments, spread, correlation and the expected
    survival equal an independent sum over 48,400 points of scipy.stats."""
    prior = CurvePrior(kind, 30.0, 0.25, shape, spread, law)
    after = updated_curve(prior, RECORD)
    x, y, w = brute(prior)
    mean, log_mean = (w * x).sum(), (w * np.log(x)).sum()
    log_spread = np.sqrt((w * (np.log(x) - log_mean) ** 2).sum())
    shape = (w * y).sum()
    both = (w * (np.log(x) - log_mean) * (y - shape)).sum()
    correlation = both / log_spread / np.sqrt((w * (y - shape) ** 2).sum())
    assert after.life_mean_years == pytest.approx(mean, rel=1e-6)
    assert after.shape_mean_ratio == pytest.approx(shape, rel=1e-6)
    assert after.life_spread_ratio == pytest.approx(log_spread, rel=1e-5)
    assert after.correlation_ratio == pytest.approx(correlation, abs=1e-5)
    wanted = [(w * FROZEN[kind](x, y).sf(age)).sum() for age in AGES]
    assert survival(after.curve, AGES) == pytest.approx(wanted, abs=2e-5)
    assert failure_chance(after.curve, AGES[0], AGES[:0]).shape == (0,)
    assert isinstance(hash(after.curve), int)


def test_percentiles_as_double_quadrature() -> None:
    """Two failures and three running items: the chance below our 5, 50 and 95 % points of scale
    and of shape, by scipy.integrate.dblquad over an independent density."""
    after = updated_curve(PRIOR, failed_and_running([12.0, 18.0], [20.0, 20.0, 15.0]))
    died, all_ages = np.array([12.0, 18.0]), np.array([12.0, 18.0, 20.0, 20.0, 15.0])

    def density(shape: float, log_scale: float) -> float:
        logs = 2 * (np.log(shape) - log_scale) + (shape - 1) * (np.log(died) - log_scale).sum()
        logs -= ((all_ages / np.exp(log_scale)) ** shape).sum()
        logs -= ((log_scale - np.log(30)) / 0.25) ** 2 / 2 + ((shape - 2.5) / 0.5) ** 2 / 2
        return float(np.exp(logs + 12))

    low, high = float(np.log(30) - 2), float(np.log(30) + 2)

    def mass(top: float = high, most: float = 6.0) -> float:
        return float(integrate.dblquad(density, low, top, 1e-3, most, epsrel=1e-8)[0])

    whole = mass()
    for chance in (0.05, 0.5, 0.95):
        life = float(np.log(after.life_percentile_years(chance)))
        assert mass(top=life) / whole == pytest.approx(chance, abs=2e-5)
        shape = after.shape_percentile_ratio(chance)
        assert mass(most=shape) / whole == pytest.approx(chance, abs=2e-5)


def test_known_shape_as_conjugate() -> None:
    """With the shape held and a flat prior (spread 40 of the logarithm) the posterior is the
    closed form gamma(r, sum t^shape): percentiles of the scale and expected survival."""
    record = failed_and_running([9.0, 14.0, 21.0, 25.0], [16.0, 30.0])
    after = updated_curve(CurvePrior("weibull", 20.0, 40.0, 2.5), record)
    exact = KnownShape(2.5, 1e-12, 1e-12).updated(record)
    for chance in (0.05, 0.5, 0.95):
        found = after.life_percentile_years(chance)
        assert found == pytest.approx(exact.scale_percentile_years(chance), rel=1e-4)
    assert survival(after.curve, AGES) == pytest.approx(survival(exact, AGES), abs=1e-4)
    assert after.shape_percentile_ratio(0.5) == pytest.approx(2.5) and after.correlation_ratio == 0


def test_without_a_record_the_prior_comes_back() -> None:
    """Normal and truncated normal percentiles of scipy.stats; the words say it."""
    after = updated_curve(PRIOR, lives_from(()))
    for chance in (0.01, 0.5, 0.99):
        wanted = 30 * np.exp(0.25 * stats.norm.ppf(chance))
        assert after.life_percentile_years(chance) == pytest.approx(wanted, rel=1e-4)
    wide = CurvePrior("weibull", 30.0, 0.25, 1.0, 1.0)
    shape = stats.truncnorm(-1.0, np.inf, loc=1.0, scale=1.0)
    found = updated_curve(wide, lives_from(()))
    assert found.shape_mean_ratio == pytest.approx(shape.mean(), rel=1e-5)
    assert found.shape_percentile_ratio(0.2) == pytest.approx(shape.ppf(0.2), rel=1e-4)
    assert not after.has_moved and after.words.startswith("The record says little: 0 failures")


def test_a_sharp_and_bent_ridge() -> None:
    """300,000 of a million found failed at their only look, at age 10: the record fixes only
    F(10) = 0.3 to 0.0005. Along that ridge the prior decides: a sum over the shape alone, with
    the scale 10 / (-ln 0.7)^(1/shape) and the ridge's width ~ 1/shape, agrees."""
    record = lives_from([0.0, 10.0], [10.0, np.inf], weight_count=[3e5, 7e5])
    after = updated_curve(PRIOR, record)
    assert 1 - survival(after.curve, np.array(10.0)) == pytest.approx(0.3, abs=1e-4)
    shape = np.linspace(0.01, 6.5, 20001)
    logs = np.log(10) - np.log(-np.log(0.7)) / shape
    w = stats.norm(2.5, 0.5).pdf(shape) * stats.norm(np.log(30), 0.25).pdf(logs) / shape
    w /= w.sum()
    assert after.shape_mean_ratio == pytest.approx((w * shape).sum(), rel=1e-4)
    assert after.life_mean_years == pytest.approx((w * np.exp(logs)).sum(), rel=1e-4)


def test_much_record_forgets_the_prior() -> None:
    """800 lives of shape 3 and scale 40 drawn with seed 1: mean and spread of the posterior are
    those of maximum likelihood by scipy.stats with the textbook spread 1.053 / (shape sqrt n)
    (Bain 1978, from memory), within the prior's pull of 1 %."""
    drawn = 40 * np.random.default_rng(1).weibull(3.0, 800)
    shape, _, scale = stats.weibull_min.fit(drawn, floc=0)
    after = updated_curve(PRIOR, lives_from(drawn))
    assert after.life_mean_years == pytest.approx(scale, rel=0.01)
    assert after.shape_mean_ratio == pytest.approx(shape, rel=0.01)
    assert after.life_spread_ratio == pytest.approx(1.053 / shape / np.sqrt(800), rel=0.03)
    assert after.has_moved and after.words.startswith("The record speaks: 800 failures")


def test_a_contradiction_is_told() -> None:
    """200 items at age 60 without a failure do not fit a life of 30 years; nor 40 failures in the
    first day the shape of wear."""
    for record in (failed_and_running((), [60.0] * 200), lives_from([0.001] * 40)):
        after = updated_curve(PRIOR, record)
        assert after.contradicts and after.words.startswith("The record contradicts the prior")


def test_sisters_count_by_their_weight() -> None:
    """0 leaves them out; 0.5 of the same record twice is the record itself once more."""
    own, sisters = failed_and_running([12.0], [20.0]), failed_and_running([9.0], [25.0, 25.0])
    assert pooled(own, sisters, 0.0) is own
    assert pooled(own, sisters, 0.25).weight_count.tolist() == [1, 1, 0.25, 0.25, 0.25]
    half = updated_curve(PRIOR, pooled(own, together(sisters, sisters), 0.5))
    once = updated_curve(PRIOR, together(own, sisters))
    assert half.life_mean_years == pytest.approx(once.life_mean_years, rel=1e-9)
    with pytest.raises(ValueError, match="between 0 and 1"):
        pooled(own, sisters, 1.5)


def test_refusals() -> None:
    for wrong in (
        {"kind": "stepped"},
        {"kind": "limited_weibull"},
        {"shape_law": "gamma"},
        {"life_years": 0.0},
        {"life_spread_ratio": float("nan")},
        {"shape_spread_ratio": -0.1},
    ):
        good = {"kind": "weibull", "life_years": 30.0, "life_spread_ratio": 0.25}
        with pytest.raises(ValueError, match="not known|above 0|0 or more"):
            CurvePrior(**(good | wrong))
    with pytest.raises(ValueError, match="1e-6"):
        updated_curve(PRIOR, lives_from([12.0])).life_percentile_years(0.0)
