"""The compiled plan state against the plain one of `standing`, and against every plan."""

from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest
from scipy.stats import chi2

from bundler.solve.arrays import Arrays, arrays_of
from bundler.solve.compiled.chance import draw, seeded
from bundler.solve.compiled.moves import cheapest, settle
from bundler.solve.compiled.problem import Lists, Problem, empty_state, problem_of
from bundler.solve.compiled.relief import relief_cost
from bundler.solve.compiled.state import BROKEN, put_in, shared_cost, take_out
from bundler.solve.plan_state import chosen_of, is_sound, numbers_of, state_of
from bundler.solve.relieved import taken
from bundler.standing.relief import TOLERANCE, Outage, relief
from bundler.standing.settle import as_it_stands
from bundler.standing.settle import settle as settle_plain
from bundler.standing.whole import holds
from tests.choices import Small, choices, exhaustive
from tests.solve.drawn import Drawn
from tests.solve.draws import cases
from tests.standing.test_relief import outages


@cache
def prepared() -> list[tuple[Drawn, Arrays, Problem]]:
    made = [(case, arrays_of(case.choices)) for case in cases(80)]
    return [(case, arrays, problem_of(arrays)) for case, arrays in made]


def cost_of(case: Drawn, arrays: Arrays, chosen: np.ndarray) -> float:
    """Return what a plan costs by the enumeration, without the constant."""
    return float(case.costs_of(arrays.courses[chosen][None])[0]) - arrays.constant


def sound_plans(case: Drawn, count: int, seed: int) -> Iterator[np.ndarray]:
    """Return some plans that hold, by chance."""
    own = np.flatnonzero(np.isfinite(case.costs))
    picks = np.random.default_rng(seed).choice(own, min(count, len(own)), replace=False)
    yield from case.plans[picks]


def one_period(problem: Problem, outage: Outage) -> Problem:
    """Return a problem of one period with the rows of an outage and nothing else."""
    rows, bands = len(outage.amount), len(outage.most_hours)

    def whole(count: int) -> Lists:
        ends = np.array([0, count], dtype=np.int64)
        return Lists(ends, np.arange(count, dtype=np.int32), np.zeros(count))

    return problem._replace(
        amount=outage.amount, small=TOLERANCE * np.maximum(np.abs(outage.amount), 1.0),
        row_period=np.zeros(rows, dtype=np.int32), per_day=outage.per_day,
        band=outage.band.astype(np.int32), part=outage.part,
        period_rows=whole(rows), period_bands=whole(bands), period_long=whole(0),
        day_cost=np.array([outage.day_cost]), most_days=np.array([outage.most_days]),
        hour_cost=outage.hour_cost, most_hours=outage.most_hours,
    )  # fmt: skip


def test_relief_equals_the_plain_one() -> None:
    """Which itself is held against a linear program; 600 outages by chance."""
    base = prepared()[0][2]
    finite = 0
    for seed in range(400):
        outage, used, missing = outages(seed)
        problem = one_period(base, outage)
        state = empty_state(problem)
        state.used[:] = used
        plain = relief(outage, used, missing).pv_cost
        finite += 0 < plain < np.inf
        assert relief_cost(problem, state, 0, missing) == pytest.approx(plain, rel=1e-9, abs=1e-9)
    assert finite > 60


def test_relief_counts_what_is_about_to_be_added() -> None:
    outage, used, missing = outages(6)
    problem = one_period(prepared()[0][2], outage)
    state, other = empty_state(problem), empty_state(problem)
    state.used[:], state.add[:] = used - 1.5, 1.5
    other.used[:] = used
    assert relief_cost(problem, state, 0, missing) == relief_cost(problem, other, 0, missing)


def test_relief_with_rows_and_bands_of_many_slopes() -> None:
    """Twelve rows on three bands: the tangents still meet at the least cost."""
    base, rng = prepared()[0][2], np.random.default_rng(8)
    finite = 0
    for _ in range(200):
        band = rng.integers(-1, 3, 12)
        per_day = rng.uniform(0.5, 9.0, 12)
        outage = Outage(
            rng.uniform(10, 50, 12), per_day, np.where(band >= 0, rng.uniform(0.2, 1.0, 12), 1.0),
            band, rng.uniform(20, 60, 3), rng.uniform(0.5, 9.0, 3), 12.0, float(rng.uniform(1, 60)),
        )  # fmt: skip
        used = outage.amount + rng.uniform(-5, 40, 12)
        problem = one_period(base, outage)
        state = empty_state(problem)
        state.used[:] = used
        plain = relief(outage, used, 0.0).pv_cost
        finite += np.isfinite(plain)
        assert relief_cost(problem, state, 0, 0.0) == pytest.approx(plain, rel=1e-9)
    assert finite > 60


def test_a_plan_costs_and_holds_as_it_stands_after_any_moves() -> None:
    """Courses taken out and put in by chance, also such as break every row in between."""
    sound = 0
    for seed, (case, arrays, problem) in enumerate(prepared()[:45]):
        rng = np.random.default_rng(seed)
        plan = arrays.start[:-1] + rng.integers(np.diff(arrays.start))
        state = state_of(problem, plan)
        for _ in range(8):
            for component in rng.choice(len(plan), int(rng.integers(1, len(plan))), replace=False):
                take_out(problem, state, int(component))
            for component in np.flatnonzero(state.chosen < 0):
                first, last = arrays.start[component], arrays.start[component + 1]
                put_in(problem, state, int(component), int(rng.integers(first, last)))
            state.counts[BROKEN] = 0
            courses = numbers_of(arrays, state.chosen)
            stands, exact = as_it_stands(case.choices, courses), cost_of(case, arrays, state.chosen)
            if np.isfinite(stands.pv_cost):
                told = float(state.cost[0]) + arrays.constant
                assert told == pytest.approx(stands.pv_cost, rel=1e-9, abs=1e-9)
            assert is_sound(problem, state) == holds(case.choices, courses) == np.isfinite(exact)
            sound += is_sound(problem, state)
    assert sound > 50


def test_what_a_plan_takes_costs_what_it_costs() -> None:
    """Access, days and hours told, at their prices, with the courses make up the whole."""
    relieved = 0
    for seed, (case, arrays, problem) in enumerate(prepared()):
        for plan in sound_plans(case, 3, seed):
            state = state_of(problem, chosen_of(arrays, tuple(plan)))
            access, days, hours = taken(arrays, problem, state)
            stands = as_it_stands(case.choices, tuple(plan))
            assert (access, days, hours) == (
                stands.access, stands.extension_days, stands.overtime_hours
            )  # fmt: skip
            cost = arrays.cost[state.chosen].sum()
            cost += sum(own.cost for own in case.sets if own.name in access)
            cost += sum(case.day_cost[int(name[1])] * count for name, count in days.items())
            cost += sum(case.hour_cost[int(name[1])] * count for name, count in hours.items())
            assert float(state.cost[0]) == pytest.approx(cost, rel=1e-6)
            relieved += bool(days) or bool(hours)
    assert relieved > 40


def test_a_plan_is_put_together_and_taken_apart_to_nothing() -> None:
    """After all are out nothing is used, nothing costs, nothing is marked."""
    for case, arrays, problem in prepared()[:40]:
        state = state_of(problem, chosen_of(arrays, tuple(case.plans[-1])))
        for component in range(len(state.chosen)):
            take_out(problem, state, component)
        for left in (state.used, state.cost, state.days, state.relief, state.add):
            assert left == pytest.approx(0, abs=1e-9)
        for left in (
            state.members,
            state.placed,
            state.row_mark,
            state.set_mark,
            state.period_mark,
        ):
            assert not left.any()


def test_what_a_course_adds_is_what_the_plan_then_costs_more() -> None:
    """For each course of each component of a plan that holds, against the enumeration."""
    fits = broken = 0
    for seed, (case, arrays, problem) in enumerate(prepared()[:80]):
        for plan in sound_plans(case, 2, seed):
            state = state_of(problem, chosen_of(arrays, tuple(plan)))
            for component in range(len(state.chosen)):
                now, whole = int(state.chosen[component]), float(state.cost[0])
                state.counts[BROKEN] = 0
                take_out(problem, state, component)
                without = float(state.cost[0])
                for course in range(arrays.start[component], arrays.start[component + 1]):
                    chosen = state.chosen.copy()
                    chosen[component] = course
                    exact = cost_of(case, arrays, chosen)
                    own = shared_cost(problem, state, course, np.inf)
                    total = without + own + float(arrays.cost[course])
                    assert total == pytest.approx(exact, rel=1e-9, abs=1e-9)
                    broken += np.isinf(exact)
                    fits += np.isfinite(exact)
                put_in(problem, state, component, now)
                assert float(state.cost[0]) == pytest.approx(whole, rel=1e-9, abs=1e-9)
    assert min(fits, broken) > 200


def test_the_cheapest_course_is_the_cheapest_of_all_that_hold() -> None:
    """Against the enumeration with all others held, from plans that hold by chance."""
    for seed, (case, arrays, problem) in enumerate(prepared()):
        for plan in sound_plans(case, 4, seed):
            state = state_of(problem, chosen_of(arrays, tuple(plan)))
            for component in range(len(state.chosen)):
                now = int(state.chosen[component])
                state.counts[BROKEN] = 0
                take_out(problem, state, component)
                chosen = np.repeat(state.chosen[None], np.diff(arrays.start)[component], axis=0)
                chosen[:, component] = np.arange(
                    arrays.start[component], arrays.start[component + 1]
                )
                exact = case.costs_of(arrays.courses[chosen]) - arrays.constant
                course, _ = cheapest(problem, state, component, np.inf)
                assert course >= 0
                found = exact[course - arrays.start[component]]
                assert found == pytest.approx(exact.min(), rel=1e-9, abs=1e-9)
                put_in(problem, state, component, now)
                state.counts[BROKEN] = 0


def test_settled_costs_what_the_plain_settling_costs() -> None:
    """Same order, same rule: the same cost; it holds and is never dearer than its start."""
    same = total = 0
    for seed, (case, arrays, problem) in enumerate(prepared()):
        for plan in sound_plans(case, 2, seed):
            state = state_of(problem, chosen_of(arrays, tuple(plan)))
            before = float(state.cost[0])
            settle(problem, state, np.arange(len(state.chosen)), 20, 1e-9 * abs(before))
            assert is_sound(problem, state)
            assert float(state.cost[0]) <= before + 1e-9 * abs(before)
            exact = cost_of(case, arrays, state.chosen)
            assert float(state.cost[0]) == pytest.approx(exact, rel=1e-9, abs=1e-9)
            plain = settle_plain(case.choices, tuple(plan)).pv_cost - arrays.constant
            total += 1
            same += abs(float(state.cost[0]) - plain) <= 1e-7 * max(abs(plain), 1.0)
    assert same >= 0.95 * total


def test_whoever_gives_room_that_days_cannot_replace_stays() -> None:
    """8 h of 5 h; a course that frees 3 h for 9, idle for 1; a day gives 1 h, one day at most."""
    gives = Small(
        [None, 1.0], [[(1.0, "O", {"r": 8.0}, "", 0.0)], [(9.0, "O", {"r": -3.0}, "", 0.0)]],
        limits={"r": 5.0}, per_day={"r": 1.0}, day_costs={"O": 2.0}, most_days=1.0,
    )  # fmt: skip
    arrays = arrays_of(choices(gives))
    problem = problem_of(arrays)
    state = state_of(problem, np.array([0, 2]))
    assert is_sound(problem, state)
    take_out(problem, state, 1)
    assert shared_cost(problem, state, 1, np.inf) == np.inf
    assert cheapest(problem, state, 1, np.inf)[0] == 2
    put_in(problem, state, 1, 2)
    settle(problem, state, np.array([0, 1]), 20, 1e-9)
    assert is_sound(problem, state)
    assert float(state.cost[0]) == exhaustive(gives) == 10.0


def test_an_overfull_row_is_noted_once() -> None:
    """Six works on a row for one: noted more often they would leave the array that holds them."""
    crowd = Small([0.0] * 6, [[(1.0, "O", {"r": 1.0}, "", 0.0)]] * 6, limits={"r": 1.0})
    arrays = arrays_of(choices(crowd))
    problem = problem_of(arrays)
    state = empty_state(problem)
    for component in range(6):
        put_in(problem, state, component, int(arrays.start[component]) + 1)
    assert state.counts[BROKEN] <= len(state.broken) == 1
    assert not is_sound(problem, state)


def test_first_numbers_of_chance() -> None:
    """Marsaglia 2003: from 88172645463325252 the first number of 64 bits is 8748534153485358512."""
    state = np.array([88172645463325252], dtype=np.uint64)
    assert draw(state) == (8748534153485358512 >> 11) / 2**53
    assert int(state[0]) == 8748534153485358512


def test_chance_equals_plain_whole_numbers() -> None:
    """The same shifts on Python's whole numbers, cut to 64 bits; the same seed twice."""
    state, again = seeded(7), seeded(7)
    x = int(state[0])
    for _ in range(1000):
        x ^= x << 13 & 2**64 - 1
        x ^= x >> 7
        x ^= x << 17 & 2**64 - 1
        assert draw(state) == (x >> 11) / 2**53
        assert draw(again) == (x >> 11) / 2**53
    assert seeded(8)[0] != seeded(7)[0]


def test_chance_is_even() -> None:
    """Fifty bins, and pairs in 10 x 10 squares, by chi-square at 0.1 %; all within [0, 1)."""
    state = seeded(1)
    numbers = np.array([draw(state) for _ in range(100_000)])
    assert numbers.min() >= 0
    assert numbers.max() < 1
    counts = np.histogram(numbers, 50, (0, 1))[0]
    pairs = np.histogram2d(numbers[::2], numbers[1::2], 10, [[0, 1], [0, 1]])[0].ravel()
    for seen in (counts, pairs):
        mean = seen.sum() / len(seen)
        assert ((seen - mean) ** 2 / mean).sum() < chi2.isf(0.001, len(seen) - 1)
