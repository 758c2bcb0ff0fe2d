"""Bad inputs: dates that cannot follow each other."""

# ruff: noqa: E501
from tests.check.bad import Bad

BAD_DATES = [
    Bad(
        "horizon_after_planning",
        lambda pen: (pen.setting("horizon_end_date", "2026-12-31"), pen.path("budgets").unlink()),
        "station.yaml, horizon_end_date: the plan ends on 2026-12-31; it ends after the planning date 2027-01-01. Correct one of the two dates.",
        "note: outages.csv row 2, start_date: P1 ends after 2026-12-31, the last day of U1; the plan leaves it out. Take it out, or move the end of the plan.",
        "note: outages.csv row 3, start_date: P2 ends after 2026-12-31, the last day of U1; the plan leaves it out. Take it out, or move the end of the plan.",
    ),
    Bad(
        "price_year_past",
        lambda pen: pen.setting("price_year", "2028"),
        "station.yaml, price_year: 2028 is after the year of the planning date; 2027 or an earlier year is allowed. Give the year in whose prices the costs are written.",
    ),
    Bad(
        "units_in_time",
        lambda pen: pen.cell("units", 2, "first_sync_date", "2028-01-01"),
        "units.csv row 2, first_sync_date: U1 starts on 2028-01-01; a unit in the plan runs by the planning date 2027-01-01. Correct the date, or take the unit out.",
    ),
    Bad(
        "units_in_time",
        lambda pen: pen.cell("units", 2, "end_date", "2026-01-01"),
        "units.csv row 2, end_date: U1 ends on 2026-01-01; a unit in the plan ends after the planning date 2027-01-01. Correct the date, or take the unit out.",
        "note: outages.csv row 2, start_date: P1 ends after 2026-01-01, the last day of U1; the plan leaves it out. Take it out, or move the end of the plan.",
        "note: outages.csv row 3, start_date: P2 ends after 2026-01-01, the last day of U1; the plan leaves it out. Take it out, or move the end of the plan.",
    ),
    Bad(
        "renewals_past",
        lambda pen: pen.cell("components", 3, "renewed_date", "2051-01-01"),
        "components.csv row 3, renewed_date: PUMP-B was renewed on 2051-01-01; the planning date 2027-01-01 or an earlier day is allowed. Correct the date; work that is decided for later goes to pins.csv.",
    ),
    Bad(
        "ages_below_limit",
        lambda pen: pen.cell("families", 2, "age_limit_years", "15"),
        "components.csv row 2, renewed_date: PUMP-A is 20.0 years old at the planning date; family PUMP is qualified for 15 years. Correct the date, or settle first how it may stay in service.",
    ),
    Bad(
        "mandates_ahead",
        lambda pen: pen.row(
            "mandates", component="VALVE-1", due_date="2026-06-30", grace_days="90"
        ),
        "mandates.csv row 2, due_date: VALVE-1 was due on 2026-06-30; with 90 days of grace it has to be due on or after the planning date 2027-01-01. Give the next due date, or settle the overdue work first.",
    ),
]
