"""The judge on the dates of outages and on what station-wide outages lose."""

import pandas as pd
import pytest

from bundler.calendar import most_extension
from bundler.case import Case
from bundler.dates.choose import choose_dates
from bundler.judge import PlanFacts, judge
from bundler.judge.outage_dates import check_outage_dates, dates_pv
from bundler.judge.reading import read_plan
from tests.dates.station import outage, station

P1 = outage("P1", "U1", "2028-03-01", 60)
DATES = {"due_date", "outages_apart", "barred", "units_out"}


def facts(**extension_days: float) -> PlanFacts:
    works = pd.DataFrame(columns=["component", "action", "period"])
    access = pd.DataFrame(columns=["access_set", "unit", "train", "period"])
    return PlanFacts(works, access, extension_days, {}, {})


def breaches(case: Case, **extension_days: float) -> list[tuple[str, str, float]]:
    """Return rule, place and days of each breach, after the judge as a whole names the same."""
    plan = facts(**extension_days)
    found = list(check_outage_dates(read_plan(case, plan)))
    assert [one for one in judge(case, plan) if one.rule in DATES] == found
    return [(one.rule, one.place, one.amount) for one in found]


def test_days_added_past_the_due_date_are_named() -> None:
    case = station([outage("P1", "U1", "2028-03-01", 60, due_date="2028-05-02")])
    assert breaches(case, P1=2.0) == []
    assert breaches(case, P1=3.5) == [("due_date", "P1", 1.5)]


def test_days_added_into_the_next_outage_of_the_unit_are_named() -> None:
    case = station([P1, outage("P2", "U1", "2028-05-05", 30)])
    assert breaches(case, P1=5.0) == []
    assert breaches(case, P1=7.0) == [("outages_apart", "P1 P2", 2.0)]


def test_days_added_while_enough_units_are_out_are_named() -> None:
    others = [outage("P2", "U2", "2028-04-01", 90), outage("P3", "U3", "2028-05-05", 30)]
    case = station([P1, *others], most_units_out_count=2)
    assert breaches(case, P1=5.0) == []
    assert breaches(case, P1=7.0) == [("units_out", "P1 P2 P3", 2.0)]
    assert breaches(station([P1, *others], most_units_out_count=3), P1=7.0) == []


def test_station_wide_outage_on_barred_days_is_named() -> None:
    """Days 0 to 5 of P1 are barred, from 2028-03-01 to 2028-03-06."""
    case = station([P1, outage("S", "station", "2028-02-10", 20)])
    assert breaches(case) == []
    assert breaches(case, S=3.0) == [("barred", "S P1", 3.0)]
    assert breaches(station([P1, outage("S", "station", "2028-03-04", 20)])) == [
        ("barred", "S P1", 2)
    ]


@pytest.mark.parametrize(
    ("start_date", "cost"),
    [
        ("2027-08-01", 20 * 700),  # all on line
        ("2028-03-16", 20 * 600),  # in days 15 to 35 of P1, wholly shared
        ("2028-03-06", 5 * 150 + 20 * 600),  # in days 5 to 25, shared from day 10
        ("2028-04-16", 4 * 0 + 10 * 150 + 6 * 100 + 20 * 600),  # days 46 to 50, 50 to 60, after
    ],
)
def test_loss_of_a_station_wide_outage_by_hand(start_date: str, cost: float) -> None:
    """Units of 100, 200 and 400 a day, 50 more for a day that lengthens P1, at 5 % a year."""
    case = station([P1, outage("S", "station", start_date, 20)], discount_share_per_year=0.05)
    middle = (pd.Timestamp(start_date) - pd.Timestamp("2027-01-01")).days + 10
    expected = cost / 1.05 ** (middle / 365.25)
    assert dates_pv(read_plan(case, facts())) == pytest.approx(expected, rel=1e-12)
    assert choose_dates(case).pv_cost == pytest.approx(expected, rel=1e-12)


def test_longest_extensions_together_break_nothing_and_one_day_more_does() -> None:
    """P1 may grow to 2028-05-05, where P2 is out until 06-01 and with its 30 days until 07-01.

    P3 starts on 05-05. P1 and P2 out, one more would be a third: P1 may grow by 5 days. P2 meets
    P3 and no other, so it keeps its 30. P3 ends on 06-04; the next outage of U3 starts on 06-10.
    """
    case = station(
        [
            P1,
            outage("P2", "U2", "2028-04-01", 61),
            outage("P3", "U3", "2028-05-05", 30),
            outage("P4", "U3", "2028-06-10", 10, due_date="2028-06-24"),
            outage("S", "station", "2028-08-01", 10),
            outage("P5", "U1", "2028-08-15", 30),
        ],
        most_units_out_count=2,
    )
    most = most_extension(case)
    assert most == {"P1": 5.0, "P2": 30.0, "P3": 6.0, "P4": 4.0, "P5": 30.0, "S": 4.0}
    assert breaches(case, **most) == []
    for name in ("P1", "P3", "P4", "S"):
        assert breaches(case, **most | {name: most[name] + 1})


def test_two_outages_that_could_share_the_room_are_both_cut() -> None:
    """One unit is out beside P1 and P2, which end together; P3 and P1 or P2 would be three."""
    own = [P1, outage("P2", "U2", "2028-03-01", 60), outage("P3", "U3", "2028-05-10", 30)]
    case = station(own, most_units_out_count=2)
    assert most_extension(case) == {"P1": 10.0, "P2": 10.0, "P3": 30.0}
    assert breaches(case, P1=30.0) == []
    assert breaches(case, P1=30.0, P2=30.0) == [("units_out", "P1 P2 P3", 20.0)]


def test_extension_of_the_kind_stays_where_no_rule_meets_it() -> None:
    case = station([P1, outage("P2", "U2", "2028-04-01", 90)])
    assert most_extension(case) == {"P1": 30.0, "P2": 30.0}


def test_judge_takes_the_dates_that_were_chosen() -> None:
    case = station(
        [P1 | {"slide_later_days": 90.0}, outage("S", "station", "2028-05-01", 20)],
        [("S", "2028-03-02")],
        discount_share_per_year=0.05,
    )
    dates = choose_dates(case)
    assert dates.options.loc[dates.options["is_chosen"], "dates"].item() == "P1 on 2028-04-01"
    assert breaches(dates.case) == []
    assert dates_pv(read_plan(dates.case, facts())) == pytest.approx(dates.pv_cost, rel=1e-12)
