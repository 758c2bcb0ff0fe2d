"""Conditional value at risk against published values, a linear program and closed forms."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.optimize import linprog

from bundler.risk.tail import cvar, tail_weights


@pytest.mark.parametrize(
    ("worst_share", "mean"),
    [(0.05, -100), (0.1, -100), (0.2, -60), (0.3, -46.666667), (0.4, -40), (0.5, -32),
     (0.6, -26.666667), (0.7, -22.857143), (0.8, -20), (0.9, -12.222222), (1.0, -6)],
)  # fmt: skip
def test_discrete_outcomes(worst_share: float, mean: float) -> None:
    """Outcomes -100, -20, 0, 50 with chances 0.1, 0.3, 0.4, 0.2: mean of the worst q.

    The procedure and the 5 % and 20 % cases are the example of the encyclopaedia article on
    expected shortfall; the other rows were computed by the same procedure.
    """
    found = cvar(-np.array([-100.0, -20, 0, 50]), np.array([0.1, 0.3, 0.4, 0.2]), 1 - worst_share)
    assert found == pytest.approx(-mean, rel=1e-7)


def test_fractional_tail() -> None:
    """Losses 1 to 100, equally likely: 98 for 95 %, 98.2222 for 95.5 % (part of an outcome)."""
    losses, chances = np.arange(1.0, 101), np.full(100, 0.01)
    assert cvar(losses, chances, 0.95) == pytest.approx(98, rel=1e-9)
    assert cvar(losses, chances, 0.955) == pytest.approx(98 + 2 / 9, rel=1e-9)


def _by_program(costs: np.ndarray, chances: np.ndarray, alpha: float) -> float:
    """Return CVaR by the linear program of Rockafellar and Uryasev (2000), equation 17."""
    count = len(costs)
    answer = linprog(
        np.concatenate([[1.0], chances / (1 - alpha)]),
        A_ub=np.column_stack([-np.ones(count), -np.eye(count)]), b_ub=-costs,
        bounds=[(None, None), *[(0, None)] * count],
    )  # fmt: skip
    assert answer.success
    return float(answer.fun)


@given(st.integers(0, 2**32 - 1), st.floats(0, 0.98))
@settings(max_examples=60, deadline=None)
def test_equals_the_linear_program(seed: int, alpha: float) -> None:
    """Random outcomes with random chances; ties among them too."""
    rng = np.random.default_rng(seed)
    costs = rng.integers(-20, 20, int(rng.integers(1, 12))).astype(float)
    chances = rng.dirichlet(np.ones(len(costs)))
    assert cvar(costs, chances, alpha) == pytest.approx(
        _by_program(costs, chances, alpha), abs=1e-6
    )
    weights = tail_weights(costs, chances, alpha)
    assert weights.sum() == pytest.approx(1) and (weights >= 0).all()
    assert (weights <= chances / (1 - alpha) + 1e-9).all()


#: points of the quantile grid; the middle of each cell stands for it
GRID = (np.arange(2_000_000) + 0.5) / 2_000_000


@pytest.mark.parametrize(
    ("law", "alpha", "value"),
    [
        (stats.norm(), 0.9, 1.754983320), (stats.norm(), 0.95, 2.062712808),
        (stats.norm(), 0.975, 2.337802792), (stats.norm(), 0.99, 2.665214220),
        (stats.lognorm(0.8, scale=np.exp(10)), 0.9, 95568.64997),
        (stats.lognorm(0.8, scale=np.exp(10)), 0.95, 120784.77758),
        (stats.expon(), 0.95, 3.995732274),
    ],
)  # fmt: skip
def test_closed_forms(law: object, alpha: float, value: float) -> None:
    """Normal phi(z) / (1 - alpha); lognormal exp(mu + s2 / 2) Phi(s - z) / (1 - alpha); exponential
    1 - ln(1 - alpha). The grid cuts the far tail, so it comes close from below.
    """
    costs = law.ppf(GRID)  # type: ignore[attr-defined]
    assert cvar(costs, np.full(len(GRID), 1 / len(GRID)), alpha) == pytest.approx(value, rel=5e-5)


def test_ends_and_faults() -> None:
    """alpha 0 gives the mean; a single outcome is its own tail; wrong input is told."""
    costs, chances = np.array([1.0, 5.0, 3.0]), np.array([0.5, 0.25, 0.25])
    assert cvar(costs, chances, 0.0) == pytest.approx(2.5)
    assert cvar(np.array([7.0]), np.array([1.0]), 0.9) == 7
    with pytest.raises(ValueError, match="below 1"):
        cvar(costs, chances, 1.0)
    with pytest.raises(ValueError, match="add up to 1"):
        cvar(costs, chances / 2, 0.5)
