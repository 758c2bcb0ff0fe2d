"""A spare that several components share: hand numbers, closed forms, a simulation, slopes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as effort
from hypothesis import strategies as st
from scipy import stats

from bundler.life.curves import FloatArray
from bundler.risk.spares import (
    Pool,
    from_grid,
    on_grid,
    share_before,
    short_chance,
    spare_loss,
    spare_marginal,
    taken_before,
)

YEAR = 365.25
#: one site spare for four output transformers: rates a year and a restock time of 46 months
RATES = np.array([0.012, 0.012, 0.011, 0.002])
RESTOCK = 46 / 12 * YEAR


def rng(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


def grid(seed: int = 1, cells: int = 60) -> FloatArray:
    """Return a grid of uneven cells over 20 years."""
    inner = np.sort(rng(seed).uniform(0, 20 * YEAR, cells - 1))
    return np.concatenate([[0.0], inner, [20 * YEAR]])


def pool(count: int, edges: FloatArray, restock: float = RESTOCK, members: int = 4) -> Pool:
    extra = rng(7).uniform(100.0, 1000.0, (members, len(edges) - 1))
    return Pool(count, share_before(edges, restock), extra)


def test_a_second_failure_within_the_restock_time_by_hand() -> None:
    """About 9 % is what the trade counts with for rates of this size (from memory)."""
    edges = np.arange(0.0, 40 * YEAR, YEAR / 4)
    failures = RATES[:, None] * np.diff(edges)[None, :] / YEAR
    found = short_chance(taken_before(failures, share_before(edges, RESTOCK)), 1)
    for own, rate in zip(found, RATES, strict=True):
        # late on the grid the whole restock time lies behind: (3.7 % - own) x 46 / 12 years
        mean = (RATES.sum() - rate) * 46 / 12
        assert own[-1] == pytest.approx(1 - np.exp(-mean), rel=1e-9)
    every = float(found[:, -1] @ RATES / RATES.sum())
    assert every == pytest.approx(0.09426, abs=5e-5)


def test_what_counts_as_before_is_exact() -> None:
    """Mean over a cell of the failures in (t - T, t], against the integral by many points."""
    edges, restock = grid(), 1000.0
    failures = rng(3).uniform(0, 0.1, (1, 60))
    passed = np.append(0.0, np.cumsum(failures[0]))
    found = (share_before(edges, restock) @ failures[0]).tolist()
    for k in range(60):
        t = edges[k] + (np.arange(20000) + 0.5) / 20000 * (edges[k + 1] - edges[k])
        inside = np.interp(t, edges, passed) - np.interp(t - restock, edges, passed)
        assert found[k] == pytest.approx(inside.mean(), rel=1e-6, abs=1e-9)


def test_cells_of_seconds_do_no_harm() -> None:
    edges = np.array([0.0, 100.0, 100.0 + 1e-5, 12000.0, 12000.0 + 1e-5, 13000.0])
    share = share_before(edges, 5000.0)
    assert (share >= -1e-9).all() and (share <= 1 + 1e-9).all()
    assert share[3] == pytest.approx([0.0, 0.0, 5000 / 11900, 0.5, 0.0], abs=1e-6)
    assert share[4, 2:] == pytest.approx([4500 / 11900, 1.0, 0.5], abs=1e-6)


def test_an_item_that_never_comes_back() -> None:
    edges = grid()
    failures = rng(3).uniform(0, 0.1, (3, 60))
    found = taken_before(failures, share_before(edges, float("nan")))
    others = failures.sum(axis=0) - failures[0]
    assert found[0] == pytest.approx(np.cumsum(others) - others / 2)
    assert share_before(edges, 1e9) == pytest.approx(share_before(edges, float("inf")))


@pytest.mark.parametrize("count", [0, 1, 2, 5, 40])
def test_the_chance_is_a_tail_of_poisson(count: int) -> None:
    mean = np.array([0.0, 1e-6, 0.09, 1.0, 7.5, 60.0])
    assert short_chance(mean, count) == pytest.approx(stats.poisson.sf(count - 1, mean), rel=1e-9)


@pytest.mark.parametrize("count", [0, 1, 3])
def test_palm_by_simulation(count: int) -> None:
    """Four sources share S items, each taken one comes back after T: how often none is there.

    A failure of source 0 sees S or more items away, whatever queue there is (M/G/infinity).
    """
    draw, years, restock = rng(11), 200_000.0, 1.5
    rates = np.array([0.4, 0.3, 0.2, 0.1])
    times = [np.sort(draw.uniform(0, years, draw.poisson(rate * years))) for rate in rates]
    others = np.sort(np.concatenate(times[1:]))
    own = times[0][times[0] > restock]
    away = np.searchsorted(others, own) - np.searchsorted(others, own - restock)
    short = float((away >= count).mean())
    error = np.sqrt(short * (1 - short) / len(own)) + 1e-12
    assert short == pytest.approx(
        float(short_chance(np.array(0.6 * restock), count)), abs=4 * error
    )


def test_loss_in_closed_form_and_its_error_of_second_order() -> None:
    """Two components of constant rate r, one spare that never comes back, no discounting:
    each loses c times the integral of r (1 - exp(-r t))."""
    rate, years, extra = 0.15, 20.0, 700.0
    exact = 2 * extra * (rate * years + np.exp(-rate * years) - 1)
    wrong = []
    for cells in (20, 40, 80):
        edges = np.linspace(0.0, years * YEAR, cells + 1)
        failures = np.full((2, cells), rate * years / cells)
        held = Pool(1, share_before(edges, np.inf), np.full((2, cells), extra))
        wrong.append(abs(spare_loss(held, failures).sum() - exact))
    assert wrong[0] < 1e-3 * exact
    assert wrong[0] / wrong[1] == pytest.approx(4, rel=0.02)
    assert wrong[1] / wrong[2] == pytest.approx(4, rel=0.02)


def test_without_a_spare_every_failure_is_short() -> None:
    edges = grid()
    failures, held = rng(5).uniform(0, 0.2, (4, 60)), pool(0, edges)
    assert spare_loss(held, failures) == pytest.approx(failures * held.extra_pv_cost)
    assert spare_marginal(held, failures) == pytest.approx(held.extra_pv_cost)


@pytest.mark.parametrize("count", [1, 2, 4])
@pytest.mark.parametrize("restock", [400.0, RESTOCK, np.inf])
def test_the_slope_is_that_of_the_loss(count: int, restock: float) -> None:
    edges = grid()
    held, failures = pool(count, edges, restock), rng(6).uniform(0, 0.2, (4, 60))
    slope, step = spare_marginal(held, failures), 1e-4
    found = np.zeros_like(slope)
    for i, k in np.ndindex(4, 60):
        moved = np.zeros_like(failures)
        moved[i, k] = step
        up, down = (spare_loss(held, failures + sign * moved).sum() for sign in (1, -1))
        found[i, k] = (up - down) / (2 * step)
    assert found == pytest.approx(slope, rel=1e-7, abs=1e-7 * slope.max())


@effort(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.integers(0, 6), st.floats(1.0, 9000.0))
def test_more_spares_or_quicker_ones_never_cost_more(seed: int, count: int, restock: float) -> None:
    edges = grid(seed, 25)
    failures = rng(seed).exponential(0.1, (3, 25))
    costs = [
        spare_loss(pool(spares, edges, days, 3), failures).sum()
        for spares, days in ((count, restock), (count + 1, restock), (count, restock / 2))
    ]
    assert costs[1] <= costs[0] * (1 + 1e-12) and costs[2] <= costs[0] * (1 + 1e-12)


def test_other_grids_keep_failures_and_money() -> None:
    edges, other = grid(1, 30), np.union1d(grid(1, 30), grid(2, 40))
    short = edges[edges < 15 * YEAR]
    failures = rng(4).uniform(0, 0.2, len(short) - 1)
    moved = on_grid(failures, short, other)
    assert moved.sum() == pytest.approx(failures.sum(), rel=1e-12)
    assert not moved[other[:-1] >= short[-1]].any()
    assert on_grid(moved, other, short) == pytest.approx(failures, rel=1e-9)
    values = rng(5).uniform(0, 9, len(other) - 1)
    back = from_grid(values, other, short)
    assert back @ failures == pytest.approx(values @ moved, rel=1e-12)
    # the same where no edge of one is an edge of the other
    odd = np.linspace(-5.0, 22 * YEAR, 50)
    values = rng(5).uniform(0, 9, 49)
    back = from_grid(values, odd, short)
    assert back @ failures == pytest.approx(values @ on_grid(failures, short, odd), rel=1e-12)
