"""The yearly chain: shares of counts, exact binomial bounds, hidden years and readings."""

import numpy as np
import pytest
from scipy import optimize, stats

from bundler.life.grade_chain import YearlyChain
from bundler.life.grade_reading import reading_rows
from bundler.life.grades import GradePairs
from bundler.life.grades_yearly import fit_yearly

#: annual matrix of bridge decks of a published exercise
DECKS = np.array(
    [[0.6, 0.3, 0.1, 0, 0], [0, 0.7, 0.2, 0.1, 0], [0, 0, 0.6, 0.3, 0.1], [0, 0, 0, 0.7, 0.3], [0, 0, 0, 0, 1]]
)  # fmt: skip
#: pairs of three grades, a year apart: rows then, columns later
TABLE = np.array([[40, 8, 2], [0, 30, 12], [0, 0, 5]])


def from_table(table: np.ndarray, years: float) -> GradePairs:
    then, later = np.nonzero(table)
    counts = table[then, later]
    size = np.full(int(counts.sum()), years)
    return GradePairs(np.repeat(then + 1, counts), np.repeat(later + 1, counts), size, len(table))


def test_a_year_apart() -> None:
    """The best matrix is the rows' shares; bounds are Clopper and Pearson's, scipy.stats."""
    fit = fit_yearly(from_table(TABLE, 1.0))
    wanted = TABLE / TABLE.sum(axis=1, keepdims=True)
    assert isinstance(fit.chain, YearlyChain)
    assert np.array(fit.chain.chance_rows) == pytest.approx(wanted, abs=1e-9)
    for grade, (left, total) in enumerate(((10, 50), (12, 42))):
        known = stats.binomtest(left, total).proportion_ci(0.9, method="exact")
        assert (fit.low[grade], fit.high[grade]) == pytest.approx((known.low, known.high))
    assert fit.pairs_count == (50, 42, 5) and fit.departures_count == (10, 12)


def test_two_years_apart_take_the_root() -> None:
    """Two grades, 64 of 100 stay over two years: the stay of a year is 0.8."""
    fit = fit_yearly(from_table(np.array([[64, 36], [0, 0]]), 2.0))
    assert isinstance(fit.chain, YearlyChain)
    assert fit.chain.chance_rows[0] == pytest.approx((0.8, 0.2), abs=1e-6)
    assert np.isnan(fit.low).all()


def drawn(years: np.ndarray, reading: np.ndarray | None = None) -> GradePairs:
    """Return pairs drawn from the decks' matrix, all first grades alike, seed 7."""
    rng = np.random.default_rng(7)
    then = rng.integers(0, 4, len(years))
    powers = [np.linalg.matrix_power(DECKS, int(n)) for n in years]
    later = np.array([rng.choice(5, p=p[s]) for p, s in zip(powers, then, strict=True)])
    if reading is not None:
        then, later = (np.array([rng.choice(5, p=reading[s]) for s in g]) for g in (then, later))
    return GradePairs(then + 1, later + 1, years.astype(float), 5)


def test_mixed_spacing_is_recovered() -> None:
    """6,000 pairs one to five years apart: within 0.05; no other matrix near it is likelier."""
    pairs = drawn(np.random.default_rng(6).integers(1, 6, 6000))
    fit = fit_yearly(pairs)
    assert isinstance(fit.chain, YearlyChain)
    found = np.array(fit.chain.chance_rows)
    assert found == pytest.approx(DECKS, abs=0.05)

    def value(matrix: np.ndarray) -> float:
        total = 0.0
        for years in range(1, 6):
            at = pairs.years == years
            chance = np.linalg.matrix_power(matrix, years)
            total += np.log(chance[pairs.grade_then[at] - 1, pairs.grade_later[at] - 1]).sum()
        return float(total)

    shares = pairs.counts.sum(axis=1)[:4]
    first = float(shares @ np.log(shares / 6000))
    assert value(found) + first == pytest.approx(fit.log_likelihood, abs=1e-5)
    assert value(found) > value(DECKS)
    for row, left in ((0, 1), (0, 2), (1, 2), (1, 3), (2, 3), (2, 4), (3, 4)):
        for change in (-0.003, 0.003):
            other = found.copy()
            other[row, row] -= change
            other[row, left] += change
            assert value(other) < value(found)


def test_readings_with_slips_are_undone() -> None:
    """The same with slips of 0.1 in both readings: within 0.06 under the slips' matrix, while the
    plain fit refuses the pairs that got better."""
    errors = reading_rows(0.1, 5)
    pairs = drawn(np.random.default_rng(6).integers(1, 6, 6000), np.array(errors))
    fit = fit_yearly(pairs, errors)
    assert isinstance(fit.chain, YearlyChain)
    assert np.array(fit.chain.chance_rows) == pytest.approx(DECKS, abs=0.06)
    with pytest.raises(ValueError, match="better by itself"):
        fit_yearly(pairs)


def test_slips_by_an_independent_search() -> None:
    """Two grades, yearly, slips of 0.2: stay and first share by scipy on the written-out sum."""
    rows = reading_rows(0.25, 2)
    errors, counts = np.array(rows), np.array([[50, 30], [10, 20]])
    fit = fit_yearly(from_table(counts, 1.0), rows)

    def against(values: np.ndarray) -> float:
        stay, share = values
        matrix = np.array([[stay, 1 - stay], [0, 1]])
        read = errors.T @ np.diag([share, 1 - share]) @ matrix @ errors
        return -float((counts * np.log(read)).sum())

    best = optimize.minimize(against, [0.7, 0.7], bounds=[(0.01, 0.999)] * 2, tol=1e-12)
    assert isinstance(fit.chain, YearlyChain)
    assert fit.chain.chance_rows[0][0] == pytest.approx(best.x[0], abs=1e-4)
    assert fit.log_likelihood == pytest.approx(-best.fun, abs=1e-7)


def test_single_steps() -> None:
    """With one step a year at most a fall of two grades takes two years."""
    table = np.array([[40, 20, 3], [0, 30, 12], [0, 0, 5]])
    fit = fit_yearly(from_table(table, 2.0), None, 1)
    assert isinstance(fit.chain, YearlyChain) and fit.chain.chance_rows[0][2] == 0.0
    with pytest.raises(ValueError, match="more steps a year"):
        fit_yearly(from_table(table, 1.0), None, 1)


def test_refusals() -> None:
    with pytest.raises(ValueError, match=r"whole years.*1\.5"):
        fit_yearly(from_table(TABLE, 1.5))
    with pytest.raises(ValueError, match="Grade 2 was left 0 times"):
        fit_yearly(from_table(np.array([[40, 8, 2], [0, 30, 0], [0, 0, 5]]), 1.0))
