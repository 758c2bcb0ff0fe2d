"""The whole search by prices, and the solver's bound below a known plan, against every plan."""

from functools import cache

import numpy as np
import pytest

from bundler.choice import Choices
from bundler.errors import NoPlanError
from bundler.program.build import build_program
from bundler.solve import find, priced
from bundler.solve.answer import Known, Solved
from bundler.solve.find import WHOLE, find_plan
from bundler.solve.highs import Options, bound_below
from bundler.solve.priced import WAY, search_priced
from bundler.standing.settle import as_it_stands
from bundler.standing.whole import holds
from tests.benchmarks.stations import station
from tests.choices import Small, choices
from tests.solve.drawn import Drawn
from tests.solve.draws import cases, drawn

EXACT = Options(time_limit_seconds=60.0, gap_share=0.0, way="prices")


def quiet(stage: str, share: float) -> None:
    """Hear of progress and say nothing."""


@cache
def station_60() -> Choices:
    return station(60, 1)


@pytest.fixture
def few_passes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Make fewer passes than small cases have; the rest of the search has more to do."""
    monkeypatch.setattr(priced, "PASSES", 60)
    monkeypatch.setattr(priced, "MOST_PASSES", 60)
    monkeypatch.setattr(priced, "REBUILDS_EACH", 20)


def in_tolerance(first: float, second: float) -> bool:
    return abs(first - second) <= 1e-5 * max(abs(second), 1.0)


def least_above(case: Drawn, cost: float) -> float:
    """Return what the next dearer plan costs."""
    above = case.costs[np.isfinite(case.costs) & (case.costs > cost + 0.01)]
    return float(above.min()) if len(above) else cost + 50.0


def test_bound_below_the_best_plan_is_its_cost() -> None:
    """Nothing is cheaper than the best of all plans, so its cost comes back, and no plan."""
    for case in cases(120):
        bound, cost = bound_below(build_program(case.choices), EXACT, case.best)
        assert in_tolerance(bound, case.best)
        assert bound <= case.best + 1e-9 * abs(case.best)
        assert cost is None or in_tolerance(cost, case.best)


def test_bound_below_a_dearer_plan_finds_the_best_and_never_exceeds_it() -> None:
    """From the next dearer plan, from the dearest and from far above, without a gap and with one."""
    found = 0
    for seed, case in enumerate(cases(120)):
        worst = float(case.costs[np.isfinite(case.costs)].max())
        above = (least_above(case, case.best), worst, 1.7 * abs(worst) + 10.0)[seed % 3]
        gap = (0.0, 0.02)[seed % 2]
        bound, cost = bound_below(build_program(case.choices), Options(60.0, gap), above)
        assert bound <= case.best + 1e-6 * max(abs(case.best), 1.0)
        if cost is not None:
            assert cost < above
            assert any(abs(case.costs[np.isfinite(case.costs)] - cost) <= 1e-5 * abs(cost) + 1e-5)
            found += 1
        reached = above if cost is None else min(cost, above)
        assert bound >= reached - gap * abs(reached) - 1e-5 * max(abs(reached), 1.0)
    assert found > 60


def test_bound_below_a_cost_that_no_plan_has_is_that_cost() -> None:
    """Asked for plans below what the best costs, there are none: the question is the bound."""
    for case in cases(120, 300):
        asked = case.best - 0.05 * abs(case.best) - 1.0
        bound, cost = bound_below(build_program(case.choices), EXACT, asked)
        assert cost is None
        assert bound <= case.best
        assert in_tolerance(bound, asked)


def test_the_cheaper_plan_stands_in_the_variables() -> None:
    for case in cases(60, 700):
        program = build_program(case.choices)
        _, cost = bound_below(program, EXACT, least_above(case, case.best) + 1.0)
        assert cost is not None
        courses = [q for q, x in program.x.items() if (x.varValue or 0.0) > 0.5]
        assert float(case.costs_of(np.array([courses]))[0]) == pytest.approx(cost, abs=1e-4)


def is_right(table: Choices, solved: Solved, best: float) -> None:
    """Assert that a plan holds, costs what it says, with a bound that the best does not break."""
    assert holds(table, solved.courses)
    stands = as_it_stands(table, solved.courses)
    assert solved.objective_pv_cost == pytest.approx(stands.pv_cost, rel=1e-9, abs=1e-9)
    assert solved.access == stands.access
    assert solved.extension_days == stands.extension_days
    assert solved.overtime_hours == stands.overtime_hours
    assert solved.bound_pv_cost <= best + 1e-6 * max(abs(best), 1.0)
    assert best <= solved.objective_pv_cost + 1e-6 * max(abs(best), 1.0)


def test_equals_every_combination(few_passes: None) -> None:
    """The plan is the best of all plans, and the bound says so, in 100 small cases."""
    equal = closed = 0
    for case in cases(100, 1000):
        solved = find_plan(case.choices, EXACT, quiet)
        is_right(case.choices, solved, case.best)
        equal += in_tolerance(solved.objective_pv_cost, case.best)
        closed += in_tolerance(solved.bound_pv_cost, case.best)
        assert (solved.status == "optimal") == (solved.gap_share <= 1e-8)  # what the solver rounds
        assert solved.way.startswith(WAY)
    assert min(equal, closed) >= 98


def test_with_a_gap_it_ends_within_it(few_passes: None) -> None:
    for case in cases(40, 2000):
        solved = find_plan(case.choices, Options(60.0, 0.05, way="prices"), quiet)
        is_right(case.choices, solved, case.best)
        assert solved.gap_share <= 0.05 * (1 + 1e-6) + 1e-9
        assert solved.status == "optimal"


def test_never_worse_than_a_known_plan_that_holds(few_passes: None) -> None:
    """Known is any plan that holds, the best of all, or one that holds no longer (left aside)."""
    for seed, case in enumerate(cases(30, 3000)):
        rng = np.random.default_rng(seed)
        sound, broken = (
            np.flatnonzero(own) for own in (np.isfinite(case.costs), np.isinf(case.costs))
        )
        picks = [int(rng.choice(sound)), int(np.argmin(case.costs))]
        for at in [*picks, *rng.choice(broken, min(1, len(broken)))]:
            known = Known(tuple(int(q) for q in case.plans[at]), float(case.costs[at]))
            solved = search_priced(case.choices, Options(60.0, 0.5), quiet, known)
            is_right(case.choices, solved, case.best)
            assert solved.objective_pv_cost <= case.costs[at] + 1e-9 * abs(case.best)


def test_no_plan_where_nothing_fits(few_passes: None) -> None:
    told = 0
    for seed in range(300):
        case = drawn(seed)
        if np.isinf(case.best):
            with pytest.raises(NoPlanError):
                find_plan(case.choices, EXACT, quiet)
            told += 1
    assert told >= 8


def test_prices_that_are_told_prove_the_bound_again(few_passes: None) -> None:
    """A like case starts from them: its bound is no lower after one pass than that they prove."""
    for case in cases(20, 4000):
        first = find_plan(case.choices, Options(60.0, 0.5, way="prices"), quiet)
        start = first.relaxed.prices
        again = find_plan(case.choices, Options(60.0, 0.5, way="prices"), quiet, None, start)
        assert again.bound_pv_cost >= first.bound_pv_cost - 1e-9 * abs(case.best)
        is_right(case.choices, again, case.best)


def planned(workers: int) -> Solved:
    """Return the plan of a station, by few rebuilds and then the solver, far from the time limit."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(priced, "REBUILDS_EACH", 20)
        options = Options(120.0, 0.3, way="prices", workers_count=workers)
        return find_plan(station_60(), options, quiet)


@pytest.fixture(scope="module")
def planned_station() -> Solved:
    return planned(2)


def test_a_station_is_planned_and_what_it_takes_costs_what_it_says(planned_station: Solved) -> None:
    """Courses, access, days and hours at the prices of their tables make up the objective."""
    table, solved = station_60(), planned_station
    assert holds(table, solved.courses)
    cost = float(table.courses.loc[table.courses["course"].isin(solved.courses), "pv_cost"].sum())
    cost += float(table.access.loc[table.access["access"].isin(solved.access), "pv_cost"].sum())
    day = table.periods.set_index("period")["day_pv_cost"]
    hour = table.overtimes.set_index("overtime")["pv_cost_per_hour"]
    cost += sum(day[name] * days for name, days in solved.extension_days.items())
    cost += sum(hour[name] * hours for name, hours in solved.overtime_hours.items())
    assert solved.objective_pv_cost == pytest.approx(cost + table.shared_pv_cost, rel=1e-6)
    assert solved.bound_pv_cost <= solved.objective_pv_cost
    seconds, costs, bounds = (list(part) for part in zip(*solved.trace, strict=True))
    assert seconds == sorted(seconds)
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] == solved.objective_pv_cost
    assert bounds == sorted(bounds)


def test_the_plan_is_the_same_for_any_number_of_workers(planned_station: Solved) -> None:
    one = planned(1)
    assert one.courses == planned_station.courses
    assert one.objective_pv_cost == planned_station.objective_pv_cost


def test_the_way_goes_by_the_number_of_courses(monkeypatch: pytest.MonkeyPatch) -> None:
    """Up to so many the whole program, above prices first; asked for by name, either."""
    small = Small([5.0, 0.0], [[(1.0, "O", {"r": 1.0}, "", 0.0)]] * 2, limits={"r": 1.0})
    table = choices(small)
    assert len(table.courses) == 4

    def way(name: str) -> str:
        solved = find_plan(table, Options(60.0, 0.0, way=name), quiet)
        assert solved.objective_pv_cost == pytest.approx(1.0)
        return solved.way

    assert way("auto") == way("whole") == WHOLE
    assert way("prices").startswith(WAY)
    monkeypatch.setattr(find, "WHOLE_MOST", 4)
    assert way("auto") == WHOLE
    monkeypatch.setattr(find, "WHOLE_MOST", 3)
    assert way("auto").startswith(WAY)
    assert way("whole") == WHOLE
