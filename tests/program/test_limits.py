"""What gives room to a limit (uses below zero) never makes its row seem needless."""

from bundler.program.build import build_program
from bundler.program.limits import binding_limits, most_used
from bundler.solve.highs import Options
from bundler.solve.search import search
from tests.choices import Small, choices


def _cost(small: Small) -> float:
    return search(
        build_program(choices(small)), Options(gap_share=0.0), lambda *_: None
    ).objective_pv_cost


def test_an_access_that_gives_room_is_paid_for_it() -> None:
    """The work (cost 1, idle 7) asks 5 of a limit of 0, the access gives 10 for 3: 1 + 3 = 4."""
    small = Small(
        [7.0], [[(1.0, "O", {"r": 5.0}, "", 0.0)]],
        limits={"r": 0.0}, access={"s": (3.0, {"r": -10.0})},
    )  # fmt: skip
    assert most_used(choices(small))["r"] == 5.0
    assert _cost(small) == 4.0


def test_a_work_that_gives_room_is_paid_for_it() -> None:
    """The first work (1, idle 7) asks 5 of a limit of 0, the second (2, idle 0) gives 5: 1 + 2 = 3."""
    works = [[(1.0, "O", {"r": 5.0}, "", 0.0)], [(2.0, "O", {"r": -5.0}, "", 0.0)]]
    small = Small([7.0, 0.0], works, limits={"r": 0.0})
    assert list(binding_limits(choices(small))["limit"]) == ["r"]
    assert _cost(small) == 3.0


def test_a_limit_that_nothing_can_reach_has_no_row() -> None:
    """Works of 2 and 3 fit in 5 together, whatever an access gives."""
    works = [[(1.0, "O", {"r": 2.0}, "", 0.0)], [(1.0, "O", {"r": 3.0}, "", 0.0)]]
    small = Small([7.0, 7.0], works, limits={"r": 5.0}, access={"s": (3.0, {"r": -10.0})})
    assert binding_limits(choices(small)).empty
