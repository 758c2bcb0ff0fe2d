"""Stocks of parts that nobody makes any more: the date they run out, and what comes after it."""

from dataclasses import dataclass

import numpy as np

from bundler.calendar import DAYS_A_YEAR
from bundler.life.curves import FloatArray

#: a yearly growth nearer to 0 than this is none; below it the closed forms lose their digits
NO_GROWTH = 1e-9


@dataclass(frozen=True)
class Stock:
    """Good items, and what uses them up; n components have the old design at the start.

    Attributes
    ----------
    items_count
        Good items at the start.
    use_count_per_year
        Items used in a year by all n components; each takes 1 / n of it while it is there.
    growth_share_per_year
        Yearly growth of the use.
    end_days
        [n] last day of each component's unit; its use ends there and frees nothing.
    """

    items_count: float
    use_count_per_year: float
    growth_share_per_year: float
    end_days: FloatArray


@dataclass(frozen=True)
class Harm:
    """What is lost while there is no item, for each of n components.

    Attributes
    ----------
    edges_days
        [K+1] cells, each of which is wholly on line or wholly shut.
    on_line_share
        [n, K] 1 where the unit is on line, else 0.
    cost_per_year
        [n] failures a year without items x full-power days of one x value of a day of the unit.
    discount_share_per_year
        Real discount rate.
    """

    edges_days: FloatArray
    on_line_share: FloatArray
    cost_per_year: FloatArray
    discount_share_per_year: float


def grown(share_per_year: float, years: FloatArray) -> FloatArray:
    """Return the integral of (1 + g)^t from 0 to each time [years]."""
    if abs(share_per_year) < NO_GROWTH:
        return np.asarray(years, dtype=float)
    rate = np.log1p(share_per_year)
    result: FloatArray = np.expm1(rate * years) / rate
    return result


def grown_until(share_per_year: float, amount: FloatArray) -> FloatArray:
    """Return the time at which `grown` reaches each amount [years]; infinite if it never does."""
    if abs(share_per_year) < NO_GROWTH:
        return np.asarray(amount, dtype=float)
    rate = np.log1p(share_per_year)
    with np.errstate(divide="ignore"):
        result: FloatArray = np.log1p(np.maximum(amount * rate, -1.0)) / rate
    return result


def _leaving(
    stock: Stock, removal_days: FloatArray, freed_count: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return when each component leaves the use, and what it frees then [P, n]."""
    days = np.maximum(removal_days, 0.0)
    freed = np.where(days < stock.end_days, freed_count, 0.0)
    return np.minimum(days, stock.end_days), freed


def out_stretches(
    stock: Stock, removal_days: FloatArray, freed_count: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return from when to when there is no item, before each removal in turn [P, n], in days.

    `removal_days` [P, n] hold, in each of P patterns, the day on which each component is renewed,
    infinite for never; `freed_count` [P, n] (or less of it) the good items that this frees. The
    stock falls without steps, S - u (old / n) (grown(b) - grown(a)) from day a to day b, down to
    0; there it stays until items are freed. Where it holds, a stretch has no length.
    """
    leave, freed = _leaving(stock, removal_days, freed_count)
    order = np.argsort(leave, axis=1, kind="stable")
    leave, freed = (np.take_along_axis(each, order, axis=1) for each in (leave, freed))
    reached = grown(stock.growth_share_per_year, leave / DAYS_A_YEAR)
    n = leave.shape[1]
    left, begun = np.full(len(leave), float(stock.items_count)), np.zeros(len(leave))
    since = leave.copy()
    for number in range(n):
        rate = stock.use_count_per_year * (n - number) / n
        need = rate * (reached[:, number] - begun)
        is_out = need > left
        if is_out.any():
            amount = begun[is_out] + left[is_out] / rate
            since[is_out, number] = DAYS_A_YEAR * grown_until(stock.growth_share_per_year, amount)
        left = np.maximum(left - need, 0.0) + freed[:, number]
        begun = reached[:, number]
    return np.minimum(since, leave), leave


def run_out_days(stock: Stock, removal_days: FloatArray, freed_count: FloatArray) -> FloatArray:
    """Return the first day without an item in each pattern [P]; infinite if there is none."""
    since, until = out_stretches(stock, removal_days, freed_count)
    result: FloatArray = np.where(since < until, since, np.inf).min(axis=1)
    return result


def out_share(since: FloatArray, until: FloatArray, edges_days: FloatArray) -> FloatArray:
    """Return the share of each cell in which there is no item [P, K], from `out_stretches`."""
    low = np.maximum(since[:, :, None], edges_days[:-1])
    high = np.minimum(until[:, :, None], edges_days[1:])
    result: FloatArray = np.maximum(high - low, 0.0).sum(axis=1) / np.diff(edges_days)
    return result


def _discounted(share_per_year: float, days: FloatArray) -> FloatArray:
    """Return the integral of (1 + i)^-t from 0 to each day [years]."""
    return grown(1 / (1 + share_per_year) - 1, days / DAYS_A_YEAR)


def run_out_loss(
    stock: Stock, harm: Harm, removal_days: FloatArray, freed_count: FloatArray
) -> FloatArray:
    """Return the present value of what each component loses in each pattern [P, n].

    Component j loses its cost a year, discounted, while there is no item, its unit is on line and
    it is of the old design. Exact: the day the stock runs out is in closed form, and so is the
    money between two days.
    """
    since, until = out_stretches(stock, removal_days, freed_count)
    leave, _ = _leaving(stock, removal_days, freed_count)
    share = harm.discount_share_per_year
    worth = _discounted(share, harm.edges_days)
    low, high = _discounted(share, since), _discounted(share, until)
    lost = np.zeros_like(leave)
    for j, cost in enumerate(harm.cost_per_year):
        passed = np.append(0.0, np.cumsum(harm.on_line_share[j] * np.diff(worth)))
        money = np.interp(high, worth, passed) - np.interp(low, worth, passed)
        is_old = until <= leave[:, [j]]
        lost[:, j] = cost * np.where(is_old, money, 0.0).sum(axis=1)
    return lost


def losses_at(
    stock: Stock, harm: Harm, removal_days: FloatArray, freed_count: FloatArray, member: int,
    candidates: tuple[FloatArray, FloatArray],
) -> FloatArray:  # fmt: skip
    """Return the sum of `run_out_loss` for each removal of one member, all others standing [m].

    `removal_days` and `freed_count` [n] are of the plan; candidates are days [m] and items freed
    [m] of the member.
    """
    days, freed = candidates
    patterns = np.tile(removal_days, (len(days), 1))
    items = np.tile(np.asarray(freed_count, dtype=float), (len(days), 1))
    patterns[:, member], items[:, member] = days, freed
    result: FloatArray = run_out_loss(stock, harm, patterns, items).sum(axis=1)
    return result
