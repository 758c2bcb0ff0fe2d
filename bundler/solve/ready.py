"""The loops of the search compiled before its clock starts: no plan hangs on when that was."""

from functools import cache

import numpy as np
from scipy import sparse

from bundler.solve.arrays import Arrays
from bundler.solve.compiled.problem import problem_of
from bundler.solve.first_plan import first_plan, guide_of
from bundler.solve.improve import Ends, Field, improve
from bundler.solve.prices import ascend, reduced_costs


def smallest() -> Arrays:
    """Return a case of one component that idles for 2 or works for 1, within one limit."""
    one, none = np.ones(1), np.zeros(0)
    use = sparse.csr_array((one, ([0], [0])), shape=(1, 1))
    give = sparse.csr_array((0, 1))
    return Arrays(
        courses=np.arange(2), start=np.array([0, 2]), cost=np.array([2.0, 1.0]),
        works=np.array([[1], [0]]), placements=np.zeros(1, dtype=np.int64), use=use, give=give,
        amount=one, shared_cost=none, most=none, shared_name=(), periods=("only",),
        period_unit=np.zeros(1, dtype=np.int64),
        placement_period=np.zeros(1, dtype=np.int64), shared_period=np.zeros(0, dtype=np.int64),
        keys=(("limits", "only"),), constant=0.0, risk=np.zeros((2, 0)), most_weight=none,
        weight=0.0,
    )  # fmt: skip


@cache
def get_ready() -> float:
    """Run every compiled loop once on the smallest case; return what its plan costs, 1."""
    arrays = smallest()
    problem, found = problem_of(arrays), ascend(arrays, 60.0, passes=2)
    guide = guide_of(arrays, reduced_costs(arrays, found), found.bound_pv_cost, None)
    plan = first_plan(problem, arrays, guide)
    assert plan is not None, "the smallest case has a plan"
    return improve(Field(problem, arrays, guide, 0.0), plan, Ends(2, 0.0, 60.0)).pv_cost
