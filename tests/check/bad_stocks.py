"""Bad inputs: stocks that do not fit what takes from them."""

# ruff: noqa: E501
from typing import Any

from tests.check.bad import Bad
from tests.read.pen import Pen


def _stock(pen: Pen, **cells: str) -> None:
    plain: dict[str, Any] = {"stock": "spare", "name": "spare pump", "family": "PUMP", "spares_count": "1"}  # fmt: skip
    pen.row("stocks", **(plain | cells))


def _unused_family(pen: Pen) -> None:
    pen.row("families", family="FAN", name="fan", area="TB", life_years="30", shape_ratio="3")
    pen.row("actions", family="FAN", action="replace", cost="9", days="2", conditions="D")
    _stock(pen, family="FAN")


BAD_STOCKS = [
    Bad(
        "stocks_of_components",
        _unused_family,
        "stocks.csv row 2, family: FAN has no component; a stock is for components there are. Correct the family, or take the stock out.",
        "note: actions.csv row 5, action: FAN replace has no hours; work without crews is rare. Add its trades to action_hours.csv.",
        "note: families.csv row 4, family: no component belongs to family FAN; it has no part in the plan. Check the family of its components.",
    ),
    Bad(
        "stocks_days",
        lambda pen: _stock(pen, without_days="9.5"),
        "stocks.csv row 2, without_days: 9.5 days are lost without an item; a failure of PUMP loses 10 (forced_days) with one. Correct one of the two.",
    ),
    Bad(
        "stocks_days",
        lambda pen: (
            pen.cell("components", 2, "forced_days", "50"),
            _stock(pen, without_days="40"),
        ),
        "stocks.csv row 2, without_days: 40 days are lost without an item; a failure of PUMP loses 50 (forced_days) with one. Correct one of the two.",
    ),
    Bad(
        "stocks_used_up",
        lambda pen: _stock(pen, use_count_per_year="1.7", out_days="25", without_days="30"),
        "stocks.csv row 2, out_failures_per_year: it is 0, and 1.7 items are used up in a year; a stock that is used up tells what is lost once no item is left. Fill it, or set use_count_per_year to 0.",
        "stocks.csv row 2, without_days: it is 30, and use_count_per_year is above 0; a stock that is used up tells by out_days what is lost without an item. Empty it, or set use_count_per_year to 0.",
    ),
    Bad(
        "stocks_once",
        lambda pen: (
            _stock(pen, without_days="30"),
            _stock(pen, stock="second", without_days="30"),
            _stock(pen, stock="third"),
        ),
        "stocks.csv row 3, without_days: second is for PUMP, and so is spare; one stock of a family fills this column. Put the two together, or empty this cell in one of them.",
    ),
    Bad(
        "stocks_for_freed",
        lambda pen: (pen.cell("actions", 3, "frees_count", "22"), _stock(pen)),
        "actions.csv row 3, frees_count: replace frees 22 items of PUMP; items are freed for a stock of the family with use_count_per_year above 0. Add that stock to stocks.csv, or set frees_count to 0.",
    ),
    Bad(
        "known_rows",
        lambda pen: (pen.cell("actions", 3, "takes_stock", "spar"), _stock(pen)),
        'actions.csv row 3, takes_stock: "spar" is not known; names of stocks.csv are allowed. Did you mean "spare"? Correct it, or add it to stocks.csv.',
    ),
]
