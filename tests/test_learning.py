"""Learning curves: printed tables of both theories."""

import numpy as np
import pytest

from bundler.learning import cumulative_average_ratio, unit_hours_ratio

ORDERS = np.array([2, 3, 4, 5, 8, 10, 20, 50, 100], dtype=float)
#: unit theory, hours of the n-th unit over the first (references 9.1: 0.634 at 90 %, 20 and 0.583 at
#: 85 %, 10 read in a textbook solution whose scan labels the second 80 %; the rest from memory)
UNIT = {
    0.75: [0.75, 0.6338, 0.5625, 0.5127, 0.4219, 0.3846, 0.2884, 0.1972, 0.1479],
    0.80: [0.80, 0.7021, 0.64, 0.5956, 0.512, 0.4765, 0.3812, 0.2838, 0.2271],
    0.85: [0.85, 0.7729, 0.7225, 0.6857, 0.6141, 0.5828, 0.4954, 0.3996, 0.3397],
    0.90: [0.90, 0.8462, 0.81, 0.7830, 0.729, 0.7047, 0.6342, 0.5518, 0.4966],
    0.95: [0.95, 0.9219, 0.9025, 0.8877, 0.8574, 0.8433, 0.8012, 0.7486, 0.7112],
}
SLOPES = {0.75: -0.415037, 0.80: -0.321928, 0.85: -0.234465, 0.90: -0.152003, 0.95: -0.074001}
#: cumulative totals of units 1 to n at n = 2, 4, 5, 8, 10, 20
TOTALS = {
    0.80: [1.8, 3.1421, 3.7377, 5.3459, 6.3154, 10.4849],
    0.85: [1.85, 3.3454, 4.0311, 5.9358, 7.1161, 12.4023],
    0.90: [1.9, 3.5562, 4.3392, 6.5737, 7.9945, 14.6078],
}


@pytest.mark.parametrize("rate", sorted(UNIT))
def test_unit_theory(rate: float) -> None:
    found = unit_hours_ratio(rate, ORDERS)
    assert found == pytest.approx(UNIT[rate], abs=5e-4)
    assert found == pytest.approx(ORDERS ** np.log2(rate), rel=1e-12)
    assert np.log(found[0]) / np.log(2) == pytest.approx(SLOPES[rate], abs=1e-6)


@pytest.mark.parametrize("rate", sorted(TOTALS))
def test_totals_in_unit_theory(rate: float) -> None:
    units = unit_hours_ratio(rate, np.arange(1.0, 21.0))
    found = [units[:n].sum() for n in (2, 4, 5, 8, 10, 20)]
    assert found == pytest.approx(TOTALS[rate], abs=5e-4)


def test_fifteen_units() -> None:
    """85 %, first unit 250 h: the fifteenth takes 132.4913 h, all fifteen 2465.2640 h."""
    units = 250 * unit_hours_ratio(0.85, np.arange(1.0, 16.0))
    assert units[-1] == pytest.approx(132.4913, abs=5e-5)
    assert units.sum() == pytest.approx(2465.2640, abs=5e-5)


def test_cumulative_average_theory() -> None:
    """80 %, 100 h, a training manual (references 9.2; it misprints 245.76 as 254.76): averages 100,
    80, 64, 51.2, 40.96; units 9 to 16 take 245.76 h; the tenth alone 32.855226 h, 47.6511 h (exact 47.65099) in
    unit theory."""
    doubled = np.array([1.0, 2.0, 4.0, 8.0, 16.0])
    average = 100 * cumulative_average_ratio(0.80, doubled)
    assert average == pytest.approx([100, 80, 64, 51.2, 40.96])
    totals = average * doubled
    assert totals == pytest.approx([100, 160, 256, 409.6, 655.36])
    assert totals[4] - totals[3] == pytest.approx(245.76)
    nine, ten = 100 * cumulative_average_ratio(0.80, np.array([9.0, 10.0])) * np.array([9.0, 10.0])
    assert ten - nine == pytest.approx(32.855226, abs=5e-7)
    assert 100 * float(unit_hours_ratio(0.80, np.array(10.0))) == pytest.approx(47.6511, abs=2e-4)


def test_the_series_of_the_trade() -> None:
    """Common practice of the trade for a series of outages: 0.92, 0.87, 0.84 of the first."""
    found = unit_hours_ratio(0.92, np.array([1.0, 2.0, 3.0, 4.0]))
    assert found == pytest.approx([1.0, 0.92, 0.87, 0.84], abs=0.01)
