"""Bad inputs: indicators and their readings."""

# ruff: noqa: E501
from tests.check.bad import Bad
from tests.read.pen import Pen

#: what each model needs in its indicator
NEEDED = {
    "wall": {"new_value": "12.7", "limit_value": "5", "error_value": "0.2"},
    "wiener": {"new_value": "0", "limit_value": "7"},
    "gamma": {"new_value": "0", "limit_value": "7"},
    "tubes": {"new_value": "0", "limit_value": "0.15", "tubes_count": "1000"},
    "insulation": {"reference_celsius": "98"},
    "arrhenius": {"reference_celsius": "105", "activation_ev": "1"},
    "grade": {"new_value": "1", "limit_value": "5"},
}


def indicator(pen: Pen, model: str, **values: str) -> None:
    """Add an indicator of the pumps, but for these cells."""
    plain = {"indicator": "sign", "family": "PUMP", "name": "a sign", "model": model}
    pen.row("indicators", **(plain | NEEDED[model] | values))


def read(pen: Pen, component: str, *years_values: str, **values: str) -> None:
    """Add readings of the indicator, each written as date and value."""
    for text in years_values:
        day, value = text.split()
        pen.row(
            "readings", component=component, indicator="sign", reading_date=day,
            reading_value=value, **values,
        )  # fmt: skip


def profile(pen: Pen, *shares: str) -> None:
    """Add a load profile with these shares of the time."""
    for number, share in enumerate(shares, start=1):
        read(pen, "PUMP-A", "2020-01-01 100", step_count=str(number), time_share=share)


BAD_READINGS = [
    Bad(
        "indicators_complete",
        lambda pen: indicator(pen, "wall", limit_value=""),
        "indicators.csv row 2, limit_value: the cell is empty; model wall needs it. Fill it, or choose another model.",
    ),
    Bad(
        "indicators_complete",
        lambda pen: indicator(pen, "tubes", tubes_count=""),
        "indicators.csv row 2, tubes_count: the cell is empty; model tubes needs it. Fill it, or choose another model.",
    ),
    Bad(
        "indicators_complete",
        lambda pen: indicator(pen, "arrhenius", reference_celsius="", activation_ev=""),
        "indicators.csv row 2, activation_ev: the cell is empty; model arrhenius needs it. Fill it, or choose another model.",
        "indicators.csv row 2, reference_celsius: the cell is empty; model arrhenius needs it. Fill it, or choose another model.",
    ),
    Bad(
        "limits_differ",
        lambda pen: indicator(pen, "gamma", limit_value="0"),
        "indicators.csv row 2, limit_value: new_value is 0 as well; a reading goes from new_value to another value, the limit. Correct one of the two.",
    ),
    Bad(
        "tube_limits",
        lambda pen: indicator(pen, "tubes", limit_value="15"),
        "indicators.csv row 2, limit_value: 15 is given for model tubes; it is the share of tubes that may be plugged, between 0 and 1. Write 15 % as 0.15.",
    ),
    Bad(
        "tubes_on_weibull",
        lambda pen: (pen.cell("families", 2, "curve", "lognormal"), indicator(pen, "tubes")),
        "indicators.csv row 2, family: PUMP has curve lognormal; model tubes takes the shape of a weibull or exponential family. Choose another curve for PUMP, or another model.",
    ),
    Bad(
        "grade_scales",
        lambda pen: indicator(pen, "grade", new_value="5", limit_value="1"),
        "indicators.csv row 2, new_value: 5 is given for model grade; the best grade is 1. Count the grades from 1, the best, in the readings too.",
    ),
    Bad(
        "grade_scales",
        lambda pen: indicator(pen, "grade", limit_value="4.5"),
        "indicators.csv row 2, limit_value: 4.5 is given for model grade; a whole grade from 2 to 20 is allowed. Give the grade that counts as failed.",
    ),
    Bad(
        "rates_have_spread",
        lambda pen: indicator(pen, "wall", rate_value_per_year="0.3"),
        "indicators.csv row 2, rate_sd_value_per_year: the cell is empty; a wear of 0.3 has a standard deviation above 0. Fill it, or empty rate_value_per_year.",
    ),
    Bad(
        "rates_have_spread",
        lambda pen: indicator(pen, "wall", rate_sd_value_per_year="0.1"),
        "indicators.csv row 2, rate_value_per_year: the cell is empty; a standard deviation of 0.1 needs its rate. Fill it, or empty rate_sd_value_per_year.",
    ),
    Bad(
        "rates_have_spread",
        lambda pen: indicator(pen, "wall", rate_value_per_year="0.3", rate_sd_value_per_year="0"),
        "indicators.csv row 2, rate_sd_value_per_year: it is 0; a wear of 0.3 has a standard deviation above 0. Fill it, or empty rate_value_per_year.",
    ),
    Bad(
        "readings_of_family",
        lambda pen: (indicator(pen, "insulation"), read(pen, "VALVE-1", "2020-01-01 90")),
        "readings.csv row 2, indicator: VALVE-1 belongs to family VALVE; sign is read on family PUMP. Correct the component or the indicator.",
    ),
    Bad(
        "readings_by_planning",
        lambda pen: (indicator(pen, "insulation"), read(pen, "PUMP-A", "2027-01-02 90")),
        "readings.csv row 2, reading_date: PUMP-A was read on 2027-01-02; the planning date 2027-01-01 or an earlier day is allowed. Correct the date, or leave the reading out.",
    ),
    Bad(
        "grades_in_scale",
        lambda pen: (indicator(pen, "grade"), read(pen, "PUMP-A", "2012-01-01 0", "2020-01-01 6")),
        "readings.csv row 2, reading_value: 0 is no grade of sign; whole grades from 1 to 5 are allowed. Correct the grade.",
        "readings.csv row 3, reading_value: 6 is no grade of sign; whole grades from 1 to 5 are allowed. Correct the grade.",
    ),
    Bad(
        "grades_in_scale",
        lambda pen: (indicator(pen, "grade"), read(pen, "PUMP-A", "2020-01-01 2.5")),
        "readings.csv row 2, reading_value: 2.5 is no grade of sign; whole grades from 1 to 5 are allowed. Correct the grade.",
    ),
    Bad(
        "grades_get_no_better",
        lambda pen: (
            indicator(pen, "grade"),
            read(pen, "PUMP-A", "2010-01-01 3", "2015-01-01 2", "2020-01-01 3"),
            read(pen, "PUMP-B", "2012-01-01 4", "2020-01-01 1"),  # renewed between
        ),
        "readings.csv row 3, reading_value: PUMP-A goes from grade 3 on 2010-01-01 to 2; a grade does not get better by itself. Correct it, give the renewal in components.csv, or take out the grades before it.",
    ),
    Bad(
        "tube_shares",
        lambda pen: (indicator(pen, "tubes"), read(pen, "PUMP-A", "2020-01-01 11")),
        "readings.csv row 2, reading_value: 11 is given for sign; it is the share of tubes plugged, between 0 and 1. Write 11 % as 0.11.",
    ),
    Bad(
        "profiles_whole",
        lambda pen: (indicator(pen, "insulation"), profile(pen, "0.5", "0.4")),
        "readings.csv row 2, time_share: the shares of PUMP-A on 2020-01-01 sum to 0.9; the steps of a load profile sum to 1. Correct the shares, or add the steps that are missing.",
    ),
    Bad(
        "profiles_whole",
        lambda pen: (
            indicator(pen, "arrhenius"),
            read(pen, "PUMP-A", "2020-01-01 100", "2021-01-01 90", time_share="0.98"),
        ),
        "readings.csv row 2, time_share: the shares of PUMP-A on 2020-01-01 sum to 0.98; the steps of a load profile sum to 1. Correct the shares, or add the steps that are missing.",
        "readings.csv row 3, time_share: the shares of PUMP-A on 2021-01-01 sum to 0.98; the steps of a load profile sum to 1. Correct the shares, or add the steps that are missing.",
    ),
]
