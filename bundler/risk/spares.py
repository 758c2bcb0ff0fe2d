"""Spares that components share: the chance that a failure finds none, and what that costs."""

from dataclasses import dataclass

import numpy as np
from scipy import special

from bundler.life.curves import FloatArray


@dataclass(frozen=True)
class Pool:
    """The spares of a family, counted once for all its components, on one grid of K cells.

    Attributes
    ----------
    spares_count
        Good items there at the start.
    before_share
        [K, K], from `share_before`: how its failures in each cell count for those in another.
    extra_pv_cost
        [n, K] what a failure of each component loses more, in present value, if it finds no item;
        0 while its unit is shut: such a failure takes an item all the same.
    """

    spares_count: int
    before_share: FloatArray
    extra_pv_cost: FloatArray


def _passed_share(from_days: FloatArray, edges_days: FloatArray) -> FloatArray:
    """Return the mean share of cell l (column) that has passed during each stretch (row).

    Stretches begin at `from_days`, whose last entry ends the last one. At time t of cell l,
    u = (t - start) / width and min(max(u, 0), 1) has passed; the mean over u from a to b is exact.
    """
    u = (from_days[:, None] - edges_days[None, :-1]) / np.diff(edges_days)
    a, b = u[:-1], u[1:]
    low, high = np.clip(a, 0.0, 1.0), np.clip(b, 0.0, 1.0)
    inside = (high - low) * (high + low) / 2
    result: FloatArray = (inside + np.maximum(b - np.maximum(a, 1.0), 0.0)) / (b - a)
    return result


def share_before(edges_days: FloatArray, restock_days: float) -> FloatArray:
    """Return the share of the failures in cell l that fall in the time T before one in cell k.

    [k, l], meant over all times of cell k; failures within a cell are spread evenly. `edges_days`
    [K+1] grow; `restock_days` T is infinite (or not a number) where no item is ever replaced.
    """
    edges = np.asarray(edges_days, dtype=float)
    share = _passed_share(edges, edges)
    if np.isfinite(restock_days):
        share = share - _passed_share(edges - restock_days, edges)
    return share


def taken_before(failures: FloatArray, before_share: FloatArray) -> FloatArray:
    """Return the mean number of items that others have taken before a failure of each [n, K].

    m_i = sum over the others j of the failures of j in (t - T, t]; `failures` [n, K] are those
    expected in each cell. A component that fails is as new after the swap: its own do not count.
    """
    others: FloatArray = failures.sum(axis=0) - failures
    return others @ before_share.T


def short_chance(mean_count: FloatArray, spares_count: int) -> FloatArray:
    """Return the chance that a failure finds no item: P(N >= S), N Poisson with mean m [-].

    Palm's theorem: with failures as a Poisson process the number on order is Poisson with the
    mean of one restock time, whatever the queue (Palm 1938; Feeney and Sherbrooke 1966: from
    memory).
    """
    mean = np.asarray(mean_count, dtype=float)
    if spares_count == 0:
        return np.ones_like(mean)
    result: FloatArray = special.gammainc(float(spares_count), mean)
    return result


def _short_slope(mean_count: FloatArray, spares_count: int) -> FloatArray:
    """Return d P(N >= S) / dm = P(N = S - 1)."""
    if spares_count == 0:
        return np.zeros_like(mean_count)
    log = special.xlogy(spares_count - 1, mean_count) - mean_count - special.gammaln(spares_count)
    result: FloatArray = np.exp(log)
    return result


def spare_loss(pool: Pool, failures: FloatArray) -> FloatArray:
    """Return what failures lose more because they find no item, in present value [n, K].

    f_i P(N >= S; m_i) extra_i, with m_i at its mean over the cell: an error of second order in
    the width of the cells.
    """
    chance = short_chance(taken_before(failures, pool.before_share), pool.spares_count)
    return failures * chance * pool.extra_pv_cost


def spare_marginal(pool: Pool, failures: FloatArray) -> FloatArray:
    """Return the derivative of the sum of `spare_loss` by each expected failure [n, K].

    Its own chance to find no item, and the item it takes from the failures of all others in the
    restock time that follows: sum over i other than j of f_i P(N_i = S - 1) extra_i.
    """
    mean = taken_before(failures, pool.before_share)
    own = short_chance(mean, pool.spares_count) * pool.extra_pv_cost
    harmed = failures * _short_slope(mean, pool.spares_count) * pool.extra_pv_cost
    others: FloatArray = harmed.sum(axis=0) - harmed
    return own + others @ pool.before_share


def on_grid(failures: FloatArray, edges_days: FloatArray, grid_days: FloatArray) -> FloatArray:
    """Return failures in cells as failures in the cells of another grid, spread evenly [..., K].

    `failures` [..., k] lie between `edges_days` [k+1]; nothing fails outside of these.
    """
    passed = np.zeros((*failures.shape[:-1], failures.shape[-1] + 1))
    np.cumsum(failures, axis=-1, out=passed[..., 1:])
    whole = np.clip(grid_days, edges_days[0], edges_days[-1])
    at = np.clip(np.searchsorted(edges_days, whole, side="right") - 1, 0, len(edges_days) - 2)
    part = (whole - edges_days[at]) / np.diff(edges_days)[at]
    result: FloatArray = np.diff(passed[..., at] + part * failures[..., at], axis=-1)
    return result


def from_grid(values: FloatArray, grid_days: FloatArray, edges_days: FloatArray) -> FloatArray:
    """Return values by failure on one grid as their means on another: the adjoint of `on_grid`.

    `values` [..., K] between `grid_days`; [..., k] between `edges_days`. The sum of failures times
    values is the same on both grids.
    """
    widths = np.diff(grid_days)
    result: FloatArray = on_grid(values * widths, grid_days, edges_days) / np.diff(edges_days)
    return result
