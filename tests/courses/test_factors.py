"""Risk at other lives: equal to the scaled curves, and close between the nodes."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from bundler.case import Case
from bundler.compose import choices_of
from bundler.courses.described import described
from bundler.courses.factors import NODES, along, interpolated, risk_at_factors
from bundler.courses.lives import at_life
from bundler.courses.risk import course_risk
from bundler.courses.seen import all_seen
from tests.cases import case, one_unit, settings


def station(mode: str = "repair", **family: Any) -> Case:
    own = {"family": "PUMP", "name": "pump", "area": "TB", "life_years": 25.0, "shape_ratio": 3.0,
           "forced_days": 5.0, "repair_cost": 200.0, "derate_share": 0.1, "on_failure": mode}  # fmt: skip
    base = settings(discount_share_per_year=0.05)
    return case(base, **one_unit(families=[own | family]))


MODES = ["repair", "renew", "stand"]


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize(
    "curve", [{}, {"curve": "lognormal", "shape_ratio": 0.4}, {"guarantee_years": 6.0}]
)
def test_equals_the_scaled_curves(mode: str, curve: dict[str, Any]) -> None:
    """Each factor gives what the same model gives with every curve of the component scaled."""
    held = station(mode, **curve)
    choices, courses = choices_of(held, frozenset(["PUMP-1"]))
    factors = np.array([0.5, 0.8, 1.0, 1.7])
    found = risk_at_factors(held, choices, courses.costing, factors)
    costing = courses.costing
    for rows, view in all_seen(costing, choices, described(held)):
        for column, factor in enumerate(factors):
            alone = course_risk(*at_life(view.exposure, view.works, factor), view.steps)
            np.testing.assert_allclose(found[rows, column], alone, rtol=1e-12)
    np.testing.assert_allclose(found[:, 2], choices.courses["risk_pv_cost"], rtol=1e-12)


@pytest.mark.parametrize("mode", MODES)
def test_equals_a_station_whose_lives_are_other(mode: str) -> None:
    """The life in the tables times the factor, read afresh, carries the same risk."""
    held = station(mode)
    choices, courses = choices_of(held, frozenset(["PUMP-1"]))
    found = risk_at_factors(held, choices, courses.costing, np.array([0.7]))
    other, _ = choices_of(station(mode, life_years=25.0 * 0.7), frozenset(["PUMP-1"]))
    np.testing.assert_allclose(found[:, 0], other.courses["risk_pv_cost"], rtol=1e-10)


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("shape", [0.8, 1.5, 3.0, 4.0])
def test_close_between_the_nodes(mode: str, shape: float) -> None:
    """Within 0.1 % in the middle of every step of the usual table, for smooth curves.

    Renewals of a steep life come in waves of life ratio, which the table follows less closely.
    """
    held = station(mode, shape_ratio=shape)
    choices, courses = choices_of(held, frozenset(["PUMP-1"]))
    table = risk_at_factors(held, choices, courses.costing)
    middle = np.sqrt(NODES[1:] * NODES[:-1])
    exact = risk_at_factors(held, choices, courses.costing, middle)
    np.testing.assert_allclose(
        interpolated(table, NODES, middle),
        exact,
        rtol=2e-3 if (mode, shape) == ("renew", 4.0) else 1e-3,
    )


def test_interpolation_of_a_power_is_exact_and_of_nothing_is_straight() -> None:
    """ln risk straight in ln factor is met exactly; where there is no risk none is made up."""
    powers = np.array([[1.0], [2.5], [4.0]])
    at = np.array([0.41, 0.99, 1.234, 2.5])
    np.testing.assert_allclose(interpolated(NODES**-powers, NODES, at), at**-powers, rtol=1e-12)
    own = np.array([[0.5], [1.0], [2.0]])
    np.testing.assert_allclose(interpolated(NODES**-powers, NODES, own), own**-powers, rtol=1e-12)
    half = np.where(NODES < 1, 1.0, 0.0)[None, :]
    between = interpolated(half, NODES, np.array([0.45, 0.95, 2.0]))
    assert between[0, 0] == pytest.approx(1) and between[0, 2] == 0 and 0 <= between[0, 1] <= 1


def test_few_nodes_and_faults() -> None:
    """One node stands for itself; nothing is extrapolated; a factor is above 0."""
    assert interpolated(np.array([[3.0]]), np.array([1.0]), np.array([1.0])) == pytest.approx(3)
    with pytest.raises(ValueError, match="wider"):
        interpolated(np.ones((1, 17)), NODES, np.array([3.0]))
    held = station()
    choices, courses = choices_of(held)
    with pytest.raises(ValueError, match="above 0"):
        risk_at_factors(held, choices, courses.costing, np.array([0.0]))


def test_numbers_of_courses_may_have_gaps() -> None:
    """Rows follow the courses there are, whatever their numbers."""
    held = station()
    choices, courses = choices_of(held, frozenset(["PUMP-1"]))
    whole = risk_at_factors(held, choices, courses.costing, np.array([0.8]))
    kept = choices.courses[choices.courses["course"] % 2 == 1].reset_index(drop=True)
    works = choices.works[choices.works["course"].isin(kept["course"])]
    few = replace(choices, courses=kept, works=works)
    found = risk_at_factors(held, few, courses.costing, np.array([0.8]))
    np.testing.assert_array_equal(found[:, 0], whole[kept["course"].to_numpy(), 0])


def test_lives_that_all_courses_share_are_read_the_same() -> None:
    """One matrix for all courses gives what each reads by itself, also where there is no risk."""
    factors = np.geomspace(0.2, 5.0, 25)
    rng = np.random.default_rng(5)
    risks = np.exp(-np.log(factors) * rng.uniform(0.5, 4.0, (40, 1))) * rng.uniform(1, 9, (40, 1))
    risks[3, 12:] = 0.0
    risks[4] = 0.0
    at = np.append(np.geomspace(0.2, 5.0, 117), factors)
    ours, theirs = along(risks, factors, at), interpolated(risks, factors, at)
    assert ours == pytest.approx(theirs, rel=1e-10, abs=1e-12)
