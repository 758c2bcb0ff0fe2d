"""The choice of dates: rules by hand, and against a count of every day of every choice."""

import random
from dataclasses import replace
from datetime import date, timedelta
from itertools import product

import pandas as pd
import pytest

from bundler.case import Case
from bundler.dates.choose import choose_dates
from bundler.errors import NoPlanError
from tests.dates.station import outage, station

PLANNING = date(2027, 1, 1)
WIDE = outage("S", "station", "2028-05-01", 20)
OWN = outage("P1", "U1", "2028-03-01", 60)


def told(case: Case) -> str:
    with pytest.raises(NoPlanError) as fault:
        choose_dates(case)
    return str(fault.value)


def test_without_station_wide_outage_nothing_costs_and_nothing_changes() -> None:
    case = station([OWN])
    dates = choose_dates(case)
    assert dates.case is case
    assert dates.pv_cost == 0.0
    assert list(dates.options["dates"]) == ["as drawn"]


def test_station_without_outages_has_one_choice() -> None:
    assert len(choose_dates(station([])).options) == 1


def test_drawn_dates_stay_where_others_cost_as_much() -> None:
    dates = choose_dates(station([OWN], [("P1", "2028-02-01"), ("P1", "2028-06-01")]))
    assert list(dates.options["is_chosen"]) == [True, False, False]


def test_the_earlier_of_two_dates_is_taken_where_the_drawn_one_may_not_be() -> None:
    late = outage("P1", "U1", "2028-03-01", 60, due_date="2028-04-20")
    dates = choose_dates(station([late], [("P1", "2028-02-10"), ("P1", "2028-01-20")]))
    assert dates.options["why_not"].iloc[0] == (
        "P1 ends on 2028-04-30, 10 days after its due date 2028-04-20"
    )
    assert dates.options.loc[dates.options["is_chosen"], "dates"].item() == "P1 on 2028-01-20"


def test_ending_on_the_due_date_is_in_time() -> None:
    choose_dates(station([outage("P1", "U1", "2028-03-01", 60, due_date="2028-04-30")]))
    assert told(station([outage("P1", "U1", "2028-03-01", 60, due_date="2028-04-29")])) == (
        "The outage dates are not allowed: as drawn (P1 ends on 2028-04-30, 1 day after its due "
        "date 2028-04-29). Give other dates in outages.csv or outage_dates.csv."
    )


def test_a_date_before_the_planning_date_or_past_the_last_day_is_not_taken() -> None:
    late = outage("P1", "U1", "2028-03-01", 60, due_date="2028-04-20")
    assert told(station([late], [("P1", "2026-12-30"), ("P1", "2046-12-01")])) == (
        "None of 3 choices of outage dates is allowed, the nearest being: P1 on 2026-12-30 (P1 "
        "starts on 2026-12-30, 2 days before the planning date); as drawn (P1 ends on 2028-04-30, "
        "10 days after its due date 2028-04-20); P1 on 2046-12-01 (P1 ends on 2047-01-30, 6,859 "
        "days after its due date 2028-04-20; P1 ends on 2047-01-30, 30 days after the last day of "
        "U1). Give other dates in outages.csv or outage_dates.csv."
    )


def test_outages_of_one_unit_may_not_overlap() -> None:
    second = outage("P2", "U1", "2028-06-01", 30)
    dates = choose_dates(station([OWN, second], [("P2", "2028-04-20")]))
    assert dates.options["why_not"].iloc[1] == "P1 and P2 of U1 overlap by 10 days"


def test_more_units_out_than_allowed_is_told_with_its_days() -> None:
    others = [outage("P2", "U2", "2028-04-01", 60), outage("P3", "U3", "2028-04-20", 5)]
    assert "P1, P2 and P3 put more than 2 units out at once for 5 days from 2028-04-20" in told(
        station([OWN, *others], most_units_out_count=2)
    )
    choose_dates(station([OWN, *others], most_units_out_count=3))


def test_an_outage_after_another_may_start_on_the_day_of_its_return() -> None:
    after = outage("P2", "U2", "2028-04-30", 60)
    choose_dates(station([OWN, after], most_units_out_count=1))
    before = outage("P2", "U2", "2028-04-29", 60)
    assert "more than 1 unit out at once for 1 day from 2028-04-29" in told(
        station([OWN, before], most_units_out_count=1)
    )


def test_station_wide_outages_do_not_count_as_units_out() -> None:
    wide = outage("S", "station", "2028-03-15", 20)
    choose_dates(station([OWN, wide], most_units_out_count=1))


def test_a_slide_leads_to_the_nearest_day_that_shares_all() -> None:
    """20 days from 2028-05-01 lie in days 10 to 50 of 60 from 2028-04-01 to 2028-04-21."""
    own = OWN | {"slide_earlier_days": 100.0, "slide_later_days": 100.0}
    dates = choose_dates(station([own, WIDE]))
    assert list(dates.options["dates"]) == ["as drawn", "P1 on 2028-04-01"]
    assert list(dates.options["cost"]) == [20 * 700, 20 * 600]
    from_later = own | {"start_date": "2028-05-01"}
    dates = choose_dates(station([from_later, WIDE]))
    assert list(dates.options["dates"]) == ["as drawn", "P1 on 2028-04-21"]


def test_a_slide_leads_nowhere_where_the_season_never_holds() -> None:
    own = OWN | {"slide_later_days": 100.0}
    for months, count in (((9, 12), 1), ((4, 5), 2)):
        base = station([own, WIDE])
        season = dict(zip(("season_from_month", "season_to_month"), months, strict=True))
        tables = {**base.tables, "conditions": base["conditions"].assign(**season)}
        assert len(choose_dates(replace(base, tables=tables)).options) == count


def test_row_of_windows_for_one_outage_counts_at_all_its_dates() -> None:
    """Shared from day 30 on instead of day 10, so it slides to 2028-04-01 and not 2028-04-21."""
    own = outage("P1", "U1", "2028-06-01", 90, slide_earlier_days=100.0)
    base = station([own, WIDE])
    assert list(choose_dates(base).options["dates"]) == ["as drawn", "P1 on 2028-04-21"]
    windows = base["windows"]
    row = windows[windows["condition"] == "W"].assign(outage="P1", from_days=30.0)
    tables = {**base.tables, "windows": pd.concat([windows, row], ignore_index=True)}
    dates = choose_dates(replace(base, tables=tables))
    assert list(dates.options["dates"]) == ["as drawn", "P1 on 2028-04-01"]


def test_a_slide_counts_only_beside_the_date_that_it_shares() -> None:
    own = OWN | {"slide_earlier_days": 100.0, "slide_later_days": 100.0}
    dates = choose_dates(station([own, WIDE], [("S", "2028-03-05")]))
    assert list(dates.options["dates"]) == [
        "as drawn",
        "P1 on 2028-04-01",
        "S on 2028-03-05",
        "P1 on 2028-02-24, S on 2028-03-05",
    ]


def test_a_unit_past_its_last_day_loses_nothing() -> None:
    base = station([WIDE])
    ends = pd.Series([pd.Timestamp("2028-05-11"), pd.NaT, pd.NaT], dtype="datetime64[s]")
    tables = {**base.tables, "units": base["units"].assign(end_date=ends)}
    assert choose_dates(replace(base, tables=tables)).options["cost"].item() == 10 * 100 + 20 * 600


def _counted(case: Case, days: dict[str, int]) -> tuple[bool, float]:
    """Return whether the starts are allowed and what they cost, day by day."""
    values = dict(zip(case["units"]["unit"], case["units"]["day_value_cost_per_day"], strict=True))
    outages = [
        (row.outage, row.unit, days[row.outage], int(row.days), row.due_date)
        for row in case["outages"].itertuples()
    ]
    wide = {
        start + n
        for _, unit, start, length, _ in outages
        for n in range(length)
        if unit == "station"
    }
    allowed, cost = True, 0.0
    for _, _, start, length, due in outages:
        allowed &= start >= 0 and not PLANNING + timedelta(start + length) > due.date()
    for day in range(900):
        out = [
            (unit, day - start, length)
            for _, unit, start, length, _ in outages
            if start <= day < start + length
        ]
        units = [unit for unit, _, _ in out if unit != "station"]
        allowed &= len(units) == len(set(units)) <= case.settings.most_units_out_count
        if day not in wide:
            continue
        allowed &= not any(n < 5 for unit, n, _ in out if unit != "station")
        for unit, value in values.items():
            own = [(n, length) for other, n, length in out if other == unit]
            if not own:
                cost += value
            elif any(not 10 <= n < length - 10 for n, length in own):
                cost += value + 50
    return allowed, cost


@pytest.mark.parametrize("seed", range(60))
def test_choice_is_the_best_of_all_counted_day_by_day(seed: int) -> None:
    draw = random.Random(seed)

    def day() -> int:
        return draw.randrange(100, 260)

    starts = {
        name: [day() for _ in range(draw.randrange(1, 4))] for name in ("A", "B", "C", "D", "S")
    }
    units = {"A": "U1", "B": "U1", "C": "U2", "D": "U3", "S": "station"}
    lengths = {name: draw.choice([25, 40, 70]) for name in "ABCD"} | {"S": draw.choice([5, 20])}
    outages = [
        outage(name, units[name], str(PLANNING + timedelta(own[0])), float(lengths[name]),
               freeze_date="2027-01-01", due_date=str(PLANNING + timedelta(320)))
        for name, own in starts.items()
    ]  # fmt: skip
    more = [
        (name, str(PLANNING + timedelta(one))) for name, own in starts.items() for one in own[1:]
    ]
    case = station(outages, more, most_units_out_count=draw.choice([1, 2, 3]))
    every = [dict(zip(starts, one, strict=True)) for one in product(*starts.values())]
    costs = [cost for allowed, cost in (_counted(case, one) for one in every) if allowed]
    if costs:
        assert choose_dates(case).pv_cost == pytest.approx(min(costs), abs=1e-9)
    else:
        told(case)
