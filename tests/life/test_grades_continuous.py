"""The continuous chain: closed forms for two grades, expm for five, slips of reading."""

import numpy as np
import pytest
from scipy import linalg, optimize, stats

from bundler.life.grade_chain import ContinuousChain
from bundler.life.grade_reading import reading_rows
from bundler.life.grades import ChainFit, GradePairs
from bundler.life.grades_continuous import fit_continuous

RATES = (0.1, 0.125, 1 / 6, 0.25)


def rates(fit: ChainFit) -> tuple[float, ...]:
    assert isinstance(fit.chain, ContinuousChain)
    return fit.chain.rate_per_year


def test_two_grades_closed() -> None:
    """70 of 100 stay over 2.5 years: rate -ln(0.7) / 2.5; the profile of one rate is the binomial
    likelihood, whose 90 % ends scipy finds."""
    then, later = np.ones(100), np.repeat([1, 2], [70, 30])
    fit = fit_continuous(GradePairs(then, later, np.full(100, 2.5), 2))
    assert rates(fit)[0] == pytest.approx(-np.log(0.7) / 2.5, rel=1e-6)
    assert fit.log_likelihood == pytest.approx(70 * np.log(0.7) + 30 * np.log(0.3), rel=1e-9)

    def over(rate: float) -> float:
        value = 70 * -2.5 * rate + 30 * np.log(-np.expm1(-2.5 * rate))
        return float(fit.log_likelihood - value - stats.chi2.ppf(0.9, 1) / 2)

    best = -np.log(0.7) / 2.5
    ends = optimize.brentq(over, 0.01, best), optimize.brentq(over, best, 0.5)
    assert (fit.low[0], fit.high[0]) == pytest.approx(ends, rel=1e-5)


def drawn(count: int, reading: np.ndarray | None = None) -> GradePairs:
    """Return pairs of five grades at odd spacings, drawn through scipy's expm, seed 3."""
    rng = np.random.default_rng(3)
    years = np.round(2 * rng.uniform(1, 8, count)) / 2
    rate = np.array([*RATES, 0.0])
    flow = np.diag(rate[:-1], 1) - np.diag(rate)
    then = rng.integers(0, 4, count)
    later = np.array(
        [rng.choice(5, p=linalg.expm(flow * t)[s]) for t, s in zip(years, then, strict=True)]
    )
    if reading is not None:
        then, later = (np.array([rng.choice(5, p=reading[s]) for s in g]) for g in (then, later))
    return GradePairs(then + 1, later + 1, years, 5)


def test_five_grades_as_expm() -> None:
    """400 pairs: the best rates by an independent search over expm; bounds hold the truth."""
    pairs = drawn(400)
    fit = fit_continuous(pairs)
    spacings = np.unique(pairs.years)

    def against(logs: np.ndarray) -> float:
        rate = np.append(np.exp(logs), 0.0)
        powers = linalg.expm((np.diag(rate[:-1], 1) - np.diag(rate)) * spacings[:, None, None])
        place = np.searchsorted(spacings, pairs.years)
        return -float(np.log(powers[place, pairs.grade_then - 1, pairs.grade_later - 1]).sum())

    best = optimize.minimize(against, np.log(RATES), method="BFGS", options={"gtol": 1e-3})
    assert rates(fit) == pytest.approx(np.exp(best.x), rel=1e-4)
    for low, true, high in zip(fit.low, RATES, fit.high, strict=True):
        assert low < true < high
    drop = against(np.log([*rates(fit)[:3], fit.high[3]])) - against(np.log(rates(fit)))
    assert drop >= stats.chi2.ppf(0.9, 1) / 2 - 1e-6  # others held: never above the profile


def test_slips_are_undone() -> None:
    """1,500 pairs read with slips of 0.1: under the slips' matrix the bounds at 99.9 % hold all
    four rates, while a plain fit refuses the pairs that got better."""
    errors = reading_rows(0.1, 5)
    pairs = drawn(1500, np.array(errors))
    fit = fit_continuous(pairs, errors, 0.999)
    for low, true, high in zip(fit.low, RATES, fit.high, strict=True):
        assert low < true < high < 3 * low
    with pytest.raises(ValueError, match="better by itself"):
        fit_continuous(pairs)


def test_slips_by_an_independent_search() -> None:
    """Two grades read with slips: rate and first share by scipy on the written-out sum."""
    rows = reading_rows(0.25, 2)
    errors, counts = np.array(rows), np.array([[50, 30], [10, 20]])
    then, later = np.repeat([1, 1, 2, 2], counts.ravel()), np.repeat([1, 2, 1, 2], counts.ravel())
    fit = fit_continuous(GradePairs(then, later, np.full(110, 2.0), 2), rows)

    def against(values: np.ndarray) -> float:
        stay, share = np.exp(-2 * values[0]), values[1]
        matrix = np.array([[stay, 1 - stay], [0, 1]])
        read = errors.T @ np.diag([share, 1 - share]) @ matrix @ errors
        return -float((counts * np.log(read)).sum())

    best = optimize.minimize(against, [0.2, 0.7], bounds=[(0.01, 2), (0.01, 0.999)], tol=1e-12)
    assert rates(fit)[0] == pytest.approx(best.x[0], rel=1e-4)
    assert fit.log_likelihood == pytest.approx(-best.fun, abs=1e-7)


def test_a_slip_matrix_of_nothing_is_no_slips() -> None:
    """Slips of 1e-9 give the plain fit, by the other way through the likelihood."""
    pairs = drawn(200)
    plain, other = fit_continuous(pairs), fit_continuous(pairs, reading_rows(1e-9, 5))
    assert rates(other) == pytest.approx(rates(plain), rel=1e-3)
    assert other.log_likelihood == pytest.approx(plain.log_likelihood, abs=1e-4)


def test_refusals() -> None:
    few = GradePairs(np.array([1, 1, 1]), np.array([1, 2, 2]), np.ones(3), 2)
    with pytest.raises(ValueError, match="Grade 1 was left 2 times"):
        fit_continuous(few)
