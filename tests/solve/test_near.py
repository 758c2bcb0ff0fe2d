"""The two steps of a hard search, plan over near courses and proof over all, on small cases."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bundler.errors import NoPlanError
from bundler.program.build import build_program
from bundler.solve import near as searching
from bundler.solve.answer import Known
from bundler.solve.highs import Options, ask_better, relax
from bundler.solve.near import search_near
from bundler.solve.rank_fill import rank_fill
from tests.choices import Small, choices, exhaustive
from tests.solve.test_search import knapsack, problems


def quiet(stage: str, share: float) -> None:
    pass


@given(problems(), st.sampled_from([0.0, 0.05]), st.sampled_from([0.0, 0.002, 0.2]))
@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
def test_gap_is_proven_and_true(small: Small, gap: float, near: float) -> None:
    """However few courses are near, the bound never exceeds the best, and the gap asked is met."""
    best = exhaustive(small)
    options = Options(60, gap)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(searching, "NEAR_SHARE", near)
        if not np.isfinite(best):
            with pytest.raises(NoPlanError):
                search_near(choices(small), options, quiet)
            return
        filled = rank_fill(choices(small))
        known = Known(filled.courses, filled.pv_cost) if filled.breach <= 1e-9 else None
        found = search_near(choices(small), options, quiet, known)
    assert found.bound_pv_cost <= best + 1e-4
    assert best - 1e-4 <= found.objective_pv_cost
    assert found.gap_share <= gap + 1e-5
    assert found.status == "optimal" or gap == 0.0  # a gap of nothing may differ by rounding


def test_asked_for_better_it_finds_it_or_proves_there_is_none() -> None:
    """Burkardt's knapsack P02 (from memory): best 51; nothing is worth more than 51.5."""
    small = knapsack([24, 13, 23, 15, 16], [[12, 7, 11, 8, 9]], [26])
    options = Options(60, 0.0)
    bound, cost = ask_better(build_program(choices(small)), options, -51.5)
    assert (bound, cost) == (-51.5, None)
    program = build_program(choices(small))
    bound, cost = ask_better(program, options, -45.0)
    assert cost == pytest.approx(-51) and bound <= -51 + 1e-6
    assert relax(build_program(choices(small)), options).bound_pv_cost <= -51


def test_a_polished_plan_is_taken() -> None:
    """What the polish makes of the plan is what is proven."""
    small = knapsack([24, 13, 23, 15, 16], [[12, 7, 11, 8, 9]], [26])
    seen: list[float] = []

    def note(plan: searching.Solved) -> searching.Solved:
        seen.append(plan.objective_pv_cost)
        return plan

    found = search_near(choices(small), Options(60, 0.0), quiet, None, note)
    assert seen and found.objective_pv_cost == pytest.approx(-51)
