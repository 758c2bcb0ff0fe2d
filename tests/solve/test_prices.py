"""Bounds at prices against every plan of small cases, and against the relaxed problem."""

from functools import cache

import numpy as np
import pytest

from bundler.program.build import build_program
from bundler.solve.arrays import Arrays, arrays_of
from bundler.solve.highs import Options, relax
from bundler.solve.prices import ascend, bound_at, first_prices, reduced_costs
from tests.choices import Small, choices
from tests.solve.drawn import Drawn
from tests.solve.draws import cases

RELAX = Options(time_limit_seconds=60.0, gap_share=0.0)


@cache
def prepared() -> list[tuple[Drawn, Arrays]]:
    return [(case, arrays_of(case.choices)) for case in cases(300)]


def is_below(bound: float, best: float) -> bool:
    return bound <= best + 1e-9 * max(abs(best), 1.0)


def test_no_pass_ever_exceeds_the_best_of_all_plans() -> None:
    """The bound told after every pass is proven, and it never falls."""
    for case, arrays in prepared():
        found = ascend(arrays, 60.0, passes=60)
        bounds = [bound for _, bound in found.bounds]
        assert len(bounds) == 60
        assert bounds == sorted(bounds)
        assert bounds[-1] == found.bound_pv_cost
        assert is_below(found.bound_pv_cost, case.best)


def test_any_prices_prove_a_bound() -> None:
    """At prices by chance, of all sizes, also where nothing or everything is dear."""
    rng = np.random.default_rng(4)
    for case, arrays in prepared():
        for size in (0.0, 0.1, 1.0, 10.0):
            prices = size * rng.exponential(1.0, len(arrays.amount))
            prices[rng.random(len(prices)) < 0.3] = 0.0
            assert is_below(bound_at(arrays, prices), case.best)
        assert is_below(bound_at(arrays, first_prices(arrays)), case.best)


def test_prices_below_zero_count_as_zero() -> None:
    for _, arrays in prepared()[:20]:
        prices = np.random.default_rng(1).normal(0.0, 3.0, len(arrays.amount))
        assert bound_at(arrays, prices) == bound_at(arrays, np.maximum(prices, 0.0))


def test_ends_near_the_relaxed_optimum() -> None:
    """Within 0.5 % of the relaxed optimum in most cases, never above it."""
    near = 0
    for case, arrays in prepared()[:100]:
        least = relax(build_program(case.choices), RELAX).bound_pv_cost
        found = ascend(arrays, 60.0, passes=600).bound_pv_cost
        assert found <= least + 1e-6 * abs(least)
        near += found >= least - 0.005 * abs(least)
    assert near >= 85


def test_no_cheaper_plan_holds_a_course_that_is_priced_too_dear() -> None:
    """Reduced costs bound from below what any plan with that course costs."""
    for case, arrays in prepared()[:100]:
        found = ascend(arrays, 60.0, passes=100)
        extra = reduced_costs(arrays, found)
        assert extra.min() >= 0
        for place, course in enumerate(arrays.courses):
            own = case.costs[(case.plans == course).any(axis=1)].min()
            assert is_below(found.bound_pv_cost + extra[place], own)


def test_same_bytes_twice_and_a_warm_start_goes_on_where_it_ended() -> None:
    for _, arrays in prepared()[:20]:
        first, second = (ascend(arrays, 60.0, passes=120) for _ in range(2))
        assert first.prices.tobytes() == second.prices.tobytes()
        assert first.bound_pv_cost == second.bound_pv_cost
        assert bound_at(arrays, first.prices) == pytest.approx(first.bound_pv_cost, rel=1e-12)
        warm = ascend(arrays, 60.0, first.prices, 30)
        assert warm.bounds[0][1] == pytest.approx(first.bound_pv_cost, rel=1e-12)
        assert warm.bound_pv_cost >= warm.bounds[0][1]


def test_ends_when_told() -> None:
    """A bound that is enough, or no time, ends the passes; progress comes every 50."""
    case, arrays = prepared()[0]
    heard: list[int] = []
    whole = ascend(arrays, 60.0, passes=200, say=lambda done, bound: heard.append(done))
    assert heard == [50, 100, 150, 200]
    early = ascend(arrays, 60.0, passes=200, enough_pv_cost=whole.bounds[9][1])
    assert len(early.bounds) <= 10
    assert len(ascend(arrays, 0.0, passes=200).bounds) == 1
    assert is_below(early.bound_pv_cost, case.best)


def test_the_price_of_a_limit_by_hand() -> None:
    """Four jobs worth 10, 11, 7, 12 of 25, 30, 15, 30 h in 60 h: 0.4 an hour, bound -25.

    In order of worth an hour 7/15, 12/30, 10/25, 11/30 the second and third tie at 0.4; at that
    price the four keep 0, 0, 1, 0, less 60 x 0.4: the bound is -(1 + 24) = -25.
    """
    jobs = [(10.0, 25.0), (11.0, 30.0), (7.0, 15.0), (12.0, 30.0)]
    works = [[(-worth, "O", {"r": hours}, "", 0.0)] for worth, hours in jobs]
    arrays = arrays_of(choices(Small([0.0] * 4, works, limits={"r": 60.0})))
    assert bound_at(arrays, np.array([0.4])) == pytest.approx(-25.0)
    found = ascend(arrays, 60.0, passes=400)
    assert found.bound_pv_cost == pytest.approx(-25.0, rel=1e-3)
    assert found.prices[0] == pytest.approx(0.4, rel=0.02)
