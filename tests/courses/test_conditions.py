"""Seasons, make-ready, tests, notice and discoveries of works; dates worked by hand.

P1 opens on 2029-01-01, day 731 from 2027-01-01, and takes 40 days; D holds from day 5 to 35.
"""

# ruff: noqa: E501
from datetime import date
from typing import Any

import pandas as pd
import pytest

from bundler.calendar import periods, spans
from bundler.compose import choices_of
from bundler.courses.candidates import candidates
from bundler.courses.eligible import split
from tests.cases import case, one_unit, settings

ACTION = {"family": "PUMP", "action": "replace", "cost": 300.0, "days": 10.0, "conditions": "D"}
D, ONE = {"condition": "D", "name": "drained"}, {"kind": "planned", "condition": "D"}
T = {"condition": "T", "name": "turbine turning"}


def sorted_out(base: Any = None, **more: Any) -> tuple[pd.DataFrame, pd.DataFrame]:
    station = case(base, **one_unit(**more))
    table = periods(station)
    return split(station, candidates(station, table, spans(station, table)))


def first(rows: pd.DataFrame) -> Any:
    return rows[rows["period"] == "P1"].iloc[0]


def day(year: int, month: int, number: int) -> int:
    return (date(year, month, number) - date(2027, 1, 1)).days


def season(low: int, high: int) -> dict[str, Any]:
    return {"conditions": [D | {"season_from_month": float(low), "season_to_month": float(high)}]}


def test_a_season_that_covers_the_year_changes_nothing() -> None:
    plain, _ = sorted_out()
    for low, high in ((1, 12), (10, 9), (2, 1)):
        whole, _ = sorted_out(**season(low, high))
        names = ["start_days", "end_days", "days", "max_extension_days"]
        pd.testing.assert_frame_equal(whole[names], plain[names])


def test_a_season_over_new_year_leaves_the_longer_piece() -> None:
    """On line from 2029-02-10: October to January in two pieces a year, cut by new year.

    In U1-2030 January has 31 days, October to December 92; the longest counts, and no more.
    """
    windows = [{"kind": "on_line", "condition": "D"}]
    rows, _ = sorted_out(windows=windows, **season(10, 1))
    own = rows[rows["period"] == "U1-2030"].iloc[0]
    assert (own["start_days"], own["end_days"]) == (day(2030, 10, 1), day(2031, 1, 1))
    rows, _ = sorted_out(windows=windows, **season(6, 6))
    own = rows[rows["period"] == "U1-2030"].iloc[0]
    assert (own["start_days"], own["end_days"]) == (day(2030, 6, 1), day(2030, 7, 1))


def test_the_earliest_of_equal_pieces_is_offered() -> None:
    """January (31 days) and December (31 days) of a year on line."""
    rows, _ = sorted_out(windows=[{"kind": "on_line", "condition": "D"}], **season(12, 1))
    own = rows[rows["period"] == "U1-2030"].iloc[0]
    assert (own["start_days"], own["end_days"]) == (day(2030, 1, 1), day(2030, 2, 1))


def test_a_season_cuts_an_outage_and_no_extension_passes_it() -> None:
    """To the end of January: days 5 to 31 of P1; 27 days do not fit, though P1 may take 10 more."""
    rows, _ = sorted_out(actions=[ACTION | {"days": 26.0}], **season(1, 1))
    assert (first(rows)["end_days"], first(rows)["max_extension_days"]) == (731 + 31, 0.0)
    rows, out = sorted_out(actions=[ACTION | {"days": 27.0}], **season(1, 1))
    assert first(out)["reason"] == "window"
    # to the end of February the piece ends on day 35 and grows to day 59 at most: the kind's 10
    rows, _ = sorted_out(actions=[ACTION | {"days": 40.0}], **season(1, 2))
    assert (first(rows)["extension_days"], first(rows)["max_extension_days"]) == (10.0, 10.0)


def test_out_of_season_a_condition_does_not_hold() -> None:
    _, out = sorted_out(**season(3, 11))
    assert first(out)["reason"] == "condition"


def test_several_conditions_share_pieces() -> None:
    """D until the end of January and T from day 20 on: days 20 to 31."""
    conditions = [D | {"season_from_month": 1.0, "season_to_month": 1.0}, T]
    windows = [ONE, {"kind": "planned", "condition": "T", "from_days": 20.0}]
    rows, _ = sorted_out(
        actions=[ACTION | {"conditions": "D+T"}], conditions=conditions, windows=windows
    )
    assert (first(rows)["start_days"], first(rows)["end_days"]) == (731 + 20, 731 + 31)


def test_make_ready_and_test_are_inside_the_window() -> None:
    action = ACTION | {"days": 25.0, "make_ready_days": 4.0, "test_days": 3.0}
    rows, _ = sorted_out(actions=[action])
    assert (first(rows)["days"], first(rows)["work_days"]) == (32.0, 25.0)
    assert first(rows)["extension_days"] == 2.0
    windows = [ONE | {"longest_days": 31.0}]
    _, out = sorted_out(actions=[action], windows=windows)
    assert first(out)["reason"] == "technical limit"


def with_test(
    days: float, condition: str = "T", **window: Any
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """A work of 25 days from day 5 to 30 with a test in T, whose window is given."""
    action = ACTION | {"days": 25.0, "test_days": days, "test_condition": condition}
    at = {"kind": "planned", "condition": "T"} | window
    plain = {"from_days": 5.0, "to_anchor": "end", "to_days": -5.0}
    return sorted_out(actions=[action], conditions=[D, T], windows=[ONE | plain, at])


def test_a_test_in_its_own_condition_comes_after_the_work() -> None:
    """T to day 36: six days are left after day 30."""
    rows, _ = with_test(6.0, to_anchor="start", to_days=36.0)
    assert first(rows)["days"] == 25.0
    _, out = with_test(7.5, to_anchor="start", to_days=36.0)
    assert first(out)["reason"] == "test"
    assert first(out)["detail"] == (
        "2 d of its test do not fit: T (turbine turning) does not hold long enough after it"
    )
    _, out = with_test(1.0, to_anchor="start", to_days=29.0)
    assert first(out)["reason"] == "test"


def test_a_test_whose_condition_never_holds_rules_the_work_out() -> None:
    _, out = sorted_out(
        actions=[ACTION | {"test_days": 3.0, "test_condition": "T"}], conditions=[D, T]
    )
    assert first(out)["reason"] == "test"
    assert first(out)["detail"].startswith("3 d of its test do not fit")


def test_a_work_that_lengthens_the_outage_moves_the_test_with_it() -> None:
    """35 days end on day 40, 5 too late; T from day 35 to the end, 40, then ends on day 45."""
    action = ACTION | {"days": 35.0, "test_condition": "T"}
    windows = [
        ONE | {"from_days": 5.0, "to_days": -5.0},
        {"kind": "planned", "condition": "T", "from_anchor": "end", "from_days": -5.0},
    ]
    tables = {"conditions": [D, T], "windows": windows}
    rows, _ = sorted_out(actions=[action | {"test_days": 5.0}], **tables)
    assert first(rows)["extension_days"] == 5.0
    _, out = sorted_out(actions=[action | {"test_days": 6.0}], **tables)
    assert first(out)["reason"] == "test"


def test_notice_is_counted_in_months_to_the_opening() -> None:
    """24 months after 2027-01-01 is 2029-01-01, the day P1 opens; 25 are too many."""
    rows, _ = sorted_out(conditions=[D | {"notice_months": 24.0}])
    assert "P1" in set(rows["period"])
    rows, out = sorted_out(conditions=[D | {"notice_months": 25.0}])
    assert list(rows["period"]) == ["P2"]
    assert first(out)["reason"] == "notice"
    assert first(out)["detail"] == "opens 31 d before the notice it needs can be given"


def test_notice_of_a_test_counts_too() -> None:
    action = ACTION | {"test_days": 1.0, "test_condition": "T"}
    windows = [ONE, {"kind": "planned", "condition": "T"}]
    conditions = [D, T | {"notice_months": 60.0}]
    rows, _ = sorted_out(actions=[action], conditions=conditions, windows=windows)
    assert list(rows["period"]) == ["P2"]


FOUND = {"family": "PUMP", "action": "replace", "discovery": "crack"}
MORE = FOUND | {"discovery": "wall"}


def test_what_is_likely_is_planned_for_and_the_rest_is_told() -> None:
    """Half is planned for; 0.2 and 0.1 are not: 1 - 0.8 x 0.9 = 0.28 for up to 5 days."""
    rows, _ = sorted_out(
        discoveries=[
            FOUND | {"chance": 0.5, "days": 7.0, "cost": 40.0},
            MORE | {"chance": 0.2, "days": 3.0, "cost": 100.0},
            MORE | {"discovery": "weld", "chance": 0.1, "days": 2.0, "cost": 10.0},
        ]
    )
    own = first(rows)
    assert (own["days"], own["work_days"], own["discovery_days"]) == (17.0, 10.0, 5.0)
    assert own["discovery_chance"] == pytest.approx(0.28)
    assert own["found_cost"] == pytest.approx(0.5 * 40 + 0.2 * 100 + 0.1 * 10)


def test_expected_hours_and_cost_of_discoveries_flow_into_limits_and_payments() -> None:
    """0.25 x 400 h = 100 h beside 500; 0.25 x 80 = 20 cost, 10 of it labour at 0.1."""
    station = case(
        settings(discount_share_per_year=0.05),
        **one_unit(
            discoveries=[FOUND | {"chance": 0.25, "cost": 80.0}],
            discovery_hours=[FOUND | {"resource": "M", "work_hours": 400.0}],
        ),
    )
    choices, courses = choices_of(station, frozenset({"PUMP-1"}))
    own = first(choices.placements)
    assert own["work_hours"] == 600.0
    assert (own["labour_cost"], own["material_cost"], own["found_cost"]) == (60.0, 250.0, 10.0)
    assert own["cost"] == 320.0
    crew = choices.limits[choices.limits["resource"] == "M"]
    used = choices.uses[choices.uses["limit"].isin(crew["limit"])]
    assert set(used["amount"]) == {600.0}
    paid = courses.payments[courses.payments["placement"] == own["placement"]]
    days = dict(zip(paid["part"], paid["days"], strict=True))
    # slack of 20 days: planned from day 15 to 25, what is found is paid in the middle
    assert days == {"delivery": 731 + 15, "labour": 731 + 20, "discovery": 731 + 20}


def test_a_work_takes_hours_and_access_of_the_work_it_is_like() -> None:
    actions = [ACTION, ACTION | {"action": "half", "like": "replace", "restoration_share": 0.5}]
    tables = {
        "actions": actions,
        "access_sets": [{"access_set": "S", "name": "scaffold", "setup_days": 3.0}],
        "access_members": [{"access_set": "S", "family": "PUMP", "action": "replace"}],
    }
    station = case(**one_unit(**tables))
    choices, _ = choices_of(station, frozenset({"PUMP-1"}))
    own = choices.placements[choices.placements["period"] == "P1"].set_index("action")
    assert dict(own["start_days"]) == {"replace": 731 + 8, "half": 731 + 8}
    assert dict(own["work_hours"]) == {"replace": 500.0, "half": 500.0}
    members = choices.access_members
    assert set(own["placement"]) <= set(members["placement"])
