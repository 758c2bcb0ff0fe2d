"""One outage moved: the same works levelled again, with what changes told unit by unit."""

import pandas as pd
import pytest

from bundler.case import Case
from bundler.errors import BundlerError, NoPlanError
from bundler.level.solve import Effort
from bundler.reopen import Opened, around_works
from bundler.run import silent
from bundler.slip import SAME, changes_between, slip
from tests.cases import case, one_unit, settings

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


def test_no_days_at_all_change_nothing_and_cost_nothing() -> None:
    """Two units whose outages learn from each other, and a link of learned hours: moved by 0."""
    units = [
        {"unit": f"U{n}", "capacity_mw": 800.0, "day_value_cost_per_day": 100.0,
         "first_sync_date": "2007-01-01"}
        for n in (1, 2)
    ]  # fmt: skip
    outages = [
        {"outage": f"P{n}", "unit": f"U{n}", "kind": "planned", "start_date": f"20{27 + 2 * n}-01-01",
         "days": 40.0, "freeze_date": "2028-01-01", "series": "pumps"}
        for n in (1, 2)
    ]  # fmt: skip
    pumps = [{"component": f"PUMP-{n}", "unit": f"U{n}", "family": "PUMP"} for n in (1, 2)]
    own = case(
        settings(learning_ratio=0.8),
        **one_unit(units=units, outages=outages, components=pumps),
    )
    works = frozenset({("PUMP-1", "replace", "P1"), ("PUMP-2", "replace", "P2")})
    found = around_works(own, works)
    assert found is not None
    assert (found.picked.works["learning_ratio"] < 1).any()
    same = slip(found, "P2", 0.0, EFFORT, silent)
    assert same.changes.empty and same.added_pv_cost == pytest.approx(0.0, abs=1e-6)


def test_an_outage_without_works_beside_it_levels_nothing() -> None:
    found = slip(opened(case(**one_unit())), "P2", 7.0, EFFORT, silent)
    assert found.changes.empty and found.lost == ()


@pytest.mark.parametrize("days", [4000.0, -800.0, float("nan")])
def test_days_that_lead_out_of_the_horizon(days: float) -> None:
    with pytest.raises(BundlerError, match="P1 cannot move by"):
        slip(opened(case(**one_unit())), "P1", days, EFFORT, silent)
