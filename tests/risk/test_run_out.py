"""Parts that nobody makes any more: dates and money by hand, in closed form and step by step."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as effort
from hypothesis import strategies as st

from bundler.life.curves import FloatArray
from bundler.risk.run_out import (
    Harm,
    Stock,
    grown,
    grown_until,
    losses_at,
    out_share,
    out_stretches,
    run_out_days,
    run_out_loss,
)

YEAR, END, NEVER = 365.25, 36 * 365.25, np.inf
#: 9 cards, of which 1.7 are used up in a year and 6 % more each year, for four units
CARDS = Stock(9.0, 1.7, 0.06, np.full(4, END))
#: 0.65 failures a year x 25 days x 900 k$ a day
YEAR_COST = 0.65 * 25 * 900


def rows(*values: float) -> FloatArray:
    return np.array([values])


def harm(share: float = 0.0, on_line: FloatArray | None = None, cells: int = 36) -> Harm:
    edges = np.linspace(0.0, END, cells + 1)
    on_line = np.ones((4, cells)) if on_line is None else on_line
    return Harm(edges, on_line, np.full(4, YEAR_COST), share)


ALL_STAY = rows(*[NEVER] * 4)
NOTHING = np.zeros((1, 4))


def test_the_stock_ends_when_the_trade_says() -> None:
    """1.06^t = 1 + 9 ln 1.06 / 1.7: 4.61 years after 2027-01-01, in August 2031."""
    [days] = run_out_days(CARDS, ALL_STAY, NOTHING)
    assert days / YEAR == pytest.approx(np.log(1 + 9 * np.log(1.06) / 1.7) / np.log(1.06))
    assert days / YEAR == pytest.approx(4.61, abs=0.005)
    when = date(2027, 1, 1) + timedelta(days=round(days))
    assert (when.year, when.month) == (2031, 8)


def test_a_year_without_cards_costs_14_6_million() -> None:
    loss = run_out_loss(CARDS, harm(), ALL_STAY, NOTHING)
    out = END / YEAR - run_out_days(CARDS, ALL_STAY, NOTHING)[0] / YEAR
    assert loss == pytest.approx(np.full((1, 4), 14625 * out))


def test_growth_in_closed_form() -> None:
    years = np.array([0.0, 0.5, 4.0, 40.0])
    for share in (0.0, 0.06, -0.2):
        assert grown_until(share, grown(share, years)) == pytest.approx(years)
    assert grown(0.06, np.array(1.0)) == pytest.approx(0.06 / np.log(1.06))
    # a use that shrinks by a fifth a year takes 1 / ln(1 / 0.8) in all, and no more
    assert grown_until(-0.2, np.array([4.4, 4.5])) == pytest.approx([18.0, NEVER], rel=0.02)


def test_a_renewed_unit_frees_items_and_takes_nothing_more() -> None:
    """No growth: 8 items, 4 a year by 4. One renewed after 1 year frees 6: 8 - 4 + 6 = 10, at 3 a
    year out 3 1/3 years later. One renewed at 5 years frees nothing; the last two go on losing."""
    stock = Stock(8.0, 4.0, 0.0, np.full(4, END))
    removal = rows(YEAR, NEVER, 5 * YEAR, NEVER)
    freed = rows(6.0, 6.0, 0.0, 6.0)
    [first] = run_out_days(stock, removal, freed)
    assert first / YEAR == pytest.approx(1 + 10 / 3)
    loss = run_out_loss(stock, harm(), removal, freed)[0] / YEAR_COST
    stays = 36 - 13 / 3
    assert loss == pytest.approx([0.0, stays, 5 - 13 / 3, stays])


def test_items_freed_after_the_end_last_again_for_a_while() -> None:
    """2 items, 4 a year by 4: out at 0.5. At 2 years one is renewed and frees 3: with 3 a year
    they last a year. At 10 the next frees 1, for 2 users half a year. Users are never owed."""
    stock = Stock(2.0, 4.0, 0.0, np.full(4, END))
    removal, freed = rows(2 * YEAR, 10 * YEAR, NEVER, NEVER), np.array([[3.0, 1.0, 9.0, 9.0]])
    since, until = out_stretches(stock, removal, freed)
    assert since[0] / YEAR == pytest.approx([0.5, 3.0, 10.5, 36.0])
    assert until[0] / YEAR == pytest.approx([2.0, 10.0, 36.0, 36.0])
    share = out_share(since, until, np.array([0.0, 1.0, 2.0, 3.5, 10.5, 11.5]) * YEAR)
    assert share == pytest.approx(np.array([[0.5, 1.0, 1 / 3, 6.5 / 7, 1.0]]))
    loss = run_out_loss(stock, harm(), removal, freed)[0] / YEAR_COST
    assert loss == pytest.approx([1.5, 8.5, 1.5 + 7 + 25.5, 1.5 + 7 + 25.5])


def test_enough_is_never_out_and_none_is_out_at_once() -> None:
    """60 a year for 36 years is exactly what there is."""
    stock = Stock(36.0 * 60, 60.0, 0.0, np.full(4, END))
    assert run_out_days(stock, ALL_STAY, NOTHING) == [NEVER]
    assert not run_out_loss(stock, harm(), ALL_STAY, NOTHING).any()
    empty = Stock(0.0, 1.0, 0.0, np.full(4, END))
    assert run_out_days(empty, ALL_STAY, NOTHING) == [0.0]
    all_renewed = np.zeros((1, 4))
    assert not run_out_loss(empty, harm(), all_renewed, NOTHING).any()


def test_a_unit_that_ends_stops_using_and_frees_nothing() -> None:
    stock = Stock(4.0, 4.0, 0.0, np.array([YEAR / 2, END, END, END]))
    removal, freed = rows(YEAR, NEVER, NEVER, NEVER), rows(9.0, 0.0, 0.0, 0.0)
    # 4 - 2 in the first half year, then 3 a year
    [day] = run_out_days(stock, removal, freed)
    assert day / YEAR == pytest.approx(0.5 + 2 / 3)
    assert run_out_loss(stock, harm(), removal, freed)[0, 0] == 0.0


def test_money_is_discounted_and_nothing_is_lost_while_shut() -> None:
    """Out from 0.5 to 36 years; the first unit is shut in years 2 to 4."""
    on_line = np.ones((4, 36))
    on_line[0, 2:4] = 0.0
    stock = Stock(2.0, 4.0, 0.0, np.full(4, END))
    loss = run_out_loss(stock, harm(0.05, on_line), ALL_STAY, NOTHING)[0] / YEAR_COST

    def worth(low: float, high: float) -> float:
        return float((1.05**-low - 1.05**-high) / np.log(1.05))

    assert loss[1] == pytest.approx(worth(0.5, 36))
    assert loss[0] == pytest.approx(worth(0.5, 2) + worth(4, 36))


def stepped(stock: Stock, removal: FloatArray, freed: FloatArray, steps: int) -> FloatArray:
    """Return the years without items of each component, followed in small steps."""
    left, out, n = stock.items_count, np.zeros(len(removal)), len(removal)
    leave = np.minimum(removal, stock.end_days)
    is_freed = np.zeros(n, dtype=bool)
    width = stock.end_days.max() / steps
    for step in range(steps):
        day = (step + 0.5) * width
        now = (leave <= day) & ~is_freed
        left += float(freed[now & (removal < stock.end_days)].sum())
        is_freed |= now
        old = leave > day
        rate = stock.use_count_per_year * (1 + stock.growth_share_per_year) ** (day / YEAR)
        need = rate * old.mean() * width / YEAR
        out[old] += (1 - min(left / need, 1.0) if need > 0 else 0.0) * width / YEAR
        left = max(left - need, 0.0)
    return out


@effort(max_examples=25, deadline=None)
@given(
    st.floats(0, 40), st.floats(0.1, 9), st.floats(-0.3, 0.3),
    st.lists(st.floats(0, 45), min_size=4, max_size=4),
    st.lists(st.integers(0, 20), min_size=4, max_size=4),
    st.lists(st.integers(5, 36), min_size=4, max_size=4),
)  # fmt: skip
def test_closed_form_is_what_small_steps_give(
    items: float, use: float, growth: float, removal: list[float], freed: list[int], end: list[int]
) -> None:
    stock = Stock(items, use, growth, np.array(end) * YEAR)
    days, count = np.array(removal) * YEAR, np.array(freed, dtype=float)
    found = run_out_loss(stock, harm(), days[None], count[None])[0] / YEAR_COST
    assert found == pytest.approx(stepped(stock, days, count, 4000), abs=0.1)


def test_many_patterns_at_once_and_one_member_moved() -> None:
    draw = np.random.default_rng(2)
    patterns = draw.uniform(0, 40, (200, 4)) * YEAR
    freed = draw.integers(0, 20, (200, 4)).astype(float)
    together = run_out_loss(CARDS, harm(0.05), patterns, freed)
    for number in range(0, 200, 17):
        one = slice(number, number + 1)
        alone = run_out_loss(CARDS, harm(0.05), patterns[one], freed[one])
        assert together[one] == pytest.approx(alone, rel=1e-12)
    days, items = patterns[:, 1], freed[:, 1]
    moved = losses_at(CARDS, harm(0.05), patterns[0], freed[0], 1, (days, items))
    assert moved[0] == pytest.approx(together[0].sum())
    never = losses_at(CARDS, harm(0.05), patterns[0], freed[0], 1, (rows(NEVER)[0], rows(0.0)[0]))
    assert never[0] >= moved.min()


@effort(max_examples=50, deadline=None)
@given(st.integers(0, 10_000), st.floats(0, 30), st.floats(0, 5))
def test_more_items_never_cost_more(seed: int, items: float, more: float) -> None:
    draw = np.random.default_rng(seed)
    removal, freed = draw.uniform(0, 45, (8, 4)) * YEAR, draw.uniform(0, 9, (8, 4))
    few, many = (
        run_out_loss(Stock(count, 1.7, 0.06, np.full(4, END)), harm(), removal, freed)
        for count in (items, items + more)
    )
    assert (many <= few + 1e-6).all()


def test_growth_next_to_nothing_is_none() -> None:
    """A quarter item is left after a year, then half an item a year is used: out after 1.5 years."""
    gone = np.array([[0.0, 1.0, 2.0, 2.0]]) * YEAR
    for growth in (0.0, 5e-324, 1e-300, 1e-15, -1e-12, 1e-10, 1e-8):
        stock = Stock(1.0, 1.0, growth, np.full(4, 5.0) * YEAR)
        assert run_out_days(stock, gone, np.zeros((1, 4)))[0] == pytest.approx(1.5 * YEAR, rel=1e-6)
