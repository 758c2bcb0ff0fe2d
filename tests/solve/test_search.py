"""The search against every combination, and against published problems with known optima."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bundler.errors import NoPlanError, SolverError
from bundler.program.build import build_program
from bundler.program.model import Program
from bundler.solve import search as searching
from bundler.solve.answer import Known, Solved
from bundler.solve.highs import Options
from bundler.solve.rank_fill import rank_fill
from bundler.solve.search import search
from tests.choices import Small, choices, cost_of, exhaustive

EXACT = Options(time_limit_seconds=60, gap_share=0.0)


def solve(small: Small, options: Options = EXACT) -> Solved:
    return search(build_program(choices(small)), options, lambda stage, share: None)


def knapsack(values: list[float], rows: list[list[float]], amounts: list[float]) -> Small:
    """Return a knapsack as components that are taken (gain: minus value) or left."""
    works = [
        [(-value, "O", {f"r{i}": row[j] for i, row in enumerate(rows)}, "", 0.0)]
        for j, value in enumerate(values)
    ]
    limits = {f"r{i}": amount for i, amount in enumerate(amounts)}
    return Small([0.0] * len(values), works, limits)


P01 = ([92, 57, 49, 68, 60, 43, 67, 84, 87, 72], [23, 31, 29, 44, 53, 38, 63, 85, 89, 82], 165)
P02 = ([24, 13, 23, 15, 16], [12, 7, 11, 8, 9], 26)
P07 = (
    [135, 139, 149, 150, 156, 163, 173, 184, 192, 201, 210, 214, 221, 229, 240],
    [70, 73, 77, 80, 82, 87, 90, 94, 98, 106, 110, 113, 115, 118, 120],
    750,
)


@pytest.mark.parametrize(
    ("problem", "best"), [(P01, 309), (P02, 51), (P07, 1458)], ids=["P01", "P02", "P07"]
)
def test_textbook_knapsacks(problem: tuple[list[float], list[float], float], best: float) -> None:
    """Burkardt's knapsack test set, P01, P02 and P07; data from memory, optima by enumeration."""
    values, weights, capacity = problem
    assert solve(knapsack(values, [weights], [capacity])).objective_pv_cost == pytest.approx(-best)


def test_multi_resource_knapsack() -> None:
    """Beasley's OR-Library, mknap1, first problem: optimum 3800 with items 2, 3 and 6."""
    rows = [
        [8, 12, 13, 64, 22, 41], [8, 12, 13, 75, 22, 41], [3, 6, 4, 18, 6, 4],
        [5, 10, 8, 32, 6, 12], [5, 13, 8, 42, 6, 20], [5, 13, 8, 48, 6, 20],
        [0, 0, 0, 0, 8, 0], [3, 0, 4, 0, 8, 0], [3, 2, 4, 0, 8, 4], [3, 2, 4, 8, 8, 4],
    ]  # fmt: skip
    small = knapsack(
        [100, 600, 1200, 2400, 500, 2000], rows, [80, 96, 20, 36, 44, 48, 10, 18, 22, 24]
    )
    answer = solve(small)
    assert answer.objective_pv_cost == pytest.approx(-3800)
    taken = [q // 2 for q in answer.courses if q % 2]  # courses alternate: leave, take
    assert taken == [1, 2, 5]


@st.composite
def problems(draw: st.DrawFn) -> Small:
    """Draw a problem with limits, access sets, links and extension, small enough to enumerate."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    count = int(rng.integers(2, 7))
    names = ["r0", "r1"]
    works = []
    for _ in range(count):
        own = []
        for _ in range(int(rng.integers(1, 4))):
            uses = {r: float(rng.integers(1, 9)) for r in names if rng.random() < 0.8}
            access = str(rng.choice(["s0", "s1", ""]))
            missing = float(rng.integers(0, 4)) if rng.random() < 0.3 else 0.0
            own.append((float(rng.integers(1, 60)), "O", uses, access, missing))
        works.append(own)
    idle = [None if rng.random() < 0.15 else float(rng.integers(10, 80)) for _ in range(count)]
    links = []
    for _ in range(int(rng.integers(0, 3))):
        a, b = rng.choice(count, 2, replace=False)
        if rng.random() < 0.5:  # apart
            links.append(([(int(a), 0, 1.0), (int(b), 0, 1.0)], 1.0))
        else:  # a needs b
            terms = [(int(a), w, 1.0) for w in range(len(works[a]))]
            links.append((terms + [(int(b), w, -1.0) for w in range(len(works[b]))], 0.0))
    return Small(
        idle, works,
        limits={r: float(rng.integers(4, 25)) for r in names},
        per_day={"r0": 2.0},
        access={s: (float(rng.integers(0, 20)), {"r0": float(rng.integers(0, 4))}) for s in ("s0", "s1")},
        day_costs={"O": float(rng.integers(1, 12))},
        most_days=float(rng.integers(0, 5)),
        links=links,
    )  # fmt: skip


@given(problems())
@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
def test_equals_every_combination(small: Small) -> None:
    """The plan costs what the best of all combinations costs; the bound never exceeds it."""
    best = exhaustive(small)
    if not np.isfinite(best):
        with pytest.raises(NoPlanError):
            solve(small)
        return
    answer = solve(small)
    assert answer.objective_pv_cost == pytest.approx(best, abs=1e-4)  # solver tolerance
    assert answer.relaxed.bound_pv_cost <= best + 1e-4
    assert answer.bound_pv_cost <= best + 1e-4
    assert answer.gap_share <= 1e-5


@given(problems())
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_more_of_a_limit_never_costs_more(small: Small) -> None:
    """One more hour of a limit can only help."""
    if not np.isfinite(exhaustive(small)):
        return
    before = solve(small).objective_pv_cost
    small.limits["r1"] += 1.0
    assert solve(small).objective_pv_cost <= before + 1e-6


@given(problems())
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_rank_and_fill_is_never_below_the_best(small: Small) -> None:
    """A list by hand that keeps every row costs at least the best; without rows it equals it."""
    best = exhaustive(small)
    filled = rank_fill(choices(small))
    if np.isfinite(best) and filled.breach <= 1e-6:
        assert filled.pv_cost >= best - 1e-6


@given(problems())
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_a_known_plan_leads_to_the_same_best(small: Small) -> None:
    """With the list by hand known, where it holds, the search still ends at the best."""
    best = exhaustive(small)
    filled = rank_fill(choices(small))
    if not np.isfinite(best) or filled.breach > 1e-9:
        return
    program = build_program(choices(small))
    known = Known(filled.courses, filled.pv_cost)
    answer = search(program, EXACT, lambda stage, share: None, known)
    assert answer.objective_pv_cost == pytest.approx(best, abs=1e-4)
    assert answer.bound_pv_cost <= best + 1e-4


def test_a_known_plan_is_kept_when_the_time_gives_none(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the solver stops without a plan, the known one comes with the relaxed bound."""
    values, weights, capacity = P07
    small = knapsack(values, [weights], [capacity])
    filled = rank_fill(choices(small))
    ask = searching.run

    def late(program: Program, options: Options, *, is_integer: bool) -> object:
        if is_integer:
            raise SolverError("out of time")
        return ask(program, options, is_integer=False)

    monkeypatch.setattr(searching, "run", late)
    known = Known(filled.courses, filled.pv_cost)
    answer = search(build_program(choices(small)), EXACT, lambda stage, share: None, known)
    assert answer.status == "time limit"
    assert answer.objective_pv_cost == filled.pv_cost
    assert set(answer.courses) == set(filled.courses)
    assert answer.bound_pv_cost <= -1458
    with pytest.raises(SolverError):
        search(build_program(choices(small)), EXACT, lambda stage, share: None)


def test_gap_is_proven_when_the_search_stops_early() -> None:
    """With a wide gap allowed, the bound still holds and the gap told is the true one."""
    values, weights, capacity = P07
    answer = solve(knapsack(values, [weights], [capacity]), Options(60, 0.2))
    assert answer.bound_pv_cost <= -1458 <= answer.objective_pv_cost


def test_price_of_a_limit_from_the_relaxed_problem() -> None:
    """Four jobs worth 10, 11, 7, 12 of 25, 30, 15, 30 hours in 60 hours: 0.4 an hour, by hand."""
    small = knapsack([10, 11, 7, 12], [[25, 30, 15, 30]], [60])
    assert solve(small).relaxed.prices["limits", "r0"] == pytest.approx(0.4)
    assert cost_of(small, [0, -1, -1, 0]) == -22
