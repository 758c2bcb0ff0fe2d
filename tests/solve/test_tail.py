"""Mean and tail over scenarios: against every combination, by both ways, and its ends."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bundler.choice import Lives, Tail
from bundler.errors import NoPlanError
from bundler.program.tail import weighted
from bundler.risk.tail import cvar
from bundler.solve import find as finding
from bundler.solve import tail as searching
from bundler.solve.answer import Known, Solved
from bundler.solve.fewer import fewer_works, useful
from bundler.solve.highs import Options
from bundler.solve.rank_fill import rank_fill
from bundler.solve.tail import FIXED, MEAN, WHOLE, Search, search_tail, tail_of
from tests.choices import Small, choices, cost_of
from tests.solve.test_search import problems

EXACT = Options(time_limit_seconds=60, gap_share=0.0)


def how(options: Options = EXACT, known: Known | None = None) -> Search:
    return Search(options, lambda stage, share: None, known)


def with_tail(small: Small, seed: int, share: float, count: int = 5, worst: float = 0.3) -> Small:
    """Return a problem whose courses carry risks that differ between scenarios."""
    rng = np.random.default_rng(seed)
    table = choices(small).courses
    scale = rng.lognormal(0, 0.6, (len(table), count))
    risk = np.maximum(table["pv_cost"].to_numpy(), 1.0)[:, None] * scale
    tail = Tail(Lives(count, seed, share, worst), rng.dirichlet(np.full(count, 3.0)), risk)
    return replace(small, tail=tail)


def by_hand(small: Small) -> tuple[float, np.ndarray]:
    """Return the least (1 - w) mean + w CVaR over every combination, and its scenario costs."""
    tail = tail_of(choices(small))
    w, alpha = tail.lives.weight_share, 1 - tail.lives.worst_share
    table, works = choices(small).courses, choices(small).works
    number = {pair: i for i, pair in enumerate(small.placements())}
    course_of = dict(zip(works["placement"], works["course"], strict=True))
    idle = table[~table["course"].isin(works["course"])].set_index("component")["course"]
    best, spread = np.inf, np.zeros(0)
    for picks in product(*[range(-1, len(own)) for own in small.works]):
        total = cost_of(small, picks)
        if not np.isfinite(total):
            continue
        rows = [
            int(idle[f"c{c:02d}"]) if w_ < 0 else course_of[number[c, w_]]
            for c, w_ in enumerate(picks)
        ]
        beside = total - table["risk_pv_cost"].to_numpy()[rows].sum()
        costs = beside + tail.risk_pv_cost[rows].sum(axis=0)
        value = (1 - w) * float(tail.chances @ costs) + w * cvar(costs, tail.chances, alpha)
        if value < best:
            best, spread = value, costs
    return best, spread


@given(problems(), st.integers(0, 99), st.sampled_from([0.0, 0.3, 1.0]))
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
def test_equals_every_combination(small: Small, seed: int, share: float) -> None:
    """With its rows in the program, the plan is the best of all combinations; the bound holds."""
    small = with_tail(small, seed, share)
    best, _ = by_hand(small)
    if not np.isfinite(best):
        with pytest.raises(NoPlanError):
            search_tail(choices(small), how())
        return
    found = search_tail(choices(small), how())
    assert found.objective_pv_cost == pytest.approx(best, abs=1e-3)  # solver tolerance
    assert found.bound_pv_cost <= best + 1e-3
    assert found.gap_share <= 1e-4
    spread = found.spread
    assert spread is not None
    assert spread.method == (WHOLE if share else MEAN)
    assert spread.mean_pv_cost <= spread.worst_pv_cost + 1e-9
    assert spread.weights.sum() == pytest.approx(1)


@given(problems(), st.integers(0, 99), st.sampled_from([0.3, 0.7, 1.0]), st.booleans())
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
def test_fixed_weights_give_a_sound_plan_and_bound(
    small: Small, seed: int, share: float, is_large: bool
) -> None:
    """The way for large cases, weights by the relaxed program or by prices: its plan is never below
    the best, its bound never above."""
    small = with_tail(small, seed, share)
    best, _ = by_hand(small)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(searching, "ROWS_MOST", 0)
        patch.setattr(finding, "WHOLE_MOST", 0)
        if is_large:
            patch.setattr(searching, "BOUND_MOST", 0)
        if not np.isfinite(best):
            with pytest.raises(NoPlanError):
                search_tail(choices(small), how())
            return
        found = search_tail(choices(small), how())
    assert found.spread is not None and found.spread.method == FIXED
    assert found.bound_pv_cost <= best + 1e-3 <= found.objective_pv_cost + 2e-3
    if found.gap_share > 1e-5:
        assert found.status in ("weights", "time limit")
    elif found.gap_share < 1e-12:
        assert found.status == "optimal"


@given(problems(), st.integers(0, 99))
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_at_the_ends_it_is_the_mean_and_the_tail(small: Small, seed: int) -> None:
    """w = 0 minimises the mean, w = 1 the CVaR: no plan of the other has less of it."""
    lo, hi = with_tail(small, seed, 0.0), with_tail(small, seed, 1.0)
    if not np.isfinite(by_hand(lo)[0]):
        return
    first, last = search_tail(choices(lo), how()), search_tail(choices(hi), how())
    assert first.spread is not None and last.spread is not None
    assert first.objective_pv_cost == pytest.approx(first.spread.mean_pv_cost)
    assert last.objective_pv_cost == pytest.approx(last.spread.worst_pv_cost)
    assert first.spread.mean_pv_cost <= last.spread.mean_pv_cost + 1e-3
    assert last.spread.worst_pv_cost <= first.spread.worst_pv_cost + 1e-3


@given(problems(), st.integers(0, 99), st.sampled_from([0.0, 0.5]))
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_a_known_plan_leads_to_the_same_best(small: Small, seed: int, share: float) -> None:
    """With the list by hand known, where it holds, the search ends at the best all the same."""
    small = with_tail(small, seed, share)
    best, _ = by_hand(small)
    filled = rank_fill(choices(small))
    if not np.isfinite(best) or filled.breach > 1e-9:
        return
    found = search_tail(choices(small), how(known=Known(filled.courses, filled.pv_cost)))
    assert found.objective_pv_cost == pytest.approx(best, abs=1e-3)


def test_an_earlier_plan_is_kept_where_it_is_better(monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan known from another weight of the tail stands where the search finds a dearer one."""
    small = with_tail(Small([9.0], [[(3.0, "O", {}, "", 0.0)]]), 1, 0.5)
    held = choices(small)
    good = search_tail(held, how())
    other = tuple(q for q in held.courses["course"] if q not in good.courses)
    own = searching.search

    def worse(*words: object, **more: object) -> Solved:
        return replace(own(*words, **more), courses=other)  # type: ignore[arg-type]

    monkeypatch.setattr(searching, "search", worse)
    assert search_tail(held, how()).courses == other
    found = search_tail(held, replace(how(), earlier=(good,)))
    assert found.courses == good.courses
    assert found.objective_pv_cost == good.objective_pv_cost


@given(problems(), st.integers(0, 99))
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_courses_of_no_use_change_no_optimum(small: Small, seed: int) -> None:
    """Leaving out what loses to itself with one work less leaves the best cost as it is."""
    small = with_tail(small, seed, 0.0)
    if not np.isfinite(by_hand(small)[0]):
        return
    held = choices(small)
    plain = weighted(held, held.tail.chances) if held.tail else held
    kept = useful(fewer_works(held), plain.courses["pv_cost"].to_numpy())
    asked = set(held.link_terms.loc[held.link_terms["factor"] < 0, "placement"])
    of_course = dict(zip(held.works["course"], held.works["placement"], strict=True))
    for row in np.flatnonzero(~kept):
        assert of_course[int(held.courses["course"].iloc[row])] not in asked


def test_without_scenarios_there_is_no_tail() -> None:
    """The search over scenarios says what it lacks."""
    with pytest.raises(ValueError, match="no scenarios"):
        search_tail(choices(Small([1.0], [[]])), how())
