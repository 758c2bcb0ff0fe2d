from datetime import date

import pytest

from bundler.judge.dates import day_after_months, ends_of, periods_of
from tests.judge.small import END, O1, O2, added, edited, outage, small


def test_months_keep_the_day_or_take_the_last_of_the_month() -> None:
    assert day_after_months(date(2027, 1, 31), 1) == 28
    assert day_after_months(date(2027, 1, 1), 15) == 456
    assert day_after_months(date(2027, 1, 1), 0.5) == pytest.approx(365.25 / 24)


def test_outages_lie_in_the_life_of_their_unit() -> None:
    units = edited("units", 1, end_date="2033-02-09")
    late = [outage("O0", "U1", "2026-12-31", 9.0), outage("O3", "U2", "2033-01-02", 40.0)]
    case = small(units=units, outages=added("outages", *late))
    periods = periods_of(case, ends_of(case))
    outages = {name: period for name, period in periods.items() if period.is_outage}
    assert set(outages) == {"O1"}
    assert (outages["O1"].start, outages["O1"].effect) == (O1, O1 + 40)
    assert ends_of(case) == {"station": END, "U1": END, "U2": O2 + 39}


def test_time_on_line_is_cut_at_new_year_and_at_outages() -> None:
    more = [
        outage("O3", "U1", "2031-06-01", 40.0),
        outage("O4", "U1", "2031-08-05", 40.0),
        outage("S1", "station", "2035-05-01", 30.0),
    ]
    case = small(outages=added("outages", *more))
    periods = periods_of(case, ends_of(case))
    assert periods["U1-2029"].start == O1 + 40
    assert periods["U1-2031"].end == periods["O3"].start
    assert periods["U1-2031-2"].start == periods["O4"].end
    assert "U1-2031-3" not in periods
    assert periods["U1-2035"].end == periods["S1"].start
    assert periods["U1-2035-2"].start == periods["S1"].end
    assert periods["station-2035-2"].start == periods["S1"].end
    assert periods["U1-2027"].effect == 182.5
    assert periods["U1-2046"].end == END
