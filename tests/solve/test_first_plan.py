"""First plans hold, cost what they say and are settled; against every plan of small cases."""

from functools import cache

import numpy as np
import pytest

from bundler.solve.arrays import Arrays, arrays_of
from bundler.solve.compiled.problem import Problem, problem_of
from bundler.solve.compiled.rebuild import Guide
from bundler.solve.first_plan import fewest_plan, first_plan, guide_of
from bundler.solve.plan_state import Plan, chosen_of, near_count, numbers_of
from bundler.solve.prices import ascend, reduced_costs
from bundler.standing.settle import as_it_stands
from bundler.standing.whole import holds
from tests.choices import Small, choices
from tests.solve.drawn import Drawn
from tests.solve.draws import cases

Ready = tuple[Drawn, Arrays, Problem, Guide]


@cache
def prepared() -> list[Ready]:
    found = []
    for case in cases(120):
        arrays = arrays_of(case.choices)
        priced = ascend(arrays, 60.0, passes=150)
        regret = reduced_costs(arrays, priced)
        guide = guide_of(arrays, regret, priced.bound_pv_cost, None)
        found.append((case, arrays, problem_of(arrays), guide))
    return found


def is_what_it_says(case: Drawn, arrays: Arrays, plan: Plan) -> None:
    """Assert that a plan holds, costs what it says, and that no component alone does better."""
    courses = numbers_of(arrays, plan.chosen)
    told = plan.pv_cost + arrays.constant
    assert holds(case.choices, courses)
    assert told == pytest.approx(as_it_stands(case.choices, courses).pv_cost, rel=1e-9)
    assert told == pytest.approx(float(case.costs_of(np.array([courses]))[0]), rel=1e-9)
    others = (case.plans != np.array(courses)).sum(axis=1) <= 1
    assert case.costs[others].min() >= told - 1e-7 * max(abs(told), 1.0)


def test_plans_by_priced_regret_are_settled_and_mostly_near_the_best() -> None:
    """Within 5 % of the best of all plans in three of four cases."""
    near = there = 0
    for case, arrays, problem, guide in prepared():
        plan = first_plan(problem, arrays, guide)
        if plan is None:
            continue
        is_what_it_says(case, arrays, plan)
        there += 1
        near += plan.pv_cost + arrays.constant <= 1.05 * case.best
    assert there >= 90
    assert near >= 0.75 * there


def test_plans_of_fewest_works_are_settled() -> None:
    there = 0
    for case, arrays, problem, _ in prepared():
        plan = fewest_plan(problem, arrays)
        if plan is not None:
            is_what_it_says(case, arrays, plan)
            there += 1
    assert there >= 60


def test_the_same_plan_twice() -> None:
    for _, arrays, problem, guide in prepared()[:20]:
        first, second = first_plan(problem, arrays, guide), first_plan(problem, arrays, guide)
        assert (first is None) == (second is None)
        if first is not None and second is not None:
            assert first.chosen.tobytes() == second.chosen.tobytes()


def test_who_must_work_goes_first() -> None:
    """One place; the one that may idle would lose 90 by it, the other has no other course."""
    small = Small(
        [100.0, None], [[(10.0, "O", {"r": 1.0}, "", 0.0)], [(50.0, "O", {"r": 1.0}, "", 0.0)]],
        limits={"r": 1.0},
    )  # fmt: skip
    arrays = arrays_of(choices(small))
    regret = reduced_costs(arrays, ascend(arrays, 60.0, np.zeros(1), 1))
    plan = first_plan(problem_of(arrays), arrays, guide_of(arrays, regret, 60.0, None))
    assert plan is not None
    assert plan.pv_cost == 150.0
    assert numbers_of(arrays, plan.chosen) == (0, 2)


def test_no_plan_where_two_must_work_in_one_place() -> None:
    small = Small([None, None], [[(1.0, "O", {"r": 1.0}, "", 0.0)]] * 2, limits={"r": 1.0})
    arrays = arrays_of(choices(small))
    problem = problem_of(arrays)
    guide = guide_of(arrays, reduced_costs(arrays, ascend(arrays, 60.0, np.zeros(1), 1)), 2.0, None)
    assert first_plan(problem, arrays, guide) is None
    assert fewest_plan(problem, arrays) is None


def test_courses_by_number_and_place() -> None:
    """What `numbers_of` tells, `chosen_of` finds again; a component without a course has -1."""
    for case, arrays, _, _ in prepared()[:30]:
        plan = case.plans[len(case.plans) // 2]
        chosen = chosen_of(arrays, tuple(int(q) for q in plan))
        assert numbers_of(arrays, chosen) == tuple(plan)
        assert chosen_of(arrays, tuple(int(q) for q in plan[1:]))[0] == -1


def test_near_courses_are_counted_by_hand() -> None:
    """Regrets 0, 1, 5, 9, 2 and 0, 4: within 4 are 3 and 2; within 0, three at least or all."""
    start, regret = np.array([0, 5, 7]), np.array([0.0, 1.0, 5.0, 9.0, 2.0, 0.0, 4.0])
    order = np.array([0, 1, 4, 2, 3, 5, 6])
    assert near_count(start, regret, order, 4.0).tolist() == [3, 2]
    assert near_count(start, regret, order, 5.0).tolist() == [4, 2]
    assert near_count(start, regret, order, 0.0).tolist() == [3, 2]
