"""The bounds hold the truth as often as they say; the full count is benchmarks/bound_coverage.py."""

import pytest
from scipy import stats

from tests.benchmarks.bound_coverage import CASES, TRUTH, coverage

SAMPLES = 150


@pytest.mark.parametrize("case", list(CASES))
def test_bounds_hold_the_truth(case: str) -> None:
    """Seeded: 150 samples; the share whose 90 % bounds hold the truth lies in the central 99.8 % of
    the binomial law at 0.90, for shape, scale and the age by which 10 % have failed."""
    found = coverage(CASES[case], SAMPLES)
    low, high = stats.binom.ppf([0.001, 0.999], SAMPLES, 0.90) / SAMPLES
    for name in TRUTH:
        assert low <= found[name] <= high, name
