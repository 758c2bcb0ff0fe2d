"""Renewal on uneven grids: exact ends, order of accuracy, an optimal block policy."""

import numpy as np
import pytest
from scipy import optimize

from bundler.life.curves import FloatArray, LifeCurve, curve_from
from bundler.risk.failures import failed_share_by_cell, failures_by_cell
from bundler.risk.renewal import expected_renewals, first_failures, renewal_matrix

EVEN = np.linspace(0.0, 30.0, 121)
UNEVEN = np.unique(np.concatenate([EVEN, [1.234, 7.77, 7.9, 20.001]]))
NEW = np.zeros(1, dtype=np.int64), np.zeros(1)
AGED = np.array([0, 40], dtype=np.int64), np.array([7.0, 2.5])


def test_a_constant_rate_is_exact() -> None:
    """The renewal function of an exponential life is time over mean (computed from the formula)."""
    curve = curve_from("exponential", 4.0, 1.0)
    found = failures_by_cell(curve, UNEVEN, *AGED, "renew")
    widths = np.diff(UNEVEN) / 4.0
    assert found[0] == pytest.approx(widths, rel=1e-7)
    assert (found[1, :40] == 0).all()
    assert found[1, 40:] == pytest.approx(widths[40:], rel=1e-7)


def test_renewals_of_an_erlang_life() -> None:
    """Gamma life of shape 2, scale s: M(t) = t / 2s - 1/4 + exp(-2 t / s) / 4 (computed from the
    textbook formula of the two-stage Erlang renewal function)."""
    curve = curve_from("gamma", 3.0, 2.0)
    found = np.cumsum(failures_by_cell(curve, UNEVEN, *NEW, "renew")[0])
    t = UNEVEN[1:] / 3.0
    assert found == pytest.approx(t / 2 - 0.25 + np.exp(-2 * t) / 4, rel=1e-3, abs=1e-4)


@pytest.mark.parametrize("kind", ["weibull", "lognormal", "gamma"])
def test_second_order(kind: str) -> None:
    """Half the cell width leaves a quarter of the error, for new and for aged starts."""
    curve = curve_from(kind, 6.0, {"weibull": 2.5, "lognormal": 0.5, "gamma": 3.0}[kind])

    def totals(cells: int) -> FloatArray:
        grid = np.linspace(0.0, 30.0, cells + 1)
        start = np.array([0, cells // 3], dtype=np.int64)
        found: FloatArray = failures_by_cell(curve, grid, start, AGED[1], "renew").sum(axis=1)
        return found

    coarse, middle, fine = totals(60), totals(120), totals(240)
    assert (abs(fine - middle) < abs(middle - coarse) / 3.5).all()
    assert fine == pytest.approx(coarse, rel=1e-3)


def test_uneven_grids_agree_with_even_ones() -> None:
    """Work dates in the grid change renewals between the shared dates by less than 1e-4."""
    curve = curve_from("weibull", 6.0, 2.5)
    even = np.cumsum(failures_by_cell(curve, EVEN, *NEW, "renew")[0])
    uneven = np.cumsum(failures_by_cell(curve, UNEVEN, *NEW, "renew")[0])
    assert uneven[np.isin(UNEVEN[1:], EVEN[1:])] == pytest.approx(even, rel=1e-3, abs=1e-4)


def test_matrix_rows_are_shifts_of_the_first_row() -> None:
    """On an even grid an item new later fails as one new at the start, only later."""
    matrix = renewal_matrix(curve_from("lognormal", 5.0, 0.6), EVEN)
    for row in (1, 17, 90):
        assert matrix[row, row:] == pytest.approx(matrix[0, :-row], rel=1e-9)
        assert (matrix[row, :row] == 0).all()
    assert matrix[0].sum() == pytest.approx(
        expected_renewals(curve_from("lognormal", 5.0, 0.6), 30.0, 120), rel=1e-12
    )


@pytest.mark.parametrize("on_failure", ["repair", "renew", "stand"])
def test_few_failures_are_the_same_whatever_a_failure_does(on_failure: str) -> None:
    """While a second failure is out of sight all three behaviours give the chance of failing."""
    curve: LifeCurve = curve_from("weibull", 1e4, 1.5)
    found = failures_by_cell(curve, UNEVEN, *AGED, on_failure)
    assert found == pytest.approx(first_failures(curve, UNEVEN, *AGED), rel=1e-3)


@pytest.mark.parametrize("curve", [curve_from("weibull", 10.0, 4.0), curve_from("gamma", 4.0, 3.0)])
def test_standing_share_is_the_mean_over_the_cell(curve: LifeCurve) -> None:
    """Against a thousand points a cell: within 1e-5 at a tenth of the life, 1e-7 at a fortieth."""
    for cells, close in ((30, 1e-5), (120, 1e-7)):
        grid = np.linspace(0.0, 30.0, cells + 1)
        found = failed_share_by_cell(curve, grid, *NEW)[0]
        fine = np.linspace(0.0, 30.0, cells * 1000 + 1)
        gone = -np.expm1(-curve.cumulative_hazard(fine))
        wanted = ((gone[1:] + gone[:-1]) / 2).reshape(cells, -1).mean(axis=1)
        assert found == pytest.approx(wanted, abs=close)


def test_block_replacement() -> None:
    """Weibull 1000 / 2.5, Cp 1, Cf 5 (references 3.5, computed): M(500) = 0.1647713, best block
    478.4 at 0.00364352 a unit of time, M there about 0.1486; dearer than age replacement."""
    curve = curve_from("weibull", 1000.0, 2.5)
    assert expected_renewals(curve, 500.0, 400) == pytest.approx(0.1647713, rel=1e-6)

    def rate(age: float) -> float:
        return (1 + 5 * expected_renewals(curve, age, 400)) / age

    best = optimize.minimize_scalar(rate, bounds=(300.0, 800.0), method="bounded")
    assert best.x == pytest.approx(478.4, abs=1)
    assert best.fun == pytest.approx(0.00364352, rel=1e-5)
    assert expected_renewals(curve, 478.4, 400) == pytest.approx(0.1486, abs=5e-5)
    assert best.fun > 0.00346204274


def test_an_unknown_behaviour_is_named() -> None:
    """A word that columns.csv does not know is refused."""
    with pytest.raises(ValueError, match="'mend' is not known"):
        failures_by_cell(curve_from("gamma", 4.0, 3.0), EVEN, *NEW, "mend")
