"""Plans from the least mean to the least tail: monotone, proven, reproducible."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bundler.case import Case
from bundler.choice import Lives
from bundler.errors import NoPlanError
from bundler.frontier import Frontier, efficient, frontier, proven
from bundler.report.spread import frontier_words
from bundler.solve.highs import Options
from tests.cases import case, one_unit
from tests.cases import settings as base
from tests.test_tailed import pair

EXACT = Options(gap_share=0.0)


def station() -> Case:
    """Return eight pumps of four families that compete for one crew and differ in what they risk.

    Their lives are ever worse known, and ever longer, so that mean and tail ask for other works.
    """
    names = ["A", "B", "C", "D"]
    families = [
        {"family": name, "area": "TB", "life_years": 26.0 + 7 * i, "shape_ratio": 3.0,
         "forced_days": 4.0, "repair_cost": 200.0, "life_sigma_ratio": 0.05 + 0.2 * i}
        for i, name in enumerate(names)
    ]  # fmt: skip
    actions = [
        {"family": name, "action": "replace", "cost": 420.0, "days": 10.0, "conditions": "D"}
        for name in names
    ]
    hours = [
        {"family": name, "action": "replace", "resource": "M", "work_hours": 900.0}
        for name in names
    ]
    parts = [
        {"component": f"{name}-{n}", "unit": "U1", "family": name} for name in names for n in (1, 2)
    ]
    return case(
        base(discount_share_per_year=0.05),
        **one_unit(families=families, actions=actions, action_hours=hours, components=parts),
    )


@pytest.fixture(scope="module")
def found() -> Frontier:
    return frontier(station(), EXACT, Lives(30, 4), 5)


def test_mean_rises_and_tail_falls(found: Frontier) -> None:
    """Along exact plans the mean never falls, the tail never rises, the objective is concave."""
    table = found.table
    assert list(table["weight_share"]) == [0.0, 0.25, 0.5, 0.75, 1.0]
    assert (np.diff(table["mean_pv_cost"]) >= -1e-3).all()
    assert (np.diff(table["worst_pv_cost"]) <= 1e-3).all()
    assert (np.diff(table["objective_pv_cost"]) >= -1e-3).all()
    assert (np.diff(table["objective_pv_cost"], 2) <= 1e-2).all()
    assert (table["gap_share"] <= 1e-6).all()
    assert table["changed_count"].iloc[0] == 0 and table["changed_count"].iloc[-1] > 0
    w = table["weight_share"]
    both = (1 - w) * table["mean_pv_cost"] + w * table["worst_pv_cost"]
    np.testing.assert_allclose(table["objective_pv_cost"], both, atol=2e-3)


def test_every_plan_holds_before_the_judge(found: Frontier) -> None:
    """The judge recomputes mean and tail of every plan from its own stretches of life."""
    assert found.breaches == ()


def test_plans_that_share_a_loss_are_told_at_their_true_cost() -> None:
    """Pumps in reserve for each other: the judge finds the mean and the tail of each plan."""
    found = frontier(pair(), EXACT, Lives(12, 3, 0.0, 0.25), 3)
    assert found.breaches == ()
    for row, plan in zip(found.table.itertuples(), found.plans, strict=True):
        assert plan.spread is not None
        costs, w = plan.spread.scenario_pv_cost, row.weight_share
        assert row.mean_pv_cost == pytest.approx(costs.mean(), abs=2e-3)
        worst = np.sort(costs)[-3:].mean()
        assert row.objective_pv_cost == pytest.approx((1 - w) * costs.mean() + w * worst, abs=2e-3)
        assert row.bound_pv_cost <= row.objective_pv_cost


def test_the_same_seed_gives_the_same_frontier(found: Frontier) -> None:
    """Tables are equal byte by byte; another seed draws other scenarios."""
    again = frontier(station(), EXACT, Lives(30, 4), 5)
    assert again.table.to_csv() == found.table.to_csv()
    assert again.scenarios.to_csv() == found.scenarios.to_csv()
    assert not frontier(station(), EXACT, Lives(30, 5), 2).scenarios.equals(found.scenarios)


def test_words_say_what_the_ends_mean(found: Frontier) -> None:
    """The text has the units, both ends and the verdict."""
    said = frontier_words(found)
    for piece in ("k$ of 2027", "Weight 0", "Weight 1", "worst 20%", "seed 4", "every plan holds"):
        assert piece in said
    assert f"{found.table['mean_pv_cost'].iloc[0]:,.0f}" in said


def test_one_point_is_no_frontier_and_no_plan_is_told() -> None:
    """Two points or more; pins that no plan keeps are told as for a plan."""
    with pytest.raises(ValueError, match="2 or more"):
        frontier(station(), EXACT, Lives(3), 1)
    pins = [
        {"component": f"{n}-{i}", "action": "replace", "outage": "P1", "rule": "in", "why": "test"}
        for n in "ABCD" for i in (1, 2)
    ]  # fmt: skip
    held = station()
    crowded = case(
        held.settings,
        **{name: [
            {k: v for k, v in row.items() if k != "file_row" and v == v}
            for row in table.to_dict("records")
        ] for name, table in held.tables.items() if name != "pins"} | {"pins": pins},
    )  # fmt: skip
    crowded.tables["action_hours"]["work_hours"] = 5000.0  # type: ignore[index]
    with pytest.raises(NoPlanError):
        frontier(crowded, EXACT, Lives(3), 2)


@given(st.integers(0, 2**32 - 1))
@settings(max_examples=60, deadline=None)
def test_bounds_together_prove_no_more_than_is_true(seed: int) -> None:
    """For random plans: bounds below the least of (1 - w) mean + w CVaR stay below it."""
    rng = np.random.default_rng(seed)
    mean = rng.uniform(1, 10, 6)
    worst = mean + rng.uniform(0, 10, 6)
    shares = np.linspace(0, 1, 7)
    true = ((1 - shares[:, None]) * mean + shares[:, None] * worst).min(axis=1)
    bounds = true - rng.exponential(0.5, 7) * (rng.random(7) < 0.6)
    better = proven(shares, bounds)
    assert (better <= true + 1e-12).all() and (better >= bounds).all()


def test_dominated_plans_are_marked() -> None:
    """The third loses to the second in both, the fourth ties with the first."""
    mean, worst = np.array([1.0, 2, 3, 1]), np.array([9.0, 5, 6, 9])
    assert list(efficient(mean, worst)) == [True, True, False, True]
