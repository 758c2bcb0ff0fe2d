"""Profile-likelihood bounds against closed forms, surpyval's and a brute grid."""

import time

import numpy as np
import pytest
from scipy import optimize, special, stats

from bundler.life.bounds import (
    Bounds,
    age_bounds,
    all_bounds,
    chance_band,
    chance_bounds,
    chance_scale_below,
    parameter_bounds,
    scale_sigma_ratio,
)
from bundler.life.fit import fit
from bundler.life.kinds import KINDS
from bundler.life.likelihood import likelihood_of
from bundler.life.lives import Lives, failed_and_running, lives_from
from tests.life import records


def ends(bounds: Bounds) -> tuple[float, float]:
    return bounds.low, bounds.high


def exponential_ends(failures: float, total: float, level: float) -> list[float]:
    """Solve 2 (l(max) - l(mean)) = chi2 with l = -r ln mean - T / mean, by hand."""
    drop = stats.chi2.ppf(level, 1)

    def over(mean: float) -> float:
        best = total / failures
        return 2 * failures * (np.log(mean / best) + best / mean - 1) - drop

    middle = total / failures
    return [optimize.brentq(over, middle / 50, middle), optimize.brentq(over, middle, 50 * middle)]


@pytest.mark.parametrize("level", [0.5, 0.9, 0.99])
def test_exponential_closed_form(level: float) -> None:
    """Fans, Nelson (1969): 12 failures in 344,440 h, the equation solved by hand; ages and chances
    follow, as each is a function of the mean alone."""
    lives = records.fans()
    made = fit(lives, "exponential")
    known = exponential_ends(12, 344440, level)
    assert ends(parameter_bounds(lives, made, "mean_years", level=level)) == pytest.approx(
        known, rel=1e-6
    )
    ages = -np.log(0.9) * np.array(known)
    assert ends(age_bounds(lives, made, 0.1, level=level)) == pytest.approx(ages.tolist(), rel=1e-6)
    chances = -np.expm1(-5000 / np.array(known[::-1]))
    found = chance_bounds(lives, made, 5000.0, level=level)
    assert ends(found) == pytest.approx(chances.tolist(), rel=1e-6)


@pytest.mark.parametrize(
    ("kind", "lives"),
    [
        ("weibull", records.NIST),
        ("lognormal", records.LOCOMOTIVE),
        ("weibull", records.late_record(2)),
        ("gamma", records.late_record(2)),
    ],
)
def test_parameters_ages_and_chances_by_surpyval(kind: str, lives: Lives) -> None:
    """surpyval 0.25, likelihood-ratio bounds of parameters, quantile and failure chance; late
    entry by `tl`. It writes gamma by shape and rate, lognormal by mu and sigma."""
    surpyval = pytest.importorskip("surpyval")
    law = {"weibull": "Weibull", "lognormal": "LogNormal", "gamma": "Gamma"}[kind]
    made, late = fit(lives, kind), {"tl": lives.entry_years} if lives.has_late_entry else {}
    other = getattr(surpyval, law).fit(
        x=lives.low_years, c=lives.is_running.astype(int), n=lives.weight_count.astype(int), **late
    )
    scale, shape = all_bounds(lives, made)
    known = {
        name: other.param_cb(name, alpha_ci=0.1, method="lr") for name in other.parameter_names
    }
    names = list(other.parameter_names)
    expected = {
        "weibull": lambda: (known[names[0]], known[names[1]]),
        "lognormal": lambda: (np.exp(known[names[0]]), known[names[1]]),
        "gamma": lambda: (1 / known[names[1]][::-1], known[names[0]]),
    }[kind]()
    assert ends(scale) == pytest.approx(expected[0].tolist(), rel=1e-4)
    assert ends(shape) == pytest.approx(expected[1].tolist(), rel=1e-4)
    quantile = np.ravel(other.quantile_cb(0.1, alpha_ci=0.1, method="lr"))
    assert ends(age_bounds(lives, made, 0.1)) == pytest.approx(quantile.tolist(), rel=1e-4)
    age = float(np.median(lives.low_years))
    failed = np.sort(np.ravel(other.cb(age, on="ff", alpha_ci=0.1, method="lr")))
    assert ends(chance_bounds(lives, made, age)) == pytest.approx(failed.tolist(), rel=1e-4)


def test_heavy_censoring_by_a_brute_grid() -> None:
    """Cage, 6 of 1,703: the ends of the likelihood region on a grid of both parameters, to its step."""
    made = fit(records.CAGE, "weibull")
    chance = likelihood_of(records.CAGE, KINDS["weibull"])
    log_scales, log_shapes = np.linspace(8, 12, 401), np.linspace(-0.2, 1.4, 201)
    grid = np.array([[chance(a, b) for b in log_shapes] for a in log_scales])
    inside = made.log_likelihood - grid <= stats.chi2.ppf(0.9, 1) / 2
    scale, shape = all_bounds(records.CAGE, made)
    found = log_scales[inside.any(axis=1)]
    assert np.log(ends(scale)) == pytest.approx([found[0], found[-1]], abs=0.01)
    found = log_shapes[inside.any(axis=0)]
    assert np.log(ends(shape)) == pytest.approx([found[0], found[-1]], abs=0.008)
    a, b = np.meshgrid(log_scales, log_shapes, indexing="ij")
    logs = (a + np.log(-np.log(0.9)) / np.exp(b))[inside]
    found_age = np.log(ends(age_bounds(records.CAGE, made, 0.1)))
    assert found_age == pytest.approx([logs.min(), logs.max()], abs=0.02)


def test_limited_population_by_a_brute_grid() -> None:
    """Circuits, Meeker (1987): for each share the best scale and shape by another optimiser; the
    bounds of the share are where its deviance passes the chi-square quantile."""
    lives = records.circuits()
    made = fit(lives, "limited_weibull")
    chance = likelihood_of(lives, KINDS["limited_weibull"])
    found = parameter_bounds(lives, made, "failing_share")
    for end in ends(found):
        odds = special.logit(end)
        best = optimize.minimize(lambda p: -chance(p[0], p[1], odds), [3.3, -0.7], method="Powell")  # noqa: B023
        deviance = 2 * (made.log_likelihood + best.fun)
        assert deviance == pytest.approx(stats.chi2.ppf(0.9, 1), rel=1e-3)
    assert found.note == ""


def test_a_record_that_does_not_limit_says_so() -> None:
    """Circuits as a plain Weibull: its scale is 10^14 h, a guess the record cannot limit. NIST: the
    share that can fail has no upper bound, its deviance at 1 is below the quantile."""
    lives = records.circuits()
    scale = parameter_bounds(lives, fit(lives, "weibull"), "scale_years")
    assert scale.open_sides == ("below", "above")
    assert scale.note == "The record does not limit the life from below or above."
    limited, plain = (fit(records.NIST, kind) for kind in ("limited_weibull", "weibull"))
    assert 2 * (limited.log_likelihood - plain.log_likelihood) < stats.chi2.ppf(0.9, 1)
    share = parameter_bounds(records.NIST, limited, "failing_share")
    assert share.high == 1.0
    assert share.note == "The record does not limit the failing share from above."


def test_what_is_open_and_what_is_not() -> None:
    """One failure in 5 years limits a mean within a factor 100, by the equation solved by hand; a
    bound at 0, at inf or beyond that factor is called open."""
    lives = failed_and_running([4.0], [1.0])
    found = parameter_bounds(lives, fit(lives, "exponential"), "mean_years", level=0.9)
    assert ends(found) == pytest.approx(exponential_ends(1, 5.0, 0.9), rel=1e-6)
    never = Bounds("scale_years", 10.0, 4.0, np.inf, 0.9)
    assert never.note == "The record does not limit the life from above."
    assert Bounds("shape_ratio", 2.0, 0.0, 3.0, 0.9).note == (
        "The record does not limit the shape ratio from below."
    )
    assert Bounds("scale_years", 10.0, 4.0, 1001.0, 0.9).open_sides == ("above",)
    assert Bounds("scale_years", 10.0, 4.0, 999.0, 0.9).open_sides == ()


def test_confidence_of_the_scale() -> None:
    """Its quantiles are the profile bounds, at any level; the middle is the estimate; order and
    shape of the scales do not matter."""
    lives = records.late_record(4)
    made = fit(lives, "weibull")
    scale = made.parameters["scale_years"]
    assert chance_scale_below(lives, made, scale) == pytest.approx(0.5, abs=1e-4)
    for level in (0.5, 0.9, 0.99):
        found = parameter_bounds(lives, made, "scale_years", level=level)
        below = chance_scale_below(lives, made, ends(found))
        assert below == pytest.approx([(1 - level) / 2, (1 + level) / 2], abs=1e-6)
    many = np.array([[80.0, 20.0, 35.0], [35.0, 28.0, 31.0]])
    found = chance_scale_below(lives, made, many)
    assert found.shape == (2, 3)
    assert found[0, 2] == pytest.approx(found[1, 0])
    assert (np.diff(found.ravel()[np.argsort(many.ravel())]) >= 0).all()
    with pytest.raises(ValueError, match="above 0 everywhere"):
        chance_scale_below(lives, made, [10.0, 0.0])


def test_sigma_of_the_scale() -> None:
    """Exponential with many failures: the standard error of ln mean is 1 / sqrt(r), to 1 / r."""
    lives = lives_from(np.full(1, 7.0), weight_count=400)
    assert scale_sigma_ratio(lives, fit(lives, "exponential")) == pytest.approx(0.05, rel=1 / 400)


def test_band() -> None:
    """Each row is the bounds of its age; at age 0 nothing has failed, and far out all has."""
    made = fit(records.NIST, "weibull")
    band = chance_band(records.NIST, made, [0.0, 1e-3, 200.0, 500.0, 1e5])
    assert list(band.columns) == ["age_years", "failed_chance", "low_chance", "high_chance"]
    assert band.loc[0].tolist() == [0, 0, 0, 0]
    alone = chance_bounds(records.NIST, made, 200.0)
    assert band.loc[2].tolist() == [200.0, alone.estimate, *ends(alone)]
    assert (band["low_chance"] <= band["failed_chance"]).all()
    assert (band["failed_chance"] <= band["high_chance"]).all()
    assert (band.diff().loc[1:].to_numpy() >= -1e-12).all()
    assert band.loc[4].tolist()[1:] == pytest.approx([1, 1, 1])


@pytest.mark.parametrize("kind", ["weibull", "lognormal", "gamma"])
def test_fast_enough_to_draw(kind: str) -> None:
    """A profile interval of 50 lives takes below 50 ms; the best of three, as the machine is shared."""
    rng = np.random.default_rng(5)
    age = 30 * rng.weibull(2.0, 50)
    lives = lives_from(np.minimum(age, 25), np.where(age > 25, np.inf, age))
    made = fit(lives, kind)
    seconds = []
    for _ in range(3):
        start = time.process_time()
        all_bounds(lives, made)
        seconds.append((time.process_time() - start) / 2)
    assert min(seconds) < 0.05


def test_what_cannot_be_is_refused() -> None:
    made = fit(records.NIST, "weibull")
    with pytest.raises(
        ValueError, match="'median_years' is no parameter of this fit; it has scale"
    ):
        parameter_bounds(records.NIST, made, "median_years")
    with pytest.raises(ValueError, match="give the lives that it was fitted to"):
        parameter_bounds(records.LASER, made, "scale_years")
    for level in (0.0, 1.0, np.nan):
        with pytest.raises(ValueError, match="a confidence level lies between 0 and 1"):
            age_bounds(records.NIST, made, 0.1, level=level)
    for share in (0.0, 1.0):
        with pytest.raises(ValueError, match="has to lie between 0 and 1"):
            age_bounds(records.NIST, made, share)
    with pytest.raises(ValueError, match="has to be 0 or more"):
        chance_bounds(records.NIST, made, -1.0)
    limited = fit(records.circuits(), "limited_weibull")
    with pytest.raises(ValueError, match=r"Only a share of 0\.00674 can fail"):
        age_bounds(records.circuits(), limited, 0.1)
