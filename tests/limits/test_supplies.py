"""What there is only so much of in a day, each amount worked by hand."""

from typing import Any

import pytest

from bundler.case import Case
from tests.cases import case, one_unit
from tests.limits.test_rows import limit, tables, used

SUPPLY: dict[str, Any] = {
    "supplies": [{"supply": "ISO", "name": "isolations", "measure": "isolations"}],
    "supply_amounts": [{"supply": "ISO", "kind": "planned", "amount_per_day": 3.0}],
    "action_supplies": [
        {"family": "PUMP", "action": "replace", "supply": "ISO", "amount": 8.0},
    ],
}


def limits_of(station: Case) -> list[str]:
    found = tables(station).limits["limit"]
    return sorted(name for name in found if ".supply " in name)


def test_an_amount_a_day_in_each_window() -> None:
    """3 a day: 120 in 40 d, 90 in the 30 d in which the works may be done; each takes 8."""
    choices = tables(case(**one_unit(**SUPPLY)))
    whole, part = limit(choices, "P1.supply ISO.all"), limit(choices, "P1.supply ISO.5-35")
    assert (whole["amount"], part["amount"]) == (120.0, 90.0)
    assert (whole["extension_amount"], part["extension_amount"]) == (3.0, 3.0)
    assert part["title"] == "isolations in P1, days 5-35"
    assert (part["measure"], part["step"], part["step_amount"]) == ("isolations", "1 a day", 30.0)
    assert used(choices, "P1.supply ISO.5-35") == [8.0]


def test_what_is_taken_every_day_counts_by_days() -> None:
    """120 m2 on each of 10 d are 1,200 m2-days."""
    taken = [SUPPLY["action_supplies"][0] | {"amount": 120.0, "is_daily": True}]
    choices = tables(case(**one_unit(**SUPPLY | {"action_supplies": taken})))
    assert used(choices, "P1.supply ISO.all") == [1200.0]
    assert limit(choices, "P1.supply ISO.all")["measure"] == "isolations-days"


def test_what_is_there_in_a_condition_is_shared_by_the_whole_outage() -> None:
    """T holds from day 32 to 39: 7 d at half a slot a day; the works' own window ends on day 35."""
    amounts = [
        {"supply": "ISO", "kind": "planned", "condition": "T", "amount_per_day": 0.5},
    ]
    windows = [
        {"kind": "planned", "condition": "D", "from_days": 5.0, "to_days": -5.0},
        {"kind": "planned", "condition": "T", "from_days": 32.0, "to_days": -1.0},
    ]
    conditions = [{"condition": "D", "name": "drained"}, {"condition": "T", "name": "test"}]
    more = {"supply_amounts": amounts, "windows": windows, "conditions": conditions}
    station = case(**one_unit(**SUPPLY | more))
    assert limits_of(station) == ["P1.supply ISO.all", "P2.supply ISO.all"]
    row = limit(tables(station), "P1.supply ISO.all")
    assert (row["amount"], row["extension_amount"], row["step_amount"]) == (3.5, 0.0, 7.0)


def test_pieces_of_a_condition_add_up() -> None:
    """D from May to October in an outage of 365 d: days 0-31 and 120-304 from 1 October."""
    outages = [
        {"outage": "P1", "unit": "U1", "kind": "planned", "start_date": "2028-10-01", "days": 365.0,
         "freeze_date": "2028-01-01"},
    ]  # fmt: skip
    conditions = [
        {"condition": "D", "name": "warm", "season_from_month": 5.0, "season_to_month": 10.0}
    ]
    windows = [{"kind": "planned", "condition": "D"}]
    amounts = [{"supply": "ISO", "kind": "planned", "condition": "D", "amount_per_day": 1.0}]
    more = {
        "supply_amounts": amounts, "windows": windows, "conditions": conditions,
        "outages": outages,
    }  # fmt: skip
    row = limit(tables(case(**one_unit(**SUPPLY | more))), "P1.supply ISO.all")
    # October 2028 has 31 d; from 2029-05-01 to 2029-10-01, when the outage ends, 153 d
    assert row["amount"] == pytest.approx(31 + 153)


def test_a_kind_of_outage_without_a_row_has_none() -> None:
    station = case(**one_unit(**SUPPLY | {"supply_amounts": []}))
    assert limits_of(station) == ["P1.supply ISO.all", "P2.supply ISO.all"]
    row = limit(tables(station), "P1.supply ISO.all")
    assert (row["amount"], row["extension_amount"]) == (0.0, 0.0)
    assert row["title"] == "isolations in P1, where there are none"


@pytest.mark.parametrize("has_row", [False, True])
def test_on_line_only_a_row_limits(has_row: bool) -> None:
    amounts = [*SUPPLY["supply_amounts"]]
    if has_row:
        amounts.append({"supply": "ISO", "kind": "on_line", "amount_per_day": 0.1})
    windows = [{"kind": "on_line", "condition": "D"}]
    station = case(**one_unit(**SUPPLY | {"supply_amounts": amounts, "windows": windows}))
    names = limits_of(station)
    assert bool(names) == has_row
    if has_row:
        assert limit(tables(station), "U1-2027.supply ISO.all")["amount"] == pytest.approx(36.5)


def test_without_supplies_there_are_no_rows() -> None:
    assert limits_of(case(**one_unit())) == []
