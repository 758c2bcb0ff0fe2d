"""Engineering economics: printed factors, published relations, and numpy-financial."""

import numpy as np
import numpy_financial as npf
import pytest
from scipy import optimize

from bundler.risk.money import (
    annuity_factor,
    capital_recovery_factor,
    discount_factor,
    mean_discount_by_cell,
    present_value,
    real_share,
)

#: i, n, F/P, P/F, F/A, A/F, P/A, A/P, P/G, A/G (references 8.1: the 3 % and 0.25 % rows were read
#: in printed tables, the 8 % row is from memory, all verified)
FACTORS = [
    (0.08, 20, 4.66096, 0.21455, 45.76196, 0.021852, 9.81815, 0.101852, 69.0898, 7.0369),
    (0.05, 10, 1.62889, 0.61391, 12.57789, 0.079505, 7.72173, 0.129505, 31.6520, 4.0991),
    (0.07, 30, 7.61226, 0.13137, 94.46079, 0.010586, 12.40904, 0.080586, 120.9718, 9.7487),
    (0.10, 5, 1.61051, 0.62092, 6.10510, 0.163797, 3.79079, 0.263797, 6.8618, 1.8101),
    (0.03, 20, 1.80611, 0.55368, 26.87037, 0.037216, 14.87747, 0.067216, 126.7987, 8.5229),
    (0.0025, 20, 1.05121, 0.95129, 20.48220, 0.048823, 19.48449, 0.051323, 183.4851, 9.4170),
]


@pytest.mark.parametrize("row", FACTORS)
def test_printed_factors(row: tuple[float, ...]) -> None:
    """Every factor of each row, the gradient as a flow of 0, 1, 2 ... at the ends of years."""
    rate, count, f_p, p_f, f_a, a_f, p_a, a_p, p_g, a_g = row
    n = int(count)
    one = float(discount_factor(rate, np.array(count)))
    gradient = present_value(np.arange(n, dtype=float), np.arange(1, n + 1, dtype=float), rate)
    found = [1 / one, one, annuity_factor(rate, n) / one, capital_recovery_factor(rate, n) * one,
             annuity_factor(rate, n), capital_recovery_factor(rate, n), gradient,
             gradient * capital_recovery_factor(rate, n)]  # fmt: skip
    assert found == pytest.approx([f_p, p_f, f_a, a_f, p_a, a_p, p_g, a_g], rel=1e-4)


def test_numpy_financial_agrees() -> None:
    """numpy-financial 1.x, pv and pmt."""
    for rate, count in ((0.08, 20), (0.03, 7), (0.12, 31)):
        assert annuity_factor(rate, count) == pytest.approx(-npf.pv(rate, count, 1), rel=1e-12)
        assert capital_recovery_factor(rate, count) == pytest.approx(
            -npf.pmt(rate, count, 1), rel=1e-12
        )
    assert annuity_factor(0.0, 12) == 12


def test_real_and_nominal() -> None:
    """8 % nominal at 2 % inflation is 5.88235294 % real, and both give one present value
    (references 8.2, exact)."""
    real = real_share(0.08, 0.02)
    assert real == pytest.approx(0.0588235294, rel=1e-8)
    years = np.arange(1.0, 11.0)
    nominal = 100 * 1.02**years
    assert present_value(nominal, years, 0.08) == pytest.approx(
        present_value(np.full(10, 100.0), years, real), rel=1e-12
    )


def test_equivalent_annual_cost() -> None:
    """References 8.3: A costs 3310.379846 a year, B 3380.494237; A is cheaper though B lasts
    longer."""
    costs = []
    for first, yearly, salvage, life in ((10000, 1000, 2000, 5), (15000, 700, 1500, 8)):
        cash = np.array([first, *([yearly] * life), -salvage], dtype=float)
        years = np.array([0, *range(1, life + 1), life], dtype=float)
        costs.append(present_value(cash, years, 0.10) * capital_recovery_factor(0.10, life))
    assert costs == pytest.approx([3310.379846, 3380.494237], rel=1e-9)


def test_timing() -> None:
    """References 8.4: end-year 399.2710037, mid-year 414.9345986; deferring 1,000,000 by 2 years
    at 7 % is worth 126,561.2717; NPV 6.51220984 and the rate that makes it 0, 8.144165646 %."""
    years = np.arange(1.0, 6.0)
    cash = np.full(5, 100.0)
    assert present_value(cash, years, 0.08) == pytest.approx(399.2710037, rel=1e-8)
    assert present_value(cash, years - 0.5, 0.08) == pytest.approx(414.9345986, rel=1e-8)
    saved = 1e6 * (1 - float(discount_factor(0.07, np.array(2.0))))
    assert saved == pytest.approx(126561.2717, rel=1e-8)
    flow, when = np.array([-1000.0, *([150.0] * 10)]), np.arange(11.0)
    assert present_value(flow, when, 0.08) == pytest.approx(6.51220984, rel=1e-8)
    rate = optimize.brentq(lambda i: present_value(flow, when, i), 0.01, 0.2, xtol=1e-14)
    assert rate == pytest.approx(0.08144165646, rel=1e-8)
    assert npf.npv(0.08, flow) == pytest.approx(present_value(flow, when, 0.08), rel=1e-12)


def test_mean_discount_is_its_integral() -> None:
    grid = np.array([0.0, 0.25, 0.3, 2.0, 10.0])
    fine = np.linspace(0.3, 2.0, 100001)
    found = mean_discount_by_cell(0.06, grid)
    assert found[2] == pytest.approx(float(discount_factor(0.06, fine).mean()), rel=1e-5)
    assert (mean_discount_by_cell(0.0, grid) == 1).all()
