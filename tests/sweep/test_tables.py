"""The tables of a sweep by hand: what moved, what came in and went out, what is firm."""

from bundler.sweep.done import Done
from bundler.sweep.tables import firm_table, runs_table, works_table
from bundler.sweep.variants import Variant
from tests.sweep.asked import made_up


def test_moved_in_out_firm_and_open_by_hand() -> None:
    """A stays, B goes from P1 to P2, C comes in; the second work of A in the third run moves nothing."""
    base = made_up(("A", "replace", "P1"), ("B", "replace", "P1"))
    other = made_up(("A", "replace", "P1"), ("B", "replace", "P2"), ("C", "overhaul", "P1"))
    third = made_up(("A", "replace", "P1"), ("A", "replace", "P2"), ("B", "replace", "P1"))
    runs = [
        (Variant("base"), base), (Variant("x"), other), (Variant("y"), third),
        (Variant("z"), Done("no plan", "why")),
    ]  # fmt: skip
    told = runs_table(runs)
    for name, counts in {
        "works_count": [2, 3, 3], "moved_count": [0, 2, 0], "in_count": [0, 2, 1], "out_count": [0, 1, 0],
    }.items():  # fmt: skip
        assert list(told[name].dropna()) == counts, name
    firm = firm_table(runs, ["C", "A", "B", "D"])
    assert firm.to_dict("list") == {
        "component": ["A", "B", "C", "D"],
        "action": ["replace", "replace", "", ""],
        "period": ["P1", "P1", "", ""],
        "same_count": [3, 2, 2, 3],
        "runs_count": [3] * 4,
        "mark": ["firm", "open", "open", "firm"],
        "turned_by": ["", "x", "x", ""],
    }
    assert len(works_table(runs)) == 8
