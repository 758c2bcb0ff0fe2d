"""Chains of grades against a published exercise, matrix exponentials and closed forms."""

import numpy as np
import pytest
from scipy import linalg, stats

from bundler.life.derived import hazard, mean_residual_years, survival
from bundler.life.grade_chain import ContinuousChain, GradeLife, YearlyChain

#: annual matrix of bridge decks, from Excellent to Very poor, of a published exercise
DECKS = YearlyChain(
    (
        (0.6, 0.3, 0.1, 0.0, 0.0),
        (0.0, 0.7, 0.2, 0.1, 0.0),
        (0.0, 0.0, 0.6, 0.3, 0.1),
        (0.0, 0.0, 0.0, 0.7, 0.3),
        (0.0, 0.0, 0.0, 0.0, 1.0),
    )
)
STEPS = YearlyChain(
    (
        (0.95, 0.05, 0.0, 0.0, 0.0),
        (0.0, 0.90, 0.10, 0.0, 0.0),
        (0.0, 0.0, 0.85, 0.15, 0.0),
        (0.0, 0.0, 0.0, 0.80, 0.20),
        (0.0, 0.0, 0.0, 0.0, 1.0),
    )
)
#: mean stays of 10, 8, 6 and 4 years
FLOW = ContinuousChain((1 / 10, 1 / 8, 1 / 6, 1 / 4))
NEW = (1.0, 0.0, 0.0, 0.0, 0.0)
MIXED = (0.3, 0.1, 0.4, 0.2, 0.0)


def test_bridge_decks() -> None:
    """Stock of 2018 and expectation one and four years on; mean years to Very poor."""
    stock = np.array([1771.0, 2751.0, 1771.0, 578.0, 0.0])
    one, four = (stock @ DECKS.after(np.array([n]))[0] for n in (1, 4))
    assert one == pytest.approx([1062.6, 2457, 1789.9, 1211, 350.5], rel=1e-9)
    wanted = [229.5216, 1247.6016, 1246.5936, 1896.7949, 2250.4883]
    assert four == pytest.approx(wanted, abs=5e-5)
    assert four.sum() == pytest.approx(6871, rel=1e-12)
    assert DECKS.mean_years_to_last == pytest.approx([9.583333, 7.777778, 5, 3.333333], rel=1e-6)


def test_one_step_down() -> None:
    """Stay 0.95, 0.90, 0.85, 0.80: mean years, chance of the last grade and mean grade (5 best)."""
    wanted = [41.666667, 21.666667, 11.666667, 5.0]
    assert STEPS.mean_years_to_last == pytest.approx(wanted, rel=1e-7)
    years = np.array([10.0, 20.0, 30.0])
    gone = 1 - survival(GradeLife(STEPS, NEW), years)
    assert gone == pytest.approx([0.01699945, 0.15200733, 0.36650680], rel=1e-6)
    grades = STEPS.after(years)[:, 0] @ np.array([5.0, 4.0, 3.0, 2.0, 1.0])
    assert grades == pytest.approx([4.377583, 3.551361, 2.759391], rel=1e-6)


def test_continuous_time() -> None:
    """Mean stays 10, 8, 6, 4: one-year row, 28 years in the mean, 0.5737077 gone by then."""
    row = [0.904837, 0.089362, 0.005486, 0.000296, 0.000019]
    assert FLOW.after(np.array([1.0]))[0, 0] == pytest.approx(row, abs=5e-7)
    assert FLOW.mean_years_to_last[0] == pytest.approx(28, rel=1e-12)
    life = GradeLife(FLOW, NEW)
    assert 1 - survival(life, np.array(28.0)) == pytest.approx(0.5737077, rel=1e-6)
    assert mean_residual_years(life, 0.0) == pytest.approx(28, rel=1e-9)


def test_three_meanings_of_ten_years() -> None:
    """A mean stay of 10 years is a stay of 0.9 in a yearly chain, exp(-0.1) in continuous time; a
    half-life of 10 years is 0.933033."""
    yearly = YearlyChain(((0.9, 0.1), (0.0, 1.0)))
    assert yearly.mean_years_to_last[0] == pytest.approx(10)
    mean, half = ContinuousChain((0.1,)), ContinuousChain((np.log(2) / 10,))
    assert mean.after(np.array([1.0]))[0, 0, 0] == pytest.approx(0.904837, abs=5e-7)
    assert half.after(np.array([1.0]))[0, 0, 0] == pytest.approx(0.933033, abs=5e-7)


def test_as_matrix_exponential() -> None:
    """scipy.linalg.expm at all ages, over many stretches, for equal rates too (Erlang)."""
    ages = np.linspace(0.0, 300.0, 61)
    for rates, start in ((FLOW.rate_per_year, MIXED), ((0.2, 0.2, 0.2, 0.2), NEW)):
        rate = np.array([*rates, 0.0])
        flow = np.diag(rate[:-1], 1) - np.diag(rate)
        alive = [(np.array(start) @ linalg.expm(flow * age))[:-1].sum() for age in ages]
        life = GradeLife(ContinuousChain(rates), start)
        assert life.cumulative_hazard(ages) == pytest.approx(-np.log(alive), rel=1e-9, abs=1e-14)


def test_erlang_in_both_tails() -> None:
    """Four equal rates are a gamma distribution of shape 4 (scipy.stats): chances of 1e-17 after
    hours and survival of 1e-80 after centuries."""
    life = GradeLife(ContinuousChain((0.2,) * 4), NEW)
    ages = np.array([1e-3, 1e-2, 1.0, 20.0, 200.0, 1000.0])
    known = stats.gamma(4, scale=5.0)
    assert -np.expm1(-life.cumulative_hazard(ages[:3])) == pytest.approx(
        known.cdf(ages[:3]), rel=1e-9
    )
    assert -life.cumulative_hazard(ages[3:]) == pytest.approx(known.logsf(ages[3:]), rel=1e-9)
    assert hazard(life, ages) == pytest.approx(known.pdf(ages) / known.sf(ages), rel=1e-9)


@pytest.mark.parametrize("chain", [DECKS, STEPS, FLOW])
def test_contract(chain: YearlyChain | ContinuousChain) -> None:
    """H(0) = 0, never falls, keeps its shape, its slope is h; frozen and hashable; old ages too."""
    life = GradeLife(chain, MIXED)
    ages = np.linspace(0.0, 60.0, 241)
    held = life.cumulative_hazard(ages)
    assert held[0] == 0 and (np.diff(held) > 0).all()
    assert life.cumulative_hazard(ages[1:].reshape(24, 10)).shape == (24, 10)
    assert float(life.cumulative_hazard(np.array(7.5))) == pytest.approx(held[30])
    inside = np.array([0.3, 4.6, 33.3])
    slope = life.cumulative_hazard(inside + 1e-4) - life.cumulative_hazard(inside - 1e-4)
    assert hazard(life, inside) == pytest.approx(slope / 2e-4, rel=1e-6)
    assert hash(life) == hash(GradeLife(chain, MIXED))
    far = life.cumulative_hazard(np.array([1e4, 1e6, 1e300, np.inf]))
    assert (np.diff(far[:3]) > 0).all() and np.isinf(far[3])


def test_yearly_life_is_half_a_year_shorter() -> None:
    """Failures are spread evenly over a year, the chain counts them at its end."""
    life = GradeLife(STEPS, NEW)
    wanted = STEPS.mean_years_to_last[0] - 0.5
    assert mean_residual_years(life, 0.0) == pytest.approx(wanted, rel=1e-7)
    middle = survival(life, np.array([8.0, 8.5, 9.0]))
    assert middle[1] == pytest.approx((middle[0] + middle[2]) / 2, rel=1e-12)


def test_odd_chains() -> None:
    """Certain failure within the year; a grade that is never left."""
    sure = GradeLife(YearlyChain(((0.0, 1.0), (0.0, 1.0))), (1.0, 0.0))
    assert sure.cumulative_hazard(np.array([0.5, 1.0, 3000.0])) == pytest.approx(
        [np.log(2), np.inf, np.inf]
    )
    stuck = YearlyChain(((0.5, 0.3, 0.2), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)))
    assert np.isinf(stuck.mean_years_to_last).all()
    held = GradeLife(stuck, (1.0, 0.0, 0.0)).cumulative_hazard(np.array([200.0, 1e6, np.inf]))
    assert held == pytest.approx([-np.log(0.6)] * 3)
    assert np.isinf(ContinuousChain((0.3, 0.0)).mean_years_to_last).all()


def test_refusals() -> None:
    for rows in (((0.5, 0.4), (0.0, 1.0)), ((1.2, -0.2), (0.0, 1.0))):
        with pytest.raises(ValueError, match="sum to 1"):
            YearlyChain(rows)
    with pytest.raises(ValueError, match="better by itself"):
        YearlyChain(((0.5, 0.5), (0.1, 0.9)))
    with pytest.raises(ValueError, match="as many columns"):
        YearlyChain(((1.0,),))
    for rates in ((), (0.0,), (-0.1, 0.2), (np.inf,)):
        with pytest.raises(ValueError, match="needs a rate"):
            ContinuousChain(rates)
    with pytest.raises(ValueError, match="one of 0 or more"):
        GradeLife(FLOW, (1.0, 0.0))
    with pytest.raises(ValueError, match="ended already"):
        GradeLife(FLOW, (0.0, 0.0, 0.0, 0.0, 1.0))
