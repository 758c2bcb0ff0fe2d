"""Rule 22: a station-wide outage has a date by regulation and may not fall on barred days."""

from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
from bundler.dates.choose import choose_dates
from bundler.judge import judge
from bundler.run import facts_of
from tests.cases import case, one_unit, settings
from tests.rules.rule import Planned, has_stored_lp, planned

#: fuel is on the move on the first 5 days of a planned outage
BARRED = {"kind": "planned", "condition": "F", "to_anchor": "start", "to_days": 5.0}


def station_wide(
    barred: str, work_days: float, start_date: str = "2029-01-01", **more: Any
) -> Case:
    """Return S of 8 days, in which alone the intake can be worked on, and P1 from 2029-01-13 on.

    S may be lengthened by up to 10 days and has to have ended by 2029-06-30.
    """
    plain = one_unit()
    wide = {"outage": "S", "unit": "station", "kind": "wide", "start_date": start_date, "days": 8.0,
            "freeze_date": "2028-01-01", "due_date": "2029-06-30"}  # fmt: skip
    own = {**plain["outages"][0], "start_date": "2029-01-13"}
    kinds = [{**plain["outage_kinds"][0], "barred_condition": barred}, plain["outage_kinds"][1],
             {"kind": "wide", "name": "station-wide outage", "max_extension_days": 10.0}]  # fmt: skip
    conditions = [("ALL", "all units down"), ("D", "drained"), ("F", "fuel on the move")]
    tables = one_unit(
        outage_kinds=kinds,
        outages=[wide, own],
        conditions=[{"condition": key, "name": name} for key, name in conditions],
        windows=[*plain["windows"], BARRED, {"kind": "wide", "condition": "ALL"}],
        crews=[{**plain["crews"][0], "kind": "wide", "heads_count": 100.0}],
        families=[{**plain["families"][0], "forced_days": 60.0, "life_years": 8.0}],
        actions=[{**plain["actions"][0], "days": work_days, "conditions": "ALL"}],
        components=[{"component": "INT-1", "unit": "station", "family": "PUMP"}],
    )
    return case(settings(), **tables | more)


def at_best_dates(station: Case) -> Planned:
    return planned(choose_dates(station).case)


def test_rule_22_binds_it_is_not_lengthened_into_barred_days() -> None:
    """13 days are 5 more than S has; 4 are free until the fuel of P1 moves."""
    free, held = at_best_dates(station_wide("", 13.0)), at_best_dates(station_wide("F", 13.0))
    assert free.works == {("INT-1", "replace", "S")}
    assert held.works == set()
    assert held.pv_cost > free.pv_cost


def test_rule_22_binds_it_takes_another_date_where_its_own_is_barred_or_too_late() -> None:
    other = [{"outage": "S", "start_date": "2029-03-10"}]
    for start_date, why in (
        ("2029-01-10", "S falls for 5 days into F (fuel on the move) of P1"),
        ("2029-06-25", "S ends on 2029-07-03, 3 days after its due date 2029-06-30"),
    ):
        dates = choose_dates(station_wide("F", 13.0, start_date, outage_dates=other))
        assert list(dates.options["why_not"]) == [why, ""]
        assert planned(dates.case).works == {("INT-1", "replace", "S")}


def test_rule_22_does_not_bind_where_barred_days_are_far() -> None:
    for barred in ("", "F"):
        drawn = station_wide(barred, 13.0, "2028-11-01")
        assert choose_dates(drawn).case is drawn
        assert planned(drawn).works == {("INT-1", "replace", "S")}
    free, held = (planned(station_wide(barred, 13.0, "2028-11-01")) for barred in ("", "F"))
    assert held.pv_cost == free.pv_cost


def test_rule_22_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("22_station_wide", station_wide("F", 11.0), tmp_path, request)


def test_rule_22_breach_is_named_with_its_days() -> None:
    free, held = planned(station_wide("", 13.0)), station_wide("F", 13.0)
    found = judge(held, facts_of(free.choices, free.picked))
    assert [(one.rule, one.place) for one in found] == [("barred", "S P1")]
    assert found[0].amount == pytest.approx(1.0)
    assert planned(held).breaches == []
