"""Bad inputs: records of lives, and families whose life they bring up to date."""

# ruff: noqa: E501
from tests.check.bad import Bad
from tests.read.pen import Pen


def life(pen: Pen, **values: str) -> None:
    """Add a life of a pump that failed after ten years, but for these cells."""
    plain = {"life": "L1", "family": "PUMP", "unit": "U1", "start_date": "2007-01-01"}
    pen.row("lives", **(plain | {"failed_date": "2017-01-01"} | values))


def recorded(pen: Pen, **values: str) -> None:
    """Let the pumps' life come from records, with these cells of their family."""
    pen.cell("families", 2, "life_from", "records")
    for column, value in values.items():
        pen.cell("families", 2, column, value)


BAD_LIVES = [
    Bad(
        "lives_of_units",
        lambda pen: life(pen, unit="U9"),
        'lives.csv row 2, unit: "U9" is not known; units of units.csv, "station" and "other" are allowed. Correct it; other is another station.',
    ),
    Bad(
        "lives_of_units",
        lambda pen: life(pen, unit="others"),
        'lives.csv row 2, unit: "others" is not known; units of units.csv, "station" and "other" are allowed. Did you mean "other"? Correct it; other is another station.',
    ),
    Bad(
        "lives_of_family",
        lambda pen: life(pen, component="VALVE-1"),
        "lives.csv row 2, component: VALVE-1 belongs to family VALVE; the life is of PUMP. Correct one of the two.",
    ),
    Bad(
        "lives_have_end",
        lambda pen: life(pen, failed_date=""),
        "lives.csv row 2, last_good_date: L1 has neither last_good_date nor failed_date; a life has the last day it was known to be good, the day it failed, or both. Give one of them; what still runs was good on the day of the record.",
    ),
    Bad(
        "lives_in_order",
        lambda pen: life(pen, watched_from_date="2006-12-31"),
        "lives.csv row 2, watched_from_date: L1 is watched from 2006-12-31; it cannot be before its start_date 2007-01-01. Correct one of the two dates.",
    ),
    Bad(
        "lives_in_order",
        lambda pen: life(
            pen, watched_from_date="2012-01-01", last_good_date="2011-12-31", failed_date=""
        ),
        "lives.csv row 2, last_good_date: L1 was last good on 2011-12-31; it cannot be before its watched_from_date 2012-01-01. Correct one of the two dates.",
    ),
    Bad(
        "lives_in_order",
        lambda pen: life(pen, last_good_date="2017-01-02"),
        "lives.csv row 2, failed_date: L1 failed on 2017-01-01; it cannot be before its last_good_date 2017-01-02. Correct one of the two dates.",
    ),
    Bad(
        "lives_in_order",
        lambda pen: life(pen, start_date="2017-01-02"),
        "lives.csv row 2, failed_date: L1 failed on 2017-01-01; it cannot be before its start_date 2017-01-02. Correct one of the two dates.",
    ),
    Bad(
        "failures_after_watch",
        lambda pen: life(pen, failed_date="2007-01-01"),
        "lives.csv row 2, failed_date: L1 failed on 2007-01-01, its start_date; a failure lies at least a day later. Correct one of the two dates.",
    ),
    Bad(
        "failures_after_watch",
        lambda pen: life(pen, watched_from_date="2017-01-01"),
        "lives.csv row 2, failed_date: L1 failed on 2017-01-01, its watched_from_date; a failure lies at least a day later. Correct one of the two dates.",
    ),
    Bad(
        "lives_by_planning",
        lambda pen: life(pen, failed_date="2027-01-02"),
        "lives.csv row 2, failed_date: L1 failed on 2027-01-02; the planning date 2027-01-01 or an earlier day is allowed. Correct the date, or leave the record out.",
    ),
    Bad(
        "lives_by_planning",
        lambda pen: life(pen, failed_date="", last_good_date="2027-06-01"),
        "lives.csv row 2, last_good_date: L1 was last good on 2027-06-01; the planning date 2027-01-01 or an earlier day is allowed. Correct the date, or leave the record out.",
    ),
    Bad(
        "records_can_move",
        lambda pen: (
            life(pen),
            recorded(pen, curve="stepped", steps="net"),
            pen.row("curve_steps", steps="net", from_age_years="0", failure_rate_per_year="0.1"),
        ),
        "families.csv row 2, life_from: PUMP has curve stepped; records move the curves exponential, weibull, lognormal, gamma. Choose one of them, or set life_from to given.",
    ),
    Bad(
        "records_can_move",
        lambda pen: (life(pen), recorded(pen, guarantee_years="5")),
        "families.csv row 2, guarantee_years: PUMP has no failure before 5 years; records move curves that have no such guarantee. Empty the cell, or set life_from to given.",
    ),
    Bad(
        "records_are_there",
        recorded,
        "families.csv row 2, life_from: lives.csv has no record of PUMP; a life from records needs at least one. Add its records to lives.csv, or set life_from to given.",
    ),
]
