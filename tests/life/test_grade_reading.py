"""Readings of grades: slips, what a grade read long ago says now, reversed scales."""

import numpy as np
import pytest
from scipy import optimize, stats

from bundler.life.grade_chain import ContinuousChain, YearlyChain
from bundler.life.grade_reading import (
    checked_reading,
    reading_rows,
    scale_direction,
    shares_now,
    slip_from_doubles,
)


def test_rows() -> None:
    """Three grades and a ratio of 0.5, by hand: 4/7, 2/7, 1/7 and 1/4, 1/2, 1/4."""
    rows = reading_rows(0.5, 3)
    assert rows[0] == pytest.approx((4 / 7, 2 / 7, 1 / 7))
    assert rows[1] == pytest.approx((0.25, 0.5, 0.25))
    assert np.array_equal(reading_rows(0.0, 4), np.eye(4))


def test_slip_of_two_grades_is_closed() -> None:
    """Two grades, stock half and half: a double reading disagrees with 2 e (1 - e). 1,000 doubles,
    half of each kind, 180 disagree: e = 0.1, so the ratio e / (1 - e) is 1/9."""
    first = np.repeat([1, 2, 1, 2], [410, 410, 90, 90])
    second = np.repeat([1, 2, 2, 1], [410, 410, 90, 90])
    assert slip_from_doubles(first, second, 2) == pytest.approx(1 / 9, rel=1e-4)


def test_slip_is_recovered() -> None:
    """3,000 items of five grades read twice with a ratio of 0.15 (seed 8): within 10 %; the
    likelihood of its shares too is that of an independent search by scipy."""
    rng = np.random.default_rng(8)
    rows = np.array(reading_rows(0.15, 5))
    true = rng.choice(5, 3000, p=[0.3, 0.3, 0.2, 0.15, 0.05])
    first, second = (np.array([rng.choice(5, p=rows[s]) for s in true]) for _ in range(2))
    found = slip_from_doubles(first + 1, second + 1, 5)
    assert found == pytest.approx(0.15, rel=0.1)

    def against(values: np.ndarray) -> float:
        errors = np.array(reading_rows(float(values[0]), 5))
        shares = np.append(np.exp(values[1:]), 1.0)
        table = errors.T @ np.diag(shares / shares.sum()) @ errors
        return -float(np.log(table[first, second]).sum())

    best = optimize.minimize(
        against, [0.2, 1, 1, 1, 1], bounds=[(1e-3, 0.9)] + [(-9, 9)] * 4, tol=1e-12
    )
    assert found == pytest.approx(best.x[0], abs=2e-4)
    assert slip_from_doubles(first + 1, first + 1, 5) == 0.0


def test_shares_now() -> None:
    """Bayes and one year of a chain by hand: stock 1/2, 1/2, 0; grade 2 read with slips of 0.5."""
    chain = YearlyChain(((0.8, 0.2, 0.0), (0.0, 0.7, 0.3), (0.0, 0.0, 1.0)))
    found = shares_now(chain, 2, 1.0, reading_rows(0.5, 3), (0.5, 0.5, 0.0))
    good = (2 / 7) / (2 / 7 + 1 / 2)
    wanted = (0.8 * good, 0.2 * good + 0.7 * (1 - good), 0.3 * (1 - good))
    assert found == pytest.approx(wanted, rel=1e-12)
    assert shares_now(chain, 2, 0.0) == (0.0, 1.0, 0.0)
    flow = ContinuousChain((0.1, 0.2))
    assert shares_now(flow, 1, 3.5)[0] == pytest.approx(np.exp(-0.35), rel=1e-12)


def test_a_reversed_scale_is_found() -> None:
    """A and B rise with age, C falls (5 is its best), D has three readings, E always says 3."""
    rng = np.random.default_rng(1)
    age = np.linspace(1, 30, 30)
    noisy = np.clip(np.rint(1 + age / 8 + rng.normal(0, 0.5, 30)), 1, 5)
    names = ["A"] * 30 + ["B"] * 8 + ["C"] * 30 + ["D"] * 3 + ["E"] * 9
    grades = [*noisy, *range(1, 9), *(6 - noisy), 3, 2, 1, *[3] * 9]
    ages = [*age, *range(8), *age, 1, 2, 3, *range(9)]
    found = scale_direction(names, grades, ages)
    assert found["inspector"].tolist() == ["A", "B", "C", "D", "E"]
    assert found["readings_count"].tolist() == [30, 8, 30, 3, 9]
    assert found["is_doubted"].tolist() == [False, False, True, False, False]
    ranks = stats.rankdata(age), stats.rankdata(6 - noisy)
    wanted = np.corrcoef(*ranks)[0, 1]  # Spearman is Pearson of ranks
    assert found["rank_correlation_ratio"][2] == pytest.approx(wanted, rel=1e-9)
    assert scale_direction([], [], []).empty


def test_refusals() -> None:
    chain = ContinuousChain((0.1, 0.2))
    with pytest.raises(ValueError, match="below 1"):
        reading_rows(1.0, 3)
    with pytest.raises(ValueError, match="do not fit"):
        checked_reading(reading_rows(0.1, 4), 3)
    with pytest.raises(ValueError, match="sum to 1"):
        checked_reading(((0.5, 0.4), (0.0, 1.0)), 2)
    with pytest.raises(ValueError, match="in pairs"):
        slip_from_doubles([1, 2], [1], 3)
    with pytest.raises(ValueError, match="outside"):
        slip_from_doubles([1, 4], [1, 2], 3)
    for grade, years in ((0, 1.0), (4, 1.0), (1, -1.0)):
        with pytest.raises(ValueError, match="not possible"):
            shares_now(chain, grade, years)
    with pytest.raises(ValueError, match="cannot be read"):
        shares_now(chain, 2, 1.0, None, (1.0, 0.0, 0.0))
