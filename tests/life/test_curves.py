"""Every curve keeps its contract and agrees with general-purpose libraries."""

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, optimize, stats

from bundler.life.curves import CURVES, LifeCurve, curve_from
from bundler.life.derived import hazard, mean_residual_years, survival

AGES = np.linspace(0.0, 60.0, 121)
EXAMPLES: dict[str, LifeCurve] = {
    "exponential": curve_from("exponential", 25.0, 1.0),
    "weibull": curve_from("weibull", 30.0, 2.4, 3.0),
    "lognormal": curve_from("lognormal", 20.0, 0.7),
    "gamma": curve_from("gamma", 8.0, 3.5),
    "stepped": curve_from("stepped", 1.0, 1.0, 0.0, ((0.0, 5.0, 20.0), (0.05, 0.01, 0.2))),
}
SCIPY = {
    "exponential": stats.expon(scale=25.0),
    "weibull": stats.weibull_min(2.4, loc=3.0, scale=30.0),
    "lognormal": stats.lognorm(0.7, scale=20.0),
    "gamma": stats.gamma(3.5, scale=8.0),
}


def test_every_curve_has_an_example() -> None:
    assert set(EXAMPLES) == set(CURVES)


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_contract(name: str) -> None:
    """H(0) = 0, never falls, keeps the shape of its argument, survival within 0 and 1."""
    curve = EXAMPLES[name]
    held = curve.cumulative_hazard(AGES)
    assert held[0] == 0.0
    assert (np.diff(held) >= 0).all()
    assert curve.cumulative_hazard(AGES.reshape(11, 11)).shape == (11, 11)
    alive = survival(curve, AGES)
    assert (alive <= 1).all() and (alive > 0).all()


@pytest.mark.parametrize("name", sorted(SCIPY))
def test_agrees_with_scipy(name: str) -> None:
    """Survival, also in the far tail, and the hazard equal scipy.stats."""
    curve, known = EXAMPLES[name], SCIPY[name]
    assert survival(curve, AGES) == pytest.approx(known.sf(AGES), rel=1e-12)
    far = np.array([200.0, 400.0])
    assert -curve.cumulative_hazard(far) == pytest.approx(known.logsf(far), rel=1e-10)
    ages = np.linspace(6.0, 50.0, 12)
    assert hazard(curve, ages) == pytest.approx(known.pdf(ages) / known.sf(ages), rel=1e-7)


def test_agrees_with_the_reliability_library() -> None:
    """`reliability` 0.9, Weibull, lognormal, gamma and exponential distributions."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from reliability.Distributions import (
            Exponential_Distribution,
            Gamma_Distribution,
            Lognormal_Distribution,
            Weibull_Distribution,
        )

        known = {
            "exponential": Exponential_Distribution(1 / 25.0),
            "weibull": Weibull_Distribution(alpha=30.0, beta=2.4, gamma=3.0),
            "lognormal": Lognormal_Distribution(mu=float(np.log(20.0)), sigma=0.7),
            "gamma": Gamma_Distribution(alpha=8.0, beta=3.5),
        }
        for name, other in known.items():
            wanted = np.asarray(other.SF(AGES[1:], show_plot=False))
            assert survival(EXAMPLES[name], AGES[1:]) == pytest.approx(wanted, rel=1e-9), name


def test_a_stepped_curve_by_hand() -> None:
    """Rates 0.05 to age 5, 0.01 to 20, then 0.2: H(30) = 0.25 + 0.15 + 2."""
    held = EXAMPLES["stepped"].cumulative_hazard(np.array([0.0, 2.0, 5.0, 20.0, 30.0]))
    assert held == pytest.approx([0.0, 0.1, 0.25, 0.4, 2.4])


@given(st.floats(0.3, 6.0), st.floats(0.5, 80.0), st.floats(0.0, 90.0), st.floats(0.01, 40.0))
def test_conditional_survival_chains(shape: float, scale: float, age: float, span: float) -> None:
    """S(a + x) = S(a) x S(x given a) for any Weibull."""
    curve = curve_from("weibull", scale, shape)
    both = survival(curve, np.array([age, age + span]))
    given_age = np.exp(
        curve.cumulative_hazard(np.array(age)) - curve.cumulative_hazard(np.array(age + span))
    )
    assert both[1] == pytest.approx(float(both[0] * given_age), rel=1e-9, abs=1e-300)


@pytest.mark.parametrize(
    ("kind", "life", "shape"), [("weibull", 0.0, 2.0), ("weibull", 10.0, -1.0), ("gamma", 10.0, 0.0), ("lognormal", -1.0, 1.0), ("exponential", 0.0, 1.0)]
)  # fmt: skip
def test_parameters_below_zero_are_refused(kind: str, life: float, shape: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        curve_from(kind, life, shape)


def test_steps_have_to_rise_from_zero() -> None:
    for steps in (
        ((1.0,), (0.1,)),
        ((0.0, 0.0), (0.1, 0.2)),
        ((0.0, 1.0), (0.1,)),
        ((0.0,), (-1.0,)),
    ):
        with pytest.raises(ValueError, match="stepped|ages"):
            curve_from("stepped", 1.0, 1.0, 0.0, steps)
    with pytest.raises(ValueError, match="steps"):
        curve_from("stepped", 1.0, 1.0)


FAILURES = np.array([54, 187, 216, 240, 244, 335, 361, 373, 375, 386], dtype=float)
CENSORED = np.full(10, 500.0)


def log_likelihood(curve: LifeCurve) -> float:
    """Return the log-likelihood of the censored data from H and h of our curve."""
    died = np.log(hazard(curve, FAILURES)) - curve.cumulative_hazard(FAILURES)
    return float(died.sum() - curve.cumulative_hazard(CENSORED).sum())


def test_nist_censored_weibull() -> None:
    """NIST/SEMATECH e-Handbook 8.4.1.3: eta 606.5280, beta 1.7208, log-likelihood -75.135,
    AIC 154.27, mean life 540.737 h, standard deviation 323.806 h."""
    curve = curve_from("weibull", 606.5280, 1.7208)
    assert log_likelihood(curve) == pytest.approx(-75.135, abs=0.005)
    assert 4 - 2 * log_likelihood(curve) == pytest.approx(154.27, abs=0.005)
    assert mean_residual_years(curve, 0.0) == pytest.approx(540.737, rel=1e-4)
    second, _ = integrate.quad(lambda t: 2 * t * float(survival(curve, np.array(t))), 0, 6000)
    spread = (second - mean_residual_years(curve, 0.0) ** 2) ** 0.5
    assert spread == pytest.approx(323.806, rel=1e-4)

    def wrong(x: np.ndarray) -> float:
        return -log_likelihood(curve_from("weibull", float(x[0]), float(x[1])))

    best = optimize.minimize(
        wrong, [500.0, 1.5], method="Nelder-Mead", options={"xatol": 1e-6, "fatol": 1e-12}
    )
    assert best.x == pytest.approx([606.5280, 1.7208], rel=1e-4)


def test_nist_lognormal_and_exponential() -> None:
    """Same data (references 1.1, computed): lognormal mu 6.22602, sigma 0.90891 gives -75.19627;
    the exponential mean is 777.1 h."""
    lognormal = curve_from("lognormal", float(np.exp(6.22602)), 0.90891)
    assert log_likelihood(lognormal) == pytest.approx(-75.19627, abs=1e-4)
    rates = [log_likelihood(curve_from("exponential", mean, 1.0)) for mean in (770.0, 777.1, 784.0)]
    assert rates[1] == max(rates)
