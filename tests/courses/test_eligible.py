"""What may be placed and what is ruled out, each reason with its numbers; dates worked by hand."""

from typing import Any

import pandas as pd
import pytest

from bundler.calendar import periods, spans
from bundler.courses.candidates import candidates
from bundler.courses.eligible import REASONS, split
from tests.cases import case, one_unit

ACTION = {"family": "PUMP", "action": "replace", "cost": 300.0, "days": 10.0, "conditions": "D"}


def ruled_out(**more: Any) -> pd.DataFrame:
    station = case(**one_unit(**more))
    table = periods(station)
    _, out = split(station, candidates(station, table, spans(station, table)))
    return out


def placed(**more: Any) -> pd.DataFrame:
    station = case(**one_unit(**more))
    table = periods(station)
    rows, _ = split(station, candidates(station, table, spans(station, table)))
    return rows


def test_a_plain_work_fits_both_outages_and_never_on_line() -> None:
    rows, out = placed(), ruled_out()
    assert list(rows["period"]) == ["P1", "P2"]
    # P1 opens 2029-01-01, 731 days after 2027-01-01; condition D from day 5 to day 35
    assert rows["start_days"].iloc[0] == 731 + 5
    assert rows["end_days"].iloc[0] == 731 + 35
    assert list(out["period"]) == ["on line"]
    assert out["reason"].iloc[0] == "condition"
    assert "D (drained)" in out["detail"].iloc[0]


def test_parts_too_late_tells_ready_and_earliest_date() -> None:
    """30 months lead, 6 months approval and 60 days to receive: 36 months and 60 d from 2027-01-01."""
    out = ruled_out(
        actions=[ACTION | {"lead_months": 30.0}],
        approval_times=[{"lead_from_months": 0.0, "approval_months": 6.0}],
    )
    row = out[out["period"] == "P1"].iloc[0]
    assert row["reason"] == "parts"
    assert row["ready_date"] == "2030-03-02"
    assert row["earliest_date"] == "2033-01-06"


def test_the_band_of_the_lead_time_sets_the_approval() -> None:
    bands = [
        {"lead_from_months": 0.0, "approval_months": 3.0},
        {"lead_from_months": 12.0, "approval_months": 6.0},
        {"lead_from_months": 24.0, "approval_months": 10.0},
    ]
    for lead, approval in ((11.0, 3), (12.0, 6), (23.0, 6), (24.0, 10)):
        rows = placed(actions=[ACTION | {"lead_months": lead}], approval_times=bands)
        ready = pd.Timestamp("2027-01-01") + pd.DateOffset(months=approval + int(lead))
        days = (ready - pd.Timestamp("2027-01-01")).days + 60
        assert (rows["ready_days"] == days).all()


def test_drawings_too_late() -> None:
    """30 months of design end 2029-07-01; P1 opens 2029-01-01, with 100 days for packages."""
    kinds = [
        {"kind": "planned", "name": "planned outage", "design_days": 100.0},
        {"kind": "on_line", "name": "on line"},
    ]
    out = ruled_out(actions=[ACTION | {"design_months": 30.0}], outage_kinds=kinds)
    row = out[out["period"] == "P1"].iloc[0]
    assert row["reason"] == "engineering"
    assert "281 d too late" in row["detail"]  # 181 days of 2029 to 1 July, and the 100


def test_window_too_short_even_with_the_most_extension() -> None:
    out = ruled_out(actions=[ACTION | {"days": 41.0}])
    assert list(out[out["reason"] == "window"]["period"]) == ["P1", "P2"]
    assert "takes 41 d; the window has 30 d and may grow by 10 d" in out["detail"].iloc[0]


def test_a_work_that_needs_extension_is_placed_with_the_days_it_misses() -> None:
    rows = placed(actions=[ACTION | {"days": 36.0}])
    assert list(rows["extension_days"]) == [6.0, 6.0]


def test_setup_of_access_comes_before_the_work() -> None:
    sets = [{"access_set": "S", "name": "scaffold", "setup_days": 3.0}]
    rows = placed(access_sets=sets, access_members=[{"access_set": "S", "family": "PUMP"}])
    assert rows["start_days"].iloc[0] == 731 + 5 + 3


def test_frozen_scope_takes_nothing_but_what_is_pinned() -> None:
    frozen = [
        {"outage": "P1", "unit": "U1", "kind": "planned", "start_date": "2027-06-01", "days": 40.0,
         "freeze_date": "2026-12-01"},
    ]  # fmt: skip
    out = ruled_out(outages=frozen)
    assert list(out[out["reason"] == "frozen"]["period"]) == ["P1"]
    pin = [{"component": "PUMP-1", "outage": "P1", "rule": "in", "who": "scoper", "why": "agreed"}]
    assert "P1" in list(placed(outages=frozen, pins=pin)["period"])


def test_technical_limit_on_line() -> None:
    windows = [{"kind": "on_line", "condition": "D", "longest_days": 3.0}]
    out = ruled_out(windows=windows)
    row = out[out["reason"] == "technical limit"].iloc[0]
    assert "takes 10 d where 3 d is the longest" in row["detail"]


def test_side_and_own_windows_replace_the_kind() -> None:
    outages = [
        {"outage": "P1", "unit": "U1", "kind": "planned", "start_date": "2029-01-01", "days": 40.0,
         "freeze_date": "2028-01-01", "side": "A"},
        {"outage": "P2", "unit": "U1", "kind": "planned", "start_date": "2033-01-01", "days": 40.0,
         "freeze_date": "2032-01-01", "side": "B"},
    ]  # fmt: skip
    windows = [
        {"kind": "planned", "condition": "D", "side": "A", "from_days": 2.0, "to_days": 30.0, "to_anchor": "start"},
        {"kind": "planned", "condition": "D", "outage": "P1", "side": "A", "from_days": 4.0, "to_days": 20.0, "to_anchor": "start"},
    ]  # fmt: skip
    rows = placed(outages=outages, windows=windows)
    assert list(rows["period"]) == ["P1"]
    assert (rows["start_days"].iloc[0], rows["end_days"].iloc[0]) == (735, 751)


def test_star_stands_for_the_train() -> None:
    windows = [{"kind": "planned", "condition": "LA", "to_anchor": "end"}]
    conditions = [
        {"condition": "LA", "name": "loop A out"},
        {"condition": "LB", "name": "loop B out"},
    ]
    components = [
        {"component": "PUMP-A", "unit": "U1", "family": "PUMP", "train": "A"},
        {"component": "PUMP-B", "unit": "U1", "family": "PUMP", "train": "B"},
    ]
    rows = placed(
        actions=[ACTION | {"conditions": "L*"}], windows=windows, conditions=conditions,
        components=components,
    )  # fmt: skip
    assert set(rows["component"]) == {"PUMP-A"}


def test_what_is_learned_shortens_the_work_but_not_make_ready_and_test() -> None:
    action = ACTION | {"make_ready_days": 2.0, "test_days": 1.0}
    station = case(**one_unit(actions=[action]))
    table, learned = periods(station), {("PUMP", "replace", "P2"): 0.81}
    rows, _ = split(station, candidates(station, table, spans(station, table), learned))
    assert list(rows["work_days"]) == pytest.approx([10.0, 8.1])
    assert list(rows["days"]) == pytest.approx([13.0, 11.1])
    assert list(rows["learning_ratio"]) == [1.0, 0.81]


def test_every_reason_is_known_to_the_tests() -> None:
    """The reasons of the docs and these tests are the reasons there are."""
    assert set(REASONS) == {
        "condition",
        "common system",  # tests/courses/test_conditions.py, as notice and test
        "technical limit",
        "frozen",
        "notice",
        "engineering",
        "parts",
        "window",
        "test",
    }
