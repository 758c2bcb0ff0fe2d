"""A turning point turns the decision: just past it, but not just short of it."""

from typing import Any

import pytest

from bundler.case import Case
from bundler.explain.component import view_component
from bundler.run import plan_case
from bundler.solve.highs import Options
from tests.cases import case, one_unit, settings


def station(life: float, **more: Any) -> Case:
    family = {"family": "PUMP", "name": "pump", "area": "TB", "life_years": life,
              "shape_ratio": 3.0, "forced_days": 5.0, "repair_cost": 200.0}  # fmt: skip
    base = settings(discount_share_per_year=0.05)
    return case(base, **one_unit(families=[family], **more))


def first_work(station: Case) -> str:
    """Return the first work in the plan of a station with one component."""
    table = plan_case(station, Options(gap_share=0.0)).tables["work_list"]
    return "no work" if table.empty else f"{table['action'].iloc[0]} in {table['period'].iloc[0]}"


@pytest.mark.parametrize("life", [24.0, 30.0, 38.0, 46.0])
def test_a_re_solve_turns_just_past_the_point_and_not_before(life: float) -> None:
    """Every turning point is confirmed by solving the whole station again at another life."""
    view = view_component(station(life), "PUMP-1")
    assert len(view.turns) >= 1
    for row in view.turns.itertuples(index=False):
        past = 1.002 if row.life_ratio > 1 else 0.998
        assert first_work(station(life * row.life_ratio / past)) == row.decision
        assert first_work(station(life * row.life_ratio * past)) == row.turns_to


def test_no_turning_point_where_work_is_free_of_doubt() -> None:
    """A failure of no cost is never worth a work at any life."""
    family = {
        "family": "PUMP",
        "name": "pump",
        "area": "TB",
        "life_years": 30.0,
        "shape_ratio": 3.0,
    }
    view = view_component(case(**one_unit(families=[family])), "PUMP-1")
    assert view.turns.empty
    assert view.failure_cost == 0


def test_closeness_follows_the_life_test() -> None:
    """A decision is marked close exactly where a life 10 % off turns it at a cost that counts."""
    for life in (18.0, 24.0, 30.0, 38.0):
        held = station(life)
        row = plan_case(held, Options(gap_share=0.0)).tables["reasons"].iloc[0]
        turns = view_component(held, "PUMP-1").turns
        near = turns[(turns["life_ratio"] - 1).abs() <= 0.1]
        if row["is_close"]:
            assert len(near) >= 1
        for side, ratio in (("if_shorter", 0.9), ("if_longer", 1.1)):
            if isinstance(row[side], str) and row[side]:
                assert first_work(station(life * ratio)) == row[side]
