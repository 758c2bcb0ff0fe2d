"""What a plan leaves to a component, against the solver with all others held, and by hand."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from bundler.choice import Choices
from bundler.errors import NoPlanError
from bundler.program.build import build_program
from bundler.solve.highs import Options, run
from bundler.solve.search import search
from bundler.standing.held import held, repriced
from bundler.standing.left import left, standing
from bundler.standing.settle import by_component, courses_by_component, settle
from bundler.standing.site import site_of
from tests.choices import choices
from tests.solve.test_search import EXACT, problems

ANY = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


def cost_with(table: Choices, plan: tuple[int, ...], name: str, course: int) -> float:
    """Return the least cost of a plan in which one component follows a course, others held."""
    fixed = by_component(table, plan) | {name: course}
    try:
        program = build_program(held(table, tuple(fixed.values()), frozenset()))
        return float(run(program, Options(gap_share=0.0), is_integer=True).objective or 0.0)
    except NoPlanError:
        return np.inf


def a_plan(table: Choices) -> tuple[int, ...] | None:
    try:
        return search(build_program(table), EXACT, lambda stage, share: None).courses
    except NoPlanError:
        return None


@given(problems())
@ANY
def test_equals_the_solver_with_all_others_held(small) -> None:  # type: ignore[no-untyped-def]
    table = choices(small)
    plan = a_plan(table)
    if plan is None:
        return
    own = by_component(table, plan)
    state = standing(site_of(table), own)
    cost = table.courses["pv_cost"].to_numpy()
    whole = cost_with(table, plan, *next(iter(own.items())))
    for name, courses in courses_by_component(table).items():
        found = left(state, name, courses)
        total = found.shared_pv_cost + cost[courses]
        now = int(np.flatnonzero(courses == own[name])[0])
        for number, course in enumerate(courses):
            exact = cost_with(table, plan, name, int(course))
            assert total[number] - total[now] == pytest.approx(exact - whole, abs=1e-4)
    assert state.used == pytest.approx(standing(site_of(table), own).used)


@given(problems())
@ANY
def test_settling_never_costs_more_and_leaves_the_best_plan_alone(small) -> None:  # type: ignore[no-untyped-def]
    """The best plan of the solver is settled already; the fewest-works plan gets no dearer."""
    table = choices(small)
    plan = a_plan(table)
    if plan is None:
        return
    best = cost_with(table, plan, *next(iter(by_component(table, plan).items())))
    again = settle(table, plan)
    assert again.moves_count == 0
    assert again.pv_cost == pytest.approx(best, abs=1e-4)
    dear = table.courses.sort_values("pv_cost", ascending=False)
    for course in dear["course"]:
        name = str(table.courses.loc[table.courses["course"] == course, "component"].iloc[0])
        start = tuple((by_component(table, plan) | {name: int(course)}).values())
        before = cost_with(table, start, name, int(course))
        if np.isfinite(before):
            after = settle(table, start)
            assert best - 1e-4 <= after.pv_cost <= before + 1e-4
            return


def test_held_leaves_only_what_can_be_chosen(tiny) -> None:  # type: ignore[no-untyped-def]
    from bundler.compose import choices_of

    table, _ = choices_of(tiny)
    plan = a_plan(table)
    assert plan is not None
    free = str(table.courses["component"].iloc[0])
    kept = held(table, plan, frozenset({free}))
    counts = kept.courses.groupby("component").size()
    assert (counts.drop(free) == 1).all()
    assert counts[free] == (table.courses["component"] == free).sum()
    assert set(kept.uses["placement"]) <= set(kept.placements["placement"])
    other = repriced(table, free, np.zeros(int(counts[free])))
    assert (other.courses.loc[other.courses["component"] == free, "risk_pv_cost"] == 0).all()
    assert other.courses["pv_cost"].sum() < table.courses["pv_cost"].sum()
