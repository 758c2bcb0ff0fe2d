"""The station-wide outage of the demo station against costs worked by hand."""

from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

from bundler.case import Case
from bundler.dates.choose import Dates, choose_dates
from bundler.read.folder import read_case
from tests.cases import table

#: free while the core is empty or the unit is drained; barred while it is defuelled
ADDED_WINDOWS = [
    {"kind": "mid_life", "condition": "W", "from_days": 105.0, "to_anchor": "end", "to_days": -260.0},
    {"kind": "mid_life", "condition": "B", "from_days": 14.0, "to_anchor": "start", "to_days": 105.0},
    {"kind": "planned", "condition": "W", "from_days": 9.0, "to_anchor": "end", "to_days": -8.0},
]  # fmt: skip
OTHER_DATES = ["2032-07-15", "2032-11-01", "2033-01-10"]


def _more(old: pd.DataFrame, name: str, rows: list[dict[str, object]]) -> pd.DataFrame:
    """Return a table without its rows on W and B, and with these."""
    kept = old[~old["condition"].isin(["W", "B"])]
    return pd.concat([kept, table(name, rows)], ignore_index=True)


def _cell(old: pd.DataFrame, key: str, name: str, **cells: object) -> pd.DataFrame:
    new = old.copy()
    for column, value in cells.items():
        new.loc[new[key] == name, column] = value
    return new


@pytest.fixture(scope="module")
def drawn(demo_folder: Path) -> Case:
    """Return the demo with the dates of its station-wide outage open, whatever its files say."""
    case = read_case(demo_folder)
    outages, kinds = case["outages"], case["outage_kinds"]
    wide = {"start_date": pd.Timestamp("2033-05-10"), "due_date": pd.Timestamp("2033-06-30")}
    slide = {"slide_earlier_days": 160.0, "slide_later_days": 60.0}
    late = {"start_date": pd.Timestamp("2033-10-02"), "freeze_date": pd.Timestamp("2032-10-01")}
    outages = outages.assign(slide_earlier_days=0.0, slide_later_days=0.0)
    outages = _cell(_cell(outages, "outage", "S1", **wide), "outage", "P4-33", **slide, **late)
    kinds = kinds.assign(shared_condition="", barred_condition="")
    kinds = _cell(kinds, "kind", "planned", shared_condition="W")
    kinds = _cell(kinds, "kind", "mid_life", shared_condition="W", barred_condition="B")
    names = [
        {"condition": "W", "name": "shared work may go on"},
        {"condition": "B", "name": "fuel on the move"},
    ]
    tables = {
        **case.tables,
        "outages": outages,
        "outage_kinds": kinds,
        "windows": _more(case["windows"], "windows", ADDED_WINDOWS),
        "conditions": _more(case["conditions"], "conditions", names),
        "outage_dates": table(
            "outage_dates", [{"outage": "S1", "start_date": day} for day in OTHER_DATES]
        ),
    }
    return replace(case, tables=tables, settings=replace(case.settings, most_units_out_count=2))


@pytest.fixture(scope="module")
def dates(drawn: Case) -> Dates:
    return choose_dates(drawn)


def test_each_choice_costs_what_is_worked_by_hand(dates: Dates) -> None:
    """The unit-days on line at 900, the days that lengthen a mid-life outage at 900 + 1,300.

    S1 takes 30 days of 4 units. 2032-07-15: day 683 of M1, which shares until day 652, Q2, Q3
    and Q4 on line. 2032-11-01: day 61 of M3. 2033-01-10: day 862 of M1 and 131 of M3, which
    shares from day 105. 2033-05-10: day 251 of M3. P4-33 shares from day 9, 2033-05-01 + 9.
    """
    names = ["dates", "is_allowed", "on_line_days", "added_days", "shared_days", "cost"]
    assert list(dates.options[names].itertuples(index=False, name=None)) == [
        ("as drawn", True, 90, 0, 30, 90 * 900),
        ("P4-33 on 2033-05-01", True, 60, 0, 60, 60 * 900),
        ("S1 on 2032-07-15", True, 90, 30, 0, 90 * 900 + 30 * 2200),
        ("S1 on 2032-11-01", False, 60, 60, 0, 60 * 900 + 60 * 2200),
        ("S1 on 2033-01-10", True, 60, 30, 30, 60 * 900 + 30 * 2200),
    ]


def test_costs_are_those_of_the_demo_in_money(dates: Dates) -> None:
    costs = dict(zip(dates.options["dates"], dates.options["cost"], strict=True))
    assert costs["S1 on 2033-01-10"] == 120_000
    assert costs["S1 on 2032-07-15"] == 147_000
    assert costs["as drawn"] == 81_000
    assert costs["P4-33 on 2033-05-01"] == 54_000


def test_defuelling_bars_the_station_wide_outage(dates: Dates) -> None:
    row = dates.options.set_index("dates").loc["S1 on 2032-11-01"]
    assert row["why_not"] == "S1 falls for 30 days into B (fuel on the move) of M3"


def test_present_value_is_at_the_middle_of_the_outage(dates: Dates) -> None:
    """54,000 on 2033-05-25, 2,336 days after 2027-01-01, at 6 %."""
    assert dates.pv_cost == pytest.approx(54_000 * 1.06 ** (-2336 / 365.25), rel=1e-12)
    [chosen] = dates.options.loc[dates.options["is_chosen"], "pv_cost"]
    assert chosen == dates.pv_cost


def test_the_slide_moves_start_and_freeze_alike(dates: Dates, drawn: Case) -> None:
    new = dates.case["outages"].set_index("outage")
    old = drawn["outages"].set_index("outage")
    assert str(new.at["P4-33", "start_date"].date()) == "2033-05-01"
    assert str(new.at["P4-33", "freeze_date"].date()) == "2032-04-30"
    others = [name for name in old.index if name != "P4-33"]
    columns = ["start_date", "freeze_date", "days", "due_date", "series", "file_row"]
    pd.testing.assert_frame_equal(new.loc[others, columns], old.loc[others, columns])
    assert new.dtypes.equals(old.dtypes)


def test_dates_chosen_are_final(dates: Dates) -> None:
    again = choose_dates(dates.case)
    assert again.case is dates.case
    assert again.pv_cost == dates.pv_cost
    assert list(again.options["dates"]) == ["as drawn"]


def test_a_shorter_reach_leaves_the_slide_out(drawn: Case) -> None:
    """From 2033-10-02 the start on 2033-05-01 is 154 days away, so 153 do not reach it."""
    for reach, count in ((154.0, 5), (153.0, 4)):
        outages = _cell(drawn["outages"], "outage", "P4-33", slide_earlier_days=reach)
        found = choose_dates(replace(drawn, tables={**drawn.tables, "outages": outages}))
        assert len(found.options) == count
        assert found.options.loc[found.options["is_chosen"], "cost"].item() == (
            54_000 if reach == 154 else 81_000
        )


def test_sharing_only_in_the_major_work_costs_nineteen_days_more(drawn: Case) -> None:
    """On 2033-01-10, day 131 of M3, until day 150: 19 days x 2,200 beside the 120,000."""
    windows = drawn["windows"].copy()
    is_mid = (windows["kind"] == "mid_life") & (windows["condition"] == "W")
    windows.loc[is_mid, "from_days"] = 150.0
    found = choose_dates(replace(drawn, tables={**drawn.tables, "windows": windows}))
    row = found.options.set_index("dates").loc["S1 on 2033-01-10"]
    assert (row["added_days"], row["shared_days"], row["cost"]) == (49, 11, 120_000 + 19 * 2200)
