"""Room made by one other component, against the solver with that one free and all others held."""

import numpy as np
import pytest
from hypothesis import given

from bundler.choice import Choices
from bundler.errors import NoPlanError
from bundler.program.build import build_program
from bundler.solve.highs import Options, run
from bundler.standing.held import held
from bundler.standing.left import left, standing
from bundler.standing.room import make_room
from bundler.standing.settle import by_component, courses_by_component
from bundler.standing.site import site_of
from tests.choices import choices
from tests.solve.test_search import problems
from tests.standing.test_left import ANY, a_plan


def cost_of(table: Choices, courses: dict[str, int], free: frozenset[str]) -> float:
    """Return the least cost with all but `free` held to their courses."""
    try:
        program = build_program(held(table, tuple(courses.values()), free))
        return float(run(program, Options(gap_share=0.0), is_integer=True).objective or 0.0)
    except NoPlanError:
        return np.inf


@given(problems())
@ANY
def test_room_is_the_best_that_one_other_component_makes(small) -> None:  # type: ignore[no-untyped-def]
    """What is found holds and costs as the solver says, with the one that moves free."""
    table = choices(small)
    plan = a_plan(table)
    if plan is None:
        return
    chosen, own = by_component(table, plan), courses_by_component(table)
    state = standing(site_of(table), chosen)
    cost = table.courses["pv_cost"].to_numpy()
    whole = cost_of(table, chosen, frozenset())
    for name, courses in own.items():
        fits = np.isfinite(left(state, name, courses).shared_pv_cost)
        for course in courses[~fits]:
            found = make_room(state, name, int(course), own, cost)
            there = chosen | {name: int(course)}
            more = float(cost[course] - cost[chosen[name]])
            if found is not None:
                exact = cost_of(table, there | {found.moved: found.course}, frozenset())
                assert whole + found.extra_pv_cost + more == pytest.approx(exact, abs=1e-4)
                best = cost_of(table, there, frozenset({found.moved}))
                assert exact == pytest.approx(best, abs=1e-4)
    assert state.used == pytest.approx(standing(site_of(table), chosen).used)
    assert state.course == chosen
