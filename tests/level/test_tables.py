"""Tables of a levelled outage, worked by hand: no solver, the schedule is given.

P1 opens on 2029-01-01, a Monday. One head gives 50 h / 7 x 0.5 = 3.571 direct hours a day, so a
pump's 500 h are 140 head days.
"""

from dataclasses import replace
from typing import Any

import pandas as pd
import pytest

from bundler.level.outage import Laid
from bundler.level.problem import Levelled
from bundler.level.tables import (
    Schedule,
    held_heads,
    schedule_table,
    slot_heads,
    weekly_histogram,
    window_fill,
)
from tests.cases import case, one_unit, settings
from tests.level.laid import CRACK, everything, laid
from tests.level.test_tasks import ACCESS

P1 = ("PUMP-1", "replace", "P1")
BASE = [{"kind": "planned", "resource": "M", "work_hours": 40 * 50 / 7 * 0.5}]
BANDS = pd.DataFrame({"resource": ["M"], "start": [14], "end": [28]})


def given(own: Laid, *starts: tuple[str, int, int], bands: pd.DataFrame | None = None) -> Schedule:
    table = pd.DataFrame(
        [(task, 0, a, b) for task, a, b in starts], columns=["task", "mode", "start", "end"]
    )
    ran = set(table["task"])
    left = tuple(sorted(set(own.problem.tasks["task"]) - ran))
    none = pd.DataFrame({"resource": [], "start": [], "end": []}).astype({"start": int, "end": int})
    finish = int(table["end"].max())
    return Schedule(
        own, Levelled(table, left, finish, finish, none if bands is None else bands, "found")
    )


def nothing(own: Laid) -> Schedule:
    """Return a schedule in which nothing runs."""
    starts = given(own, ("x", 0, 1)).levelled.starts.iloc[:0]
    return Schedule(own, Levelled(starts, (), 0, 0, BANDS.iloc[:0], "nothing runs"))


def station(**more: Any) -> Any:
    return case(
        settings(overtime_share=0.5, overtime_weeks=2.0), **one_unit(base_scope=BASE, **more)
    )


def test_a_schedule_tells_days_dates_and_heads() -> None:
    """From half day 10 to 50: days 5 to 25, by 140 / 20 = 7 heads; twice the stated ten days."""
    own = station()
    table = schedule_table(own, everything(own), [given(laid(own, P1), ("PUMP-1 replace", 10, 50))])
    row = table.iloc[0]
    assert (row["start_days"], row["end_days"], row["stretch_share"]) == (5.0, 25.0, 1.0)
    assert (row["start_date"], row["end_date"]) == ("2029-01-06", "2029-01-25")
    assert (row["kind"], row["heads"], row["area"], row["is_left_out"]) == (
        "work",
        "M 7.0",
        "TB",
        False,
    )


def test_what_is_left_out_has_no_days_and_a_reason() -> None:
    pumps = [{"component": f"PUMP-{n}", "unit": "U1", "family": "PUMP"} for n in (1, 2)]
    own = station(components=pumps)
    schedule = given(laid(own, P1, ("PUMP-2", "replace", "P1")), ("PUMP-1 replace", 10, 50))
    row = schedule_table(own, everything(own), [schedule]).set_index("task").loc["PUMP-2 replace"]
    assert row["is_left_out"] and row["start_date"] == "" and pd.isna(row["end_days"])
    assert row["why"] == "no room beside the others"
    long = station(
        action_hours=[
            {"family": "PUMP", "action": "replace", "resource": "M", "work_hours": 2000.0}
        ]
    )
    none = nothing(laid(long, P1))
    row = schedule_table(long, everything(long), [none]).iloc[0]
    # 560 head days; 14 heads with overtime less base of one: 40 days
    assert row["why"] == "needs 40 days of M, 30 are there"


@pytest.mark.parametrize(
    ("there", "why"),
    [
        (5.0, "needs 6 of supply.LAY, 5 are there on a day"),
        (0.0, "needs supply.LAY, 0 are there on its days"),
    ],
)
def test_what_a_day_does_not_have_is_told_by_its_amount(there: float, why: str) -> None:
    """Six m2 on each day, of five or none: no number of days is enough."""
    taken = {"family": "PUMP", "action": "replace", "supply": "LAY", "amount": 6.0}
    own = station(
        supplies=[{"supply": "LAY", "name": "laydown", "measure": "m2"}],
        supply_amounts=[{"supply": "LAY", "kind": "planned", "amount_per_day": there}],
        action_supplies=[taken | {"is_daily": True}],
    )
    [row] = schedule_table(own, everything(own), [nothing(laid(own, P1))]).to_dict("records")
    assert row["is_left_out"] and row["why"] == why


def test_access_that_nobody_needs_is_not_told() -> None:
    own = station(**ACCESS)
    schedule = given(laid(own, P1), ("G set-up", 10, 14), ("G lift", 50, 52))
    assert list(schedule_table(own, everything(own), [schedule])["task"]) == ["PUMP-1 replace"]
    used = given(
        laid(own, P1), ("G set-up", 10, 14), ("PUMP-1 replace", 14, 50), ("G lift", 50, 54)
    )
    table = schedule_table(own, everything(own), [used]).set_index("task")
    assert list(table.index) == ["G set-up", "G lift", "PUMP-1 replace"]  # by window, then day
    assert table["access_sets"].tolist() == ["G", "G", "G"]
    assert table.loc["G set-up", "heads"] == "M 3.5"  # seven head days in two days


def test_what_goes_alongside_has_no_stated_days() -> None:
    """500 h: 140 head days, ten at each end, and 120 in 30 days."""
    hours = [{"access_set": "G", "resource": "M", "work_hours": 500.0}]
    own = station(**ACCESS | {"access_hours": hours})
    used = given(
        laid(own, P1), ("G set-up", 10, 14), ("G alongside", 14, 74), ("PUMP-1 replace", 14, 54),
        ("G lift", 54, 58),
    )  # fmt: skip
    table = schedule_table(own, everything(own), [used]).set_index("task")
    assert table["heads"].to_dict() == {
        "G set-up": "M 5.0",
        "G alongside": "M 4.0",
        "PUMP-1 replace": "M 7.0",
        "G lift": "M 5.0",
    }
    assert pd.isna(table.loc["G alongside", "stretch_share"])
    assert table.loc["PUMP-1 replace", "stretch_share"] == 1.0


def test_heads_held_are_told_in_days_from_planning() -> None:
    own = station()
    table = held_heads(given(laid(own, P1), ("PUMP-1 replace", 10, 50)))
    assert table.to_dict("records") == [
        {
            "period": "P1",
            "resource": "M",
            "start_days": 736.0,
            "end_days": 756.0,
            "heads_count": pytest.approx(7.0),
        }
    ]


def test_weeks_of_an_outage() -> None:
    """Week of 1 January: days 5 and 6 of seven hold 7 heads; base is one head all along."""
    own = station()
    schedule = given(laid(own, P1), ("PUMP-1 replace", 10, 50), bands=BANDS)
    table = weekly_histogram(own, [schedule]).set_index("week_start_date")
    assert list(table.index)[:2] == ["2029-01-01", "2029-01-08"]
    first, second = table.iloc[0], table.iloc[1]
    assert first["heads_count"] == pytest.approx(2.0)
    assert first["most_heads_count"] == pytest.approx(8.0)
    assert (second["heads_count"], second["base_heads_count"]) == (7.0, 1.0)
    assert (second["limit_heads_count"], second["overtime_heads_count"]) == (10.0, 5.0)
    assert first["overtime_heads_count"] == 0.0
    assert second["direct_hours"] == pytest.approx(7 * 25.0, abs=0.1)  # 50 paid x 0.5
    assert second["paid_hours"] == 350.0
    assert len(table) == 6  # 40 days


def test_the_site_adds_up_outages_against_its_pool() -> None:
    resources = [
        {"resource": "M", "name": "millwright", "cost_per_hour": 0.1, "pool_heads_count": 12.0}
    ]
    own = station(resources=resources)
    one = given(laid(own, P1), ("PUMP-1 replace", 10, 50))
    two = replace(one, laid=replace(one.laid, outage=replace(one.laid.outage, period="P9")))
    table = weekly_histogram(own, [one, two]).set_index(["outage", "week_start_date"])
    row = table.loc[("site", "2029-01-08")]
    assert (row["heads_count"], row["limit_heads_count"], row["base_heads_count"]) == (
        14.0,
        12.0,
        2.0,
    )
    assert table.loc[("P1", "2029-01-08"), "heads_count"] == 7.0


def test_discoveries_have_their_share() -> None:
    own = station(**CRACK)
    table = weekly_histogram(own, [given(laid(own, P1), ("PUMP-1 replace", 10, 50))])
    assert table["found_share"].max() == pytest.approx(20 / 520, abs=1e-3)


def test_windows_are_as_full_as_their_days() -> None:
    """140 head days and one head of base in 30 days of ten heads, and a week of five more."""
    own = station()
    table = window_fill(
        everything(own), given(laid(own, P1), ("PUMP-1 replace", 10, 50), bands=BANDS)
    )
    part = table.set_index("window").loc["5-35"]
    assert part["used_head_days"] == pytest.approx(170.0)
    assert part["limit_head_days"] == pytest.approx(335.0)
    assert part["full_share"] == pytest.approx(170 / 335, abs=1e-3)
    assert part["most_share"] == pytest.approx(0.8)
    assert table.set_index("window").loc["all", "used_head_days"] == pytest.approx(180.0)


def test_a_kind_of_outage_without_crews_has_empty_tables_with_their_columns() -> None:
    """Works without hours need no crews, so there are no heads to tell; days there are."""
    bare = case(**one_unit(crews=[], action_hours=[]))
    one, two = (given(laid(own, P1), ("PUMP-1 replace", 10, 50)) for own in (bare, station()))
    assert schedule_table(bare, everything(bare), [one]).loc[0, "heads"] == ""
    pairs = [
        (slot_heads(one), slot_heads(two)),
        (held_heads(one), held_heads(two)),
        (weekly_histogram(bare, [one]), weekly_histogram(station(), [two])),
        (weekly_histogram(bare, []), weekly_histogram(station(), [two])),
        (window_fill(everything(bare), one), window_fill(everything(bare), two)),
    ]
    for empty, full in pairs:
        assert empty.empty and len(full)
        assert empty.dtypes.to_dict() == full.dtypes.to_dict()
    beside = weekly_histogram(station(), [one, two])
    pd.testing.assert_frame_equal(beside, weekly_histogram(station(), [two]))
