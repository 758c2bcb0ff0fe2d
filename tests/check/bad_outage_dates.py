"""Bad inputs: dates from which can be chosen."""

# ruff: noqa: E501
from tests.check.bad import Bad
from tests.read.pen import Pen


def _too_many(pen: Pen) -> None:
    """Give both outages 71 dates: 71 x 71 = 5,041."""
    days = [f"2028-{month:02}-{day:02}" for month in range(1, 8) for day in range(1, 11)]
    lines = [f"{outage},{day}" for outage in ("P1", "P2") for day in days]
    pen.text("outage_dates.csv", "outage,start_date\n" + "\n".join(lines) + "\n")


def _sliding(pen: Pen, unit: str) -> None:
    pen.cell("outages", 3, "unit", unit)
    pen.cell("outages", 3, "slide_later_days", "30")


BAD_OUTAGE_DATES = [
    Bad(
        "dates_can_be_weighed",
        _too_many,
        "outage_dates.csv: dates and slides leave up to 5,041 choices; 5,000 can be weighed. Give fewer dates, or let fewer outages slide.",
    ),
    Bad(
        "slides_lead_to_sharing",
        lambda pen: _sliding(pen, "U1"),
        "outages.csv row 3, slide_later_days: P2 may slide; an outage slides to share a station-wide one, which its kind never does. Give planned a shared_condition, or no days here.",
    ),
    Bad(
        "slides_lead_to_sharing",
        lambda pen: _sliding(pen, "station"),
        "outages.csv row 3, slide_later_days: P2 may slide; it is a station-wide outage, to which others slide. Give its other dates in outage_dates.csv and no days here.",
    ),
    Bad(
        "conditions_of_dates_hold",
        lambda pen: (
            pen.row("conditions", condition="F", name="fuel on the move"),
            pen.cell("outage_kinds", 3, "barred_condition", "F"),
        ),
        "outage_kinds.csv row 3, barred_condition: F has no window in planned; the days on which it holds are known. Add a row to windows.csv, or leave the cell empty.",
    ),
]
