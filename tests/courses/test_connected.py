"""Systems common to several units: what their units' outages leave of a year; dates by hand.

Three units. U1 is out on days 731 to 771 (from 2029-01-01), U2 on days 751 to 791; U3 never. T
holds in an outage from its day 10 to its end, N on line.
"""

# ruff: noqa: E501
from typing import Any

import pandas as pd
import pytest

from bundler.calendar import periods, spans
from bundler.courses.candidates import candidates
from bundler.courses.connected import needs_of_units
from bundler.courses.eligible import split
from tests.cases import case, one_unit

UNIT = {"capacity_mw": 800.0, "day_value_cost_per_day": 100.0, "first_sync_date": "2007-01-01"}
OUTAGE = {"kind": "planned", "days": 40.0, "freeze_date": "2028-01-01"}
INF = float("inf")


def station(*needs: dict[str, Any], days: float = 10.0, **more: Any) -> Any:
    tables: dict[str, Any] = one_unit(
        units=[UNIT | {"unit": name} for name in ("U1", "U2", "U3")],
        outages=[
            OUTAGE | {"outage": "P1", "unit": "U1", "start_date": "2029-01-01"},
            OUTAGE | {"outage": "P2", "unit": "U2", "start_date": "2029-01-21"},
        ],
        conditions=[
            {"condition": "any", "name": "any state"},
            {"condition": "T", "name": "turbine open"},
            {"condition": "N", "name": "on line"},
        ],
        windows=[
            {"kind": "planned", "condition": "T", "from_days": 10.0},
            {"kind": "on_line", "condition": "any"},
            {"kind": "on_line", "condition": "N"},
        ],
        actions=[{"family": "CRANE", "action": "upgrade", "cost": 300.0, "days": days, "conditions": "any"}],
        action_hours=[],
        families=[{"family": "CRANE", "name": "crane", "life_years": 30.0, "shape_ratio": 3.0}],
        components=[{"component": "CRANE", "unit": "station", "family": "CRANE"}],
        common_needs=[{"family": "CRANE"} | need for need in needs],
    )  # fmt: skip
    return case(**(tables | more))


def needed(*needs: dict[str, Any], **more: Any) -> Any:
    [found] = needs_of_units(station(*needs, **more)).values()
    return found


ABSENT = {"condition": "T", "rule": "absent"}
P1, P2 = (741.0, 771.0), (761.0, 791.0)


def test_absent_leaves_the_days_on_which_it_holds_in_none_of_the_units() -> None:
    [need] = needed(ABSENT)
    assert need.days == ((-INF, 741.0), (791.0, INF))
    [need] = needed(ABSENT | {"units": "U1"})
    assert need.days == ((-INF, 741.0), (771.0, INF))
    # away in two of the three: only where both hold together it is not
    [need] = needed(ABSENT | {"least_count": 2.0})
    assert need.days == ((-INF, 761.0), (771.0, INF))
    assert need.text == "T (turbine open) may not hold in at least 2 of all units"


def test_holds_asks_for_all_units_or_for_so_many() -> None:
    end = 7304.0  # 2046-12-31, the end of every unit; after it none is in the way
    [need] = needed({"condition": "T", "units": "U1+U2"})
    assert need.days == ((761.0, 771.0), (end, INF))
    [need] = needed({"condition": "T", "least_count": 1.0, "why": "one side spare"})
    assert need.days == ((741.0, 791.0), (end, INF))
    assert need.text == "T (turbine open) has to hold in at least 1 of all units, one side spare"
    [need] = needed({"condition": "T"})
    assert need.days == ((end, INF),)


def test_time_on_line_counts_however_short() -> None:
    """U1 is on line for 9 days between two outages, too short for a period of its own."""
    outages = [
        OUTAGE | {"outage": "P1", "unit": "U1", "start_date": "2029-01-01"},
        OUTAGE | {"outage": "P3", "unit": "U1", "start_date": "2029-02-19"},
    ]
    [need] = needed({"condition": "N", "units": "U1"}, outages=outages)
    assert need.days == ((0.0, 731.0), (771.0, 780.0), (820.0, INF))


def test_a_station_wide_outage_is_an_outage_of_every_unit() -> None:
    outages = [OUTAGE | {"outage": "S1", "unit": "station", "start_date": "2029-01-01"}]
    [need] = needed({"condition": "T"}, outages=outages)
    assert need.days == ((741.0, 771.0), (7304.0, INF))


def test_the_season_of_a_condition_counts_in_its_units() -> None:
    conditions = [
        {"condition": "any", "name": "any state"},
        {"condition": "T", "name": "turbine open", "season_from_month": 1.0, "season_to_month": 1.0},
    ]  # fmt: skip
    [need] = needed(ABSENT, conditions=conditions)
    assert need.days == ((-INF, 741.0), (762.0, INF))


def sorted_out(*needs: dict[str, Any], **more: Any) -> tuple[pd.DataFrame, pd.DataFrame]:
    own = station(*needs, **more)
    table = periods(own)
    return split(own, candidates(own, table, spans(own, table)))


def test_a_work_gets_the_longest_piece_that_its_units_leave() -> None:
    """station-2029 runs from day 731 to 1096; T is away to 741 and from 791."""
    rows, _ = sorted_out(ABSENT)
    own = rows[rows["period"] == "station-2029"].iloc[0]
    assert (own["start_days"], own["end_days"]) == (791.0, 1096.0)


def test_nothing_left_is_told_with_the_reason() -> None:
    rows, out = sorted_out({"condition": "T", "units": "U1+U2", "why": "both halls free"})
    assert list(rows["period"]) == ["station-2029"]
    [row] = out.to_dict("records")
    assert row["reason"] == "common system"
    assert row["detail"] == (
        "takes 10 d; its units leave 0 d of 365 d, for "
        "T (turbine open) has to hold in U1 U2, both halls free"
    )


def test_too_little_left_is_told_too() -> None:
    """Both outages two years earlier: 10 days of 2027, the first period on line, are left."""
    soon = OUTAGE | {"freeze_date": "2027-01-02"}
    outages = [
        soon | {"outage": "P1", "unit": "U1", "start_date": "2027-02-01"},
        soon | {"outage": "P2", "unit": "U2", "start_date": "2027-02-21"},
    ]
    rows, out = sorted_out({"condition": "T", "units": "U1+U2"}, days=11.0, outages=outages)
    assert rows.empty
    [row] = out.to_dict("records")
    assert row["reason"] == "common system"
    assert row["detail"].startswith("takes 11 d; its units leave 10 d of 365 d, for T (turbine")


def test_a_need_of_one_action_leaves_the_others_alone() -> None:
    actions = [
        {"family": "CRANE", "action": name, "cost": 3.0, "days": 9.0, "conditions": "any"}
        for name in ("rope", "upgrade")
    ]
    rows, _ = sorted_out({"condition": "T", "action": "upgrade"}, actions=actions)
    assert set(rows["action"]) == {"rope"}


@pytest.mark.parametrize("shift", [0, 1])
def test_several_needs_are_all_kept(shift: int) -> None:
    """T in U1 (741 to 771) and not in U2 (761 to 791): 741 to 761, 20 days."""
    needs = [{"condition": "T", "units": "U1"}, ABSENT | {"units": "U2"}]
    rows, _ = sorted_out(*needs, days=20.0 + shift)
    assert list(rows["period"]) == ([] if shift else ["station-2029"])
