"""What levelling found to fit, as limits of its own; each amount worked by hand."""

from typing import Any

import pytest

from bundler.case import Case
from tests.cases import case, one_unit
from tests.limits.test_rows import limit, tables, used
from tests.limits.test_supplies import SUPPLY


def levelled(resource: str, first: float, last: float, amount: float) -> Case:
    row: dict[str, Any] = {
        "outage": "P1", "resource": resource, "from_days": first, "to_days": last, "amount": amount,
    }  # fmt: skip
    return case(**one_unit(**SUPPLY | {"levelled": [row]}))


def test_works_inside_the_window_share_what_fits() -> None:
    """The pump's 500 h lie in days 5 to 35; no extension and no overtime add to what fits."""
    choices = tables(levelled("M", 5.0, 35.0, 420.0))
    row = limit(choices, "P1.M.5-35 levelled")
    assert (row["amount"], row["measure"], row["extension_amount"]) == (420.0, "hours", 0.0)
    assert (row["overtime"], row["period"]) == ("", "P1")
    assert row["title"].endswith("hours in P1, days 5-35, as levelled")
    assert used(choices, "P1.M.5-35 levelled") == [500.0]


def test_a_work_that_may_lie_outside_does_not_count() -> None:
    choices = tables(levelled("M", 5.0, 34.0, 420.0))
    assert "P1.M.5-34 levelled" not in set(choices.limits["limit"])


def test_a_supply_is_counted_in_its_own_measure() -> None:
    choices = tables(levelled("ISO", 0.0, 40.0, 5.0))
    row = limit(choices, "P1.supply ISO.0-40 levelled")
    assert (row["amount"], row["measure"]) == (5.0, "isolations")
    assert used(choices, "P1.supply ISO.0-40 levelled") == [8.0]


def test_an_area_is_counted_in_head_days() -> None:
    """500 h at 50 / 7 x 0.5 h a day are 140 head days."""
    choices = tables(levelled("area.TB", 5.0, 35.0, 100.0))
    assert used(choices, "P1.area TB.5-35 levelled") == pytest.approx([140.0])
