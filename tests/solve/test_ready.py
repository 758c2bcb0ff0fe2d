"""Everything is compiled before the clock starts."""

from bundler.solve.compiled import chance, cheapest, moves, rebuild, relief, state
from bundler.solve.ready import get_ready


def test_no_loop_is_left_to_compile() -> None:
    """One component that works for 1 instead of idling for 2; every loop has run or been compiled
    into another."""
    assert get_ready() == 1.0
    told = (cheapest.pick, cheapest.priced, moves.settle, rebuild.rebuild, rebuild.first_fit,
            state.put_in, state.take_out, state.shared_cost)  # fmt: skip
    assert all(loop.signatures for loop in told[:4] + told[5:6])
    assert chance.seeded(1) == chance.seeded(1)
    assert relief.MOST_TANGENTS > 1
