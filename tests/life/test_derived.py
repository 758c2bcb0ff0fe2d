"""Residual life and chances against printed tables and exact values."""

import numpy as np
import pytest

from bundler.life.curves import LifeCurve, curve_from
from bundler.life.derived import failure_chance, hazard, mean_residual_years, median_residual_years

#: beta, eta [h], printed mean [h] (a widely reposted table of typical Weibull parameters of
#: machinery, attributed from memory to P. Barringer; the printed means were read in a repost)
HANDBOOK = [
    (1.5, 100000, 90275), (1.9, 60000, 53242), (2.5, 800000, 709811), (3, 1000000, 892980),
    (2, 300000, 265868), (1.2, 100000, 94066), (1.2, 50000, 47033), (1.2, 35000, 32923),
    (1.7, 65000, 57996), (2.5, 800000, 709811), (3, 900000, 803682), (1.1, 200000, 192982),
    (1, 100000, 100000), (1.1, 25000, 24123), (1.1, 75000, 72368), (0.7, 100000, 126582),
    (1.6, 125000, 112072),
]  # fmt: skip

#: eta, beta, age, span, R(x|t), F(x|t), mean residual, median residual, hazard (references 2.1:
#: textbook formulae, verified by quadrature)
RESIDUAL = [
    (1000, 2.5, 500, 250, 0.733181061, 0.266818939, 490.792556, 445.785171, 8.83883476e-4),
    (1000, 2.5, 1000, 500, 0.172790403, 0.827209597, 288.151096, 234.462452, 2.5e-3),
    (27718.71813, 3.16047031, 20000, 8000, 0.508671488, 0.491328512, 9091.0798, 8146.7156, 5.63309e-5),
    (606.527558, 1.72079726, 500, 100, 0.767726207, 0.232273793, 303.117288, 240.684391, 2.46841575e-3),
    (11792.17817, 2.03531861, 2000, 2000, 0.919676748, 0.080323252, 8697.0999, 8035.6877, 2.74953e-5),
    (20, 3.5, 15, 1.5, 0.865310024, 0.134689976, 5.904673653, 5.327535160, 0.085249376),
    (1000, 1, 500, 250, 0.778800783, 0.221199217, 1000, 693.147181, 1e-3),
    (1000, 0.5, 500, 250, 0.853065776, 0.146934224, 3414.213562, 1460.711157, 7.07106781e-4),
]  # fmt: skip


@pytest.mark.parametrize(("beta", "eta", "mean"), HANDBOOK)
def test_mean_life_of_a_printed_table(beta: float, eta: float, mean: float) -> None:
    """All 17 rows to the printed hour (references 1.19)."""
    assert mean_residual_years(curve_from("weibull", eta, beta), 0.0) == pytest.approx(mean, abs=1)


@pytest.mark.parametrize("row", RESIDUAL)
def test_conditional_survival_and_residual_life(row: tuple[float, ...]) -> None:
    """References 2.1, every row; printed digits limit two hazards and two lives to 1e-5."""
    eta, beta, age, span, alive, gone, mean, median, rate = row
    curve = curve_from("weibull", eta, beta)
    chance = float(failure_chance(curve, np.array(float(age)), np.array(float(span))))
    assert chance == pytest.approx(gone, rel=1e-6)
    assert 1 - chance == pytest.approx(alive, rel=1e-6)
    assert mean_residual_years(curve, age) == pytest.approx(mean, rel=1e-6)
    assert median_residual_years(curve, age) == pytest.approx(median, rel=1e-6)
    assert float(hazard(curve, np.array(float(age)))) == pytest.approx(rate, rel=2e-6)


@pytest.mark.parametrize(
    ("mu", "sigma", "age", "alive", "mean"),
    [(10.14477068, 0.53006804, 20000, 0.675514711, 16333.8077), (6.0, 0.8, 500, 0.394249549, 490.022925)],
)  # fmt: skip
def test_lognormal_residual_life(
    mu: float, sigma: float, age: float, alive: float, mean: float
) -> None:
    """References 2.1, lognormal rows (textbook formula, verified by quadrature)."""
    curve = curve_from("lognormal", float(np.exp(mu)), sigma)
    assert float(np.exp(-curve.cumulative_hazard(np.array(float(age))))) == pytest.approx(
        alive, rel=1e-6
    )
    assert mean_residual_years(curve, age) == pytest.approx(mean, rel=1e-6)


def test_memoryless() -> None:
    """An exponential life has the same residual life at every age."""
    curve: LifeCurve = curve_from("exponential", 12.0, 1.0)
    for age in (0.0, 5.0, 40.0):
        assert mean_residual_years(curve, age) == pytest.approx(12.0, rel=1e-9)


def test_deferral_as_added_failure_probability() -> None:
    """References 2.2, eta 20 y, beta 3.5, age 15 y: 1.5 y adds 0.134689976, 3 y 0.278364891;
    times 2,000,000: 269,379.95 and 556,729.78. The chances chain."""
    curve = curve_from("weibull", 20.0, 3.5)
    short, long, second = failure_chance(
        curve, np.array([15.0, 15.0, 16.5]), np.array([1.5, 3.0, 1.5])
    )
    assert short == pytest.approx(0.134689976, rel=1e-8)
    assert long == pytest.approx(0.278364891, rel=1e-8)
    assert short * 2e6 == pytest.approx(269379.95, abs=0.005)
    assert long * 2e6 == pytest.approx(556729.78, abs=0.005)
    assert 1 - long == pytest.approx((1 - short) * (1 - second), rel=1e-12)
