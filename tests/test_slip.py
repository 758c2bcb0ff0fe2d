"""One outage moved: the same works levelled again, with what changes told unit by unit."""

import pandas as pd
import pytest

from bundler.case import Case
from bundler.errors import BundlerError, NoPlanError
from bundler.level.solve import Effort
from bundler.reopen import Opened, around_works
from bundler.run import silent
from bundler.slip import SAME, changes_between, slip
from tests.cases import case, one_unit

EFFORT = Effort(work=2.0, most_seconds=60.0)
WORKS = frozenset({("PUMP-1", "replace", "P1")})


def opened(own: Case) -> Opened:
    found = around_works(own, WORKS)
    assert found is not None
    return found


def test_every_task_of_the_outage_moves_by_its_days() -> None:
    """140 head days by ten heads are 14 days from day 5; a week later all of it is a week later."""
    found = slip(opened(case(**one_unit())), "P1", 7.0, EFFORT, silent)
    table = found.changes.set_index("task")
    assert table.loc["PUMP-1 replace", "before_date"] == "2029-01-06"
    assert table.loc["PUMP-1 replace", "after_date"] == "2029-01-13"
    assert table["moved_days"].tolist() == [7, 7]
    assert table.loc[SAME, "before_end_date"] == "2029-01-19"
    assert table.loc[SAME, "after_end_date"] == "2029-01-26"
    assert (table["unit"] == "U1").all() and found.lost == () and found.breaches == ()
    assert found.added_pv_cost > 0  # a week more of the old pump, without discounting


def test_a_work_whose_condition_does_not_hold_then_is_lost() -> None:
    """Drained in January only: from 2 March on there is no window."""
    season = [
        {"condition": "D", "name": "drained", "season_from_month": 1.0, "season_to_month": 1.0}
    ]
    found = slip(opened(case(**one_unit(conditions=season))), "P1", 60.0, EFFORT, silent)
    assert found.lost == ("PUMP-1 replace in P1",)


def test_a_statutory_date_that_passes_is_told() -> None:
    due = [{"component": "PUMP-1", "action": "replace", "due_date": "2029-02-12"}]
    with pytest.raises(NoPlanError, match="keeps its statutory dates"):
        slip(opened(case(**one_unit(mandates=due))), "P1", 60.0, EFFORT, silent)


def test_an_outage_that_is_not_there() -> None:
    with pytest.raises(BundlerError, match="There is no outage P9 in outages.csv"):
        slip(opened(case(**one_unit())), "P9", 7.0, EFFORT, silent)


def test_what_comes_in_and_goes_out_is_named() -> None:
    columns = ["outage", "task", "start_date", "end_date", "is_left_out", "why"]
    before = pd.DataFrame(
        [("P1", "a", "2029-01-06", "2029-01-08", False, ""), ("P1", "b", "", "", True, "full"),
         ("P1", "c", "2029-01-06", "2029-01-06", False, "")], columns=columns,
    )  # fmt: skip
    after = pd.DataFrame(
        [("P1", "a", "", "", True, "no room"), ("P1", "b", "2029-01-07", "2029-01-07", False, ""),
         ("P1", "c", "2029-01-06", "2029-01-06", False, "")], columns=columns,
    )  # fmt: skip
    table = changes_between(pd.Series({"P1": "U1"}), before, after)
    told = dict(zip(table["task"], table["change"], strict=True))
    assert told == {SAME: "moves", "a": "finds no room any more", "b": "finds room now"}
    assert table.set_index("task").loc["a", "why"] == "no room"
