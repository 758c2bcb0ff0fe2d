"""Maximum likelihood fits against published figures."""

import numpy as np
import pytest
from scipy import special

from bundler.life.derived import mean_residual_years, span_to_rise, survival
from bundler.life.fit import FEWEST, LifeNotFixed, TooFewFailures, compare, fit
from bundler.life.kinds import KINDS
from bundler.life.lives import Lives, failed_and_running, lives_from, together
from bundler.life.mixed import LimitedFailures
from tests.life import records

INF = np.inf


def scale_shape(lives: Lives, kind: str = "weibull") -> list[float]:
    return list(fit(lives, kind).parameters.values())


def log_scale(lives: Lives) -> list[float]:
    """Return mu and sigma of a lognormal fit."""
    median, sigma = scale_shape(lives, "lognormal")
    return [float(np.log(median)), sigma]


def test_nist_weibull() -> None:
    """NIST/SEMATECH e-Handbook 8.4.1.3: eta 606.5280, beta 1.7208, log-likelihood -75.135, AIC
    154.27 (lognormal 154.39), mean 540.737, standard deviation 323.806; digits beyond by lifelines,
    surpyval and reliability (606.52756, 1.720797, -75.134618)."""
    made = fit(records.NIST, "weibull")
    assert list(made.parameters.values()) == pytest.approx([606.52756, 1.720797], rel=1e-6)
    assert made.log_likelihood == pytest.approx(-75.134618, abs=1e-6)
    assert made.aic == pytest.approx(154.27, abs=0.005)
    assert fit(records.NIST, "lognormal").aic == pytest.approx(154.39, abs=0.005)
    assert mean_residual_years(made.curve, 0.0) == pytest.approx(540.737, rel=1e-5)
    shape, scale = made.parameters["shape_ratio"], made.parameters["scale_years"]
    deviation = scale * np.sqrt(special.gamma(1 + 2 / shape) - special.gamma(1 + 1 / shape) ** 2)
    assert deviation == pytest.approx(323.806, rel=1e-4)
    assert log_scale(records.NIST) == pytest.approx([6.22602, 0.90891], rel=1e-5)
    assert scale_shape(records.NIST, "exponential") == pytest.approx([777.1], rel=1e-7)
    assert (made.failures_count, made.items_count) == (10, 20)


def test_shock_absorber() -> None:
    """O'Connor (1985), Meeker and Escobar (1998): mu 10.23, sigma 0.3164 (from memory); digits
    beyond computed with numpy."""
    made = fit(records.SHOCK, "weibull")
    scale, shape = made.parameters.values()
    assert (np.log(scale), 1 / shape) == pytest.approx((10.23, 0.3164), abs=5e-4)
    assert (scale, shape) == pytest.approx((27718.718, 3.160470), rel=1e-6)
    assert made.log_likelihood == pytest.approx(-123.99536, abs=1e-5)
    assert span_to_rise(made.curve, 0.0, -np.log(0.9)) == pytest.approx(13600.03, rel=1e-6)
    failed = 1 - survival(made.curve, np.array([10000.0, 20000.0]))
    assert failed == pytest.approx([0.0390841, 0.2998577], rel=1e-5)
    assert log_scale(records.SHOCK) == pytest.approx([10.14477, 0.530068], rel=1e-6)


def test_bearing_cage_with_six_failures_of_1703() -> None:
    """Abernethy et al. (1983), Meeker and Escobar (1998): 11,792 and 2.035 (from memory)."""
    made = fit(records.CAGE, "weibull")
    assert made.items_count == 1703
    assert list(made.parameters.values()) == pytest.approx([11792.178, 2.035319], rel=1e-6)
    assert made.log_likelihood == pytest.approx(-76.436896, abs=1e-6)
    assert span_to_rise(made.curve, 0.0, -np.log(0.9)) == pytest.approx(3903.127, rel=1e-6)
    assert 1 - survival(made.curve, np.array(8000.0)) == pytest.approx(0.364907, rel=1e-5)


def test_ball_bearings() -> None:
    """Lieblein and Zelen (1956); surpyval's loader gives 81.875 and 2.102."""
    lives = records.bearings()
    made = fit(lives, "weibull")
    assert list(made.parameters.values()) == pytest.approx([81.8746, 2.10185], rel=5e-6)
    assert made.log_likelihood == pytest.approx(-113.69196, abs=1e-5)
    assert log_scale(lives) == pytest.approx([4.150383, 0.521687], rel=1e-6)
    assert fit(lives, "lognormal").log_likelihood == pytest.approx(-113.12855, abs=1e-5)


def test_diesel_fans() -> None:
    """Nelson (1969, 1982): mean 28,700 h (from memory); digits beyond computed with numpy."""
    lives = records.fans()
    assert scale_shape(lives, "exponential") == pytest.approx([344440 / 12], rel=1e-7)
    made = fit(lives, "weibull")
    assert list(made.parameters.values()) == pytest.approx([26296.845, 1.058446], rel=1e-6)
    assert made.log_likelihood == pytest.approx(-135.152720, abs=1e-6)
    assert log_scale(lives) == pytest.approx([10.143239, 1.679593], rel=1e-6)


def test_locomotive_controls() -> None:
    """Nelson (1982): lognormal 5.117, 0.705 (from memory); digits beyond computed with numpy."""
    assert log_scale(records.LOCOMOTIVE) == pytest.approx([5.116925, 0.705494], rel=1e-6)
    assert scale_shape(records.LOCOMOTIVE) == pytest.approx([183.3988, 2.331253], rel=1e-6)
    found = [fit(records.LOCOMOTIVE, kind).log_likelihood for kind in ("lognormal", "weibull")]
    assert found == pytest.approx([-237.093545, -237.382513], abs=1e-6)


def test_tubes_found_at_inspections() -> None:
    """Heat-exchanger tubes, Meeker and Escobar (1998) example 1.5: every failure in an interval."""
    made = fit(records.TUBES, "weibull")
    assert list(made.parameters.values()) == pytest.approx([23.6199, 1.345515], rel=5e-6)
    assert made.log_likelihood == pytest.approx(-54.414705, abs=1e-6)
    assert 1 - survival(made.curve, np.array(10.0)) == pytest.approx(0.269914, rel=1e-5)
    simple = fit(records.TUBES, "exponential")
    assert simple.parameters["mean_years"] == pytest.approx(53.49844, rel=1e-6)
    assert simple.log_likelihood == pytest.approx(-54.776338, abs=1e-6)


def test_air_conditioners() -> None:
    """Proschan (1963) Technometrics; Davison and Hinkley (1997)."""
    twelve, seven = records.conditioners("aircondit"), records.conditioners("aircondit7")
    assert scale_shape(twelve) == pytest.approx([94.9649, 0.793944], rel=5e-6)
    assert scale_shape(seven) == pytest.approx([64.7924, 1.024919], rel=5e-6)
    assert scale_shape(twelve, "exponential") == pytest.approx([1297 / 12], rel=1e-7)
    assert scale_shape(seven, "exponential") == pytest.approx([1539 / 24], rel=1e-7)


def test_limited_failure_population() -> None:
    """Meeker (1987): p 0.00674, mu 3.34, sigma 2.02 (from memory); digits beyond by numpy."""
    made = fit(records.circuits(), "limited_weibull")
    scale, shape, share = made.parameters.values()
    assert (share, np.log(scale), 1 / shape) == pytest.approx(
        (0.0067445, 3.34523, 2.01623), rel=1e-5
    )
    assert isinstance(made.curve, LimitedFailures)


def test_small_published_sets() -> None:
    """doi 10.1080/00224065.1997.11979730 (2.7540, 67.9188); Abernethy, The New Weibull Handbook,
    appendix C (2.257, 4900.1); Krivtsov and Case (1999), computed with numpy."""
    failed = [45, 46, 34, 45, 32, 24, 58, 79, 56, 63, 34, 50]
    first = failed_and_running(failed, [23, 24, 57, 78, 76, 85, 51, 59])
    assert scale_shape(first) == pytest.approx([67.9188, 2.7540], rel=2e-5)
    second = failed_and_running([1500, 7000, 2250, 4000, 4300], [1750, 5000])
    assert scale_shape(second) == pytest.approx([4900.106, 2.257043], rel=1e-6)
    cars = records.automotive()
    assert scale_shape(cars) == pytest.approx([134651.04, 1.154427], rel=1e-6)
    assert log_scale(cars) == pytest.approx([11.547713, 1.384751], rel=1e-6)


def test_pseudo_lives_of_lasers() -> None:
    """GaAs lasers, Meeker and Escobar (1998) C.17: fits of the pseudo-lives, by numpy
    from lives with more digits than the 0.1 h printed here, hence 1e-4."""
    assert scale_shape(records.LASER) == pytest.approx([5482.75, 6.59998], rel=1e-4)
    assert log_scale(records.LASER) == pytest.approx([8.515904, 0.204077], rel=1e-4)


def test_compare_says_when_it_cannot_tell() -> None:
    """NIST data: the two kinds differ by 0.12 in AIC. Cage: the exponential's likelihood is
    r ln(r / T) - r, 1.58 in AIC from the Weibull; a limited fit of 6 failures is not made.
    Circuits (Meeker 1987): the limited Weibull leaves the plain one far behind."""
    table = compare(records.NIST)
    assert table["kind"].tolist() == ["weibull", "lognormal"]
    assert table["aic_delta"].tolist() == pytest.approx([0, 154.39 - 154.27], abs=0.01)
    assert table["note"].tolist() == ["", "Too close to the best to tell which is right."]
    table = compare(records.CAGE, ("limited_weibull", "weibull", "exponential"))
    assert table["kind"].tolist() == ["weibull", "exponential", "limited_weibull"]
    assert table["note"][2].startswith("Not fitted. The record holds 6 failures; a limited_weibull")
    total = records.CAGE.weight_count @ records.CAGE.low_years
    simple = 6 * np.log(6 / total) - 6
    assert table["log_likelihood"][1] == pytest.approx(simple, rel=1e-9)
    assert table["aic_delta"][1] == pytest.approx(2 * (-76.436896 - simple) - 2, abs=1e-4)
    assert table["note"].tolist()[:2] == ["", "Too close to the best to tell which is right."]
    assert np.isnan(table["aic"][2])
    table = compare(records.circuits(), ("weibull", "limited_weibull"))
    assert table["kind"].tolist() == ["limited_weibull", "weibull"]
    assert table["aic_delta"][1] > 10
    assert table["note"].tolist() == ["", ""]


@pytest.mark.parametrize("kind", list(KINDS))
def test_too_few_failures_are_refused(kind: str) -> None:
    few = FEWEST[kind] - 1
    lives = failed_and_running(np.arange(1, few + 1), [20, 30])
    with pytest.raises(
        TooFewFailures, match=f"{few} failures; a {kind} fit needs {few + 1} or more"
    ):
        fit(lives, kind)


def test_weights_count_towards_the_fewest() -> None:
    """Ten failures of a sister at a third count as 3.3; and a weight is as good as repeats."""
    ages = [4.0, 5, 6, 7, 8, 9, 10, 11, 12, 13]
    with pytest.raises(TooFewFailures, match=r"3\.33333 failures"):
        fit(lives_from(ages).weighted(1 / 3), "weibull")
    twice = fit(together(lives_from(ages), lives_from(ages)), "gamma")
    assert list(
        fit(lives_from(ages, weight_count=2), "gamma").parameters.values()
    ) == pytest.approx(list(twice.parameters.values()), rel=1e-6)


@pytest.mark.parametrize(
    ("lives", "kind", "words"),
    [
        (failed_and_running([5.0] * 6, [3.0]), "weibull", "shape runs away"),
        (failed_and_running([5.0] * 6, [3.0]), "lognormal", "shape runs away"),
        (lives_from([0] * 6, [1] * 6), "exponential", "does not fix a exponential life"),
        (lives_from([0] * 6, [1] * 6), "weibull", "does not fix a weibull life"),
        (
            lives_from([0] * 6 + [1] * 4, [1] * 6 + [INF] * 4),
            "gamma",
            "several lives are as likely",
        ),
    ],
)
def test_records_that_fix_nothing_are_refused(lives: Lives, kind: str, words: str) -> None:
    """Failures at one age; none ever seen alive; one look only: no likelihood has a single top."""
    with pytest.raises(LifeNotFixed, match=words):
        fit(lives, kind)


def test_ages_stretch_with_their_unit() -> None:
    """The same record in hours and years gives the same shape, and scales in the ratio of units."""
    late = records.late_record(3)
    hours = Lives(
        *(8766 * getattr(late, n) for n in ("entry_years", "low_years", "high_years")),
        late.weight_count,
        late.mode,
    )
    for kind in ("weibull", "lognormal", "gamma"):
        years, same = scale_shape(late, kind), scale_shape(hours, kind)
        assert same == pytest.approx([8766 * years[0], years[1]], rel=1e-5)


def test_unknown_kinds_are_refused() -> None:
    with pytest.raises(ValueError, match="'weibul' cannot be fitted; the kinds are exponential"):
        fit(records.NIST, "weibul")


def test_a_limited_fit_that_is_not_limited() -> None:
    """Where the best share is 1 the fit is the plain one, with the same likelihood."""
    plain, limited = (fit(records.NIST, kind) for kind in ("lognormal", "limited_lognormal"))
    assert limited.parameters["failing_share"] == 1.0
    assert limited.log_likelihood == pytest.approx(plain.log_likelihood, abs=1e-8)
