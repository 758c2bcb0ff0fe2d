"""What is left to some components while all others stand, against every plan of small cases."""

import numpy as np
import pandas as pd
import pytest

from bundler.choice import Choices, only
from bundler.errors import NoPlanError
from bundler.program.build import build_program
from bundler.solve.highs import Options, run
from bundler.solve.rest import rest_of
from bundler.standing.settle import as_it_stands
from tests.choices import Small, choices
from tests.solve.drawn import Drawn
from tests.solve.draws import cases

EXACT = Options(time_limit_seconds=60.0, gap_share=0.0)


def drawn_part(case: Drawn, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Return a plan that holds and which components are free, both by chance."""
    rng = np.random.default_rng(seed)
    plan = case.plans[rng.choice(np.flatnonzero(np.isfinite(case.costs)))]
    is_free = rng.random(len(plan)) < 0.5
    is_free[rng.integers(len(plan))] = True
    return plan, is_free


def rest(case: Drawn, plan: np.ndarray, is_free: np.ndarray) -> Choices:
    names = pd.Series([f"c{c:02d}" for c in np.flatnonzero(is_free)], dtype=str)
    return rest_of(case.choices, pd.Series(plan), names)


def best_of(table: Choices, plan: np.ndarray, is_free: np.ndarray) -> tuple[float, np.ndarray]:
    """Return the optimum of the rest, and the plan with the courses it takes."""
    program = build_program(table)
    cost = float(run(program, EXACT, is_integer=True).objective or 0.0)
    owner = dict(zip(table.courses["course"], table.courses["component"], strict=True))
    merged = plan.copy()
    for course, x in program.x.items():
        if (x.varValue or 0.0) > 0.5:
            merged[int(owner[course][1:])] = course
    assert (merged == plan)[~is_free].all()
    return cost, merged


def test_the_best_of_the_rest_is_the_best_with_the_others_held() -> None:
    """With access, days and overtime that others make or need; and never an unsound plan."""
    for seed, case in enumerate(cases(100)):
        plan, is_free = drawn_part(case, seed)
        others = (case.plans == plan)[:, ~is_free].all(axis=1)
        exact = float(case.costs[others].min())
        _, merged = best_of(rest(case, plan, is_free), plan, is_free)
        assert float(case.costs_of(merged[None])[0]) == pytest.approx(exact, abs=1e-4)


def test_what_moves_save_is_the_same_in_the_rest_and_in_the_whole() -> None:
    """The optimum of the rest less the cost of the plan in it is what the whole plan saves."""
    for seed, case in enumerate(cases(40, 500)):
        plan, is_free = drawn_part(case, seed)
        table = rest(case, plan, is_free)
        best, merged = best_of(table, plan, is_free)
        own = table.courses["course"].isin(plan)
        held = np.ones(len(plan), dtype=bool)
        stays, _ = best_of(only(table, own), plan, ~held)
        saved = as_it_stands(case.choices, tuple(plan)).pv_cost
        saved -= as_it_stands(case.choices, tuple(merged)).pv_cost
        assert stays - best == pytest.approx(saved, abs=1e-4)


def test_nobody_free_to_move_leaves_what_there_is() -> None:
    for seed, case in enumerate(cases(30)):
        plan, _ = drawn_part(case, seed)
        for component in range(len(plan)):
            is_free = np.arange(len(plan)) == component
            table = rest(case, plan, is_free)
            assert set(case.numbers[component]) <= set(table.courses["course"])


def test_others_that_make_the_outage_longer_leave_its_days_to_the_rest() -> None:
    """B's 8 h of 5 h cost 3 days of 10 (1 h a day); A, free, has another row that days help too.

    A needs 2 h of none on its own row: 1 day helps it 1 h, and 3 days are there already, so it
    costs nothing and its work (cost 1) is better than idling (5). By hand the best is 30 + 2 + 1.
    """
    small = Small(
        [5.0, None], [[(1.0, "O", {"a": 2.0}, "", 0.0)], [(2.0, "O", {"b": 8.0}, "", 0.0)]],
        limits={"a": 0.0, "b": 5.0}, per_day={"a": 1.0, "b": 1.0}, day_costs={"O": 10.0},
        most_days=4.0,
    )  # fmt: skip
    table = choices(small)
    assert as_it_stands(table, (1, 2)).pv_cost == pytest.approx(33.0)
    assert as_it_stands(table, (0, 2)).pv_cost == pytest.approx(37.0)
    part = rest_of(table, pd.Series([0, 2]), pd.Series(["c00"]))
    program = build_program(part)
    run(program, EXACT, is_integer=True)
    assert [q for q, x in program.x.items() if (x.varValue or 0.0) > 0.5] == [1]


def test_a_free_component_that_fits_nowhere_has_no_plan() -> None:
    """Its only work uses what another, held, has taken: as in the whole case."""
    small = Small([None, 0.0], [[(1.0, "O", {"r": 1.0}, "", 0.0)]] * 2, limits={"r": 1.0})
    part = rest_of(choices(small), pd.Series([0, 2]), pd.Series(["c00"]))
    with pytest.raises(NoPlanError):
        run(build_program(part), EXACT, is_integer=True)
