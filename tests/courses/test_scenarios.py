"""Scenarios of lives: balanced, reproducible, and the lives they say they are."""

import numpy as np
import pytest
from scipy import stats

from bundler.choice import Lives
from bundler.compose import choices_of, with_lives
from bundler.courses.factors import risk_at_factors
from bundler.courses.scenarios import (
    draw_scenarios,
    life_ratios,
    normal_strata,
    scenario_risk,
    sigma_by_family,
)
from bundler.tables import dictionary
from tests.cases import case, one_unit
from tests.courses.test_factors import station


def draw(count: int, seed: int = 1) -> object:
    return draw_scenarios(station(), count, rng=np.random.default_rng(seed))


@pytest.mark.parametrize("count", [1, 2, 7, 20, 500])
def test_one_draw_in_each_stratum_and_none_to_one_side(count: int) -> None:
    """Latin hypercube sampling: every stratum of 1/S holds one draw; mirrored, so the sum is 0."""
    z = normal_strata(count, np.random.default_rng(3))
    place = np.floor(stats.norm.cdf(z) * count - 1e-12).astype(int)
    assert sorted(np.clip(place, 0, count - 1)) == list(range(count))
    assert z.sum() == pytest.approx(0, abs=1e-12)


def test_the_draws_are_normal() -> None:
    """Kolmogorov-Smirnov distance of stratified draws is at most 1/S; deviation 1 within 1 %."""
    z = normal_strata(2000, np.random.default_rng(5))
    assert stats.kstest(z, "norm").statistic <= 1 / 2000 + 1e-9
    assert z.std() == pytest.approx(1, rel=0.01)


def test_one_scenario_is_the_life_assumed() -> None:
    """With one scenario the ratio is 1: the median."""
    table = draw(1)
    assert (table["life_ratio"] == 1).all() and (table["chance"] == 1).all()  # type: ignore[index]


def test_the_same_seed_draws_the_same_and_another_does_not() -> None:
    """Bytes of the table are equal for equal seeds."""
    one, two, other = draw(20), draw(20), draw(20, 2)
    assert one.to_csv() == two.to_csv() != other.to_csv()  # type: ignore[attr-defined]


def test_sigma_is_of_the_family_and_a_component_better_known_moves_less() -> None:
    """ln ratio of a component is the family's times own sigma over the family's."""
    default = next(c for c in dictionary()["families"] if c.column == "life_sigma_ratio").default
    assert sigma_by_family(station())["PUMP"] == float(default)
    part = {"component": "PUMP-1", "unit": "U1", "family": "PUMP"}
    held = case(**one_unit(
        families=[{"family": "PUMP", "area": "TB", "life_years": 25.0, "shape_ratio": 3.0,
                   "life_sigma_ratio": 0.4}],
        components=[part, part | {"component": "PUMP-2", "life_sigma_ratio": 0.1}],
    ))  # fmt: skip
    table = draw_scenarios(held, 10, rng=np.random.default_rng(1))
    ratios = np.log(life_ratios(held, table))
    np.testing.assert_allclose(ratios.loc["PUMP-2"], ratios.loc["PUMP-1"] / 4, rtol=1e-9)
    np.testing.assert_allclose(np.exp(ratios.loc["PUMP-1"]), table["life_ratio"], rtol=1e-9)


@pytest.mark.parametrize(("count", "off"), [(10, 1e-12), (60, 1e-4)])
def test_risk_in_a_scenario_is_that_at_its_life(count: int, off: float) -> None:
    """Few scenarios are costed exactly, many from a table at as many lives as is usual."""
    held = station()
    choices, courses = choices_of(held)
    table = draw_scenarios(held, count, rng=np.random.default_rng(1))
    found = scenario_risk(held, choices, courses.costing, table)
    exact = risk_at_factors(held, choices, courses.costing, table["life_ratio"].to_numpy())
    np.testing.assert_allclose(found, exact, rtol=off)


def test_choices_with_lives_hold_a_row_a_course() -> None:
    """with_lives draws from its seed and keeps the order of the courses."""
    held = station()
    choices, courses = choices_of(held)
    risky, table = with_lives(held, choices, courses, Lives(scenarios_count=6, seed=9))
    assert risky.tail is not None
    assert risky.tail.risk_pv_cost.shape == (len(choices.courses), 6)
    assert risky.tail.chances.sum() == pytest.approx(1)
    expected = draw_scenarios(held, 6, rng=np.random.default_rng(9))
    assert table.equals(expected)
