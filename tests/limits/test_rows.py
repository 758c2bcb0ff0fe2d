"""Limits and uses, each amount worked by hand."""

from typing import Any

import pandas as pd
import pytest

from bundler.case import Case
from bundler.choice import Choices
from bundler.compose import choices_of
from tests.cases import case, one_unit, settings


def tables(station: Case) -> Choices:
    return choices_of(station, frozenset(station["components"]["component"]))[0]


def limit(choices: Choices, name: str) -> pd.Series:
    rows = choices.limits[choices.limits["limit"] == name]
    assert len(rows) == 1, sorted(choices.limits["limit"])
    return rows.iloc[0]


def used(choices: Choices, name: str) -> list[float]:
    return sorted(choices.uses.loc[choices.uses["limit"] == name, "amount"])


def test_crew_hours_by_window() -> None:
    """10 heads x 50 h / 7 d x 0.5 direct share: 35.714 h a day; 40 d whole, 30 d in the window."""
    choices = tables(case(**one_unit()))
    daily = 10 * 50 / 7 * 0.5
    assert limit(choices, "P1.M.all")["amount"] == pytest.approx(daily * 40)
    assert limit(choices, "P1.M.5-35")["amount"] == pytest.approx(daily * 30)
    assert limit(choices, "P1.M.all")["extension_amount"] == pytest.approx(daily)
    assert used(choices, "P1.M.5-35") == [500.0]


def test_the_published_capacity_formula() -> None:
    """heads x paid h/week x weeks x attendance x direct share, common practice of the trade:
    one head of a mid-life outage over 88 weeks at 50 h, 0.92 and 0.60 gives 2,429 direct hours."""
    base = settings(attendance_share=0.92)
    kinds = [{"kind": "planned", "name": "long"}, {"kind": "on_line", "name": "on line"}]
    outages = [
        {"outage": "P1", "unit": "U1", "kind": "planned", "start_date": "2029-01-01", "days": 616.0,
         "freeze_date": "2028-01-01"},
    ]  # fmt: skip
    crews = [{"resource": "M", "kind": "planned", "heads_count": 1.0, "direct_share": 0.6}]
    choices = tables(case(base, **one_unit(outage_kinds=kinds, outages=outages, crews=crews)))
    assert limit(choices, "P1.M.all")["amount"] == pytest.approx(2429, abs=0.5)


def test_base_scope_is_taken_off_in_proportion() -> None:
    choices = tables(
        case(**one_unit(base_scope=[{"kind": "planned", "resource": "M", "work_hours": 400.0}]))
    )
    daily = 10 * 50 / 7 * 0.5
    assert limit(choices, "P1.M.all")["amount"] == pytest.approx(daily * 40 - 400)
    assert limit(choices, "P1.M.5-35")["amount"] == pytest.approx(daily * 30 - 300)


def test_areas_dose_and_budget() -> None:
    """2,000 m2 / 20 m2 a head x 2 shifts x 40 d = 8,000 head days; 500 h / (50/7 x 0.5) = 140."""
    kinds = [
        {"kind": "planned", "name": "planned", "dose_limit_person_msv": 8.0},
        {"kind": "on_line", "name": "on line"},
    ]
    action = {"family": "PUMP", "action": "replace", "cost": 300.0, "days": 10.0, "conditions": "D",
              "dose_person_msv": 1.5}  # fmt: skip
    choices = tables(
        case(**one_unit(
            outage_kinds=kinds, actions=[action], budgets=[{"year": 2029, "limit_cost": 1000.0}],
        ))
    )  # fmt: skip
    assert limit(choices, "P1.area TB.all")["amount"] == pytest.approx(8000)
    assert used(choices, "P1.area TB.all") == pytest.approx([140.0])
    assert limit(choices, "P1.dose")["amount"] == 8.0
    assert used(choices, "P1.dose") == [1.5]
    assert limit(choices, "budget.2029")["amount"] == 1000.0
    assert used(choices, "budget.2029") == pytest.approx([300.0])


def test_money_is_paid_by_order_date() -> None:
    """Material 250 of 300 (labour 500 h x 0.1); lead 24 months: 20 % at order, 50 % half way,
    30 % at delivery 60 days before the start at 2033-01-16 (the middle of the slack)."""
    budgets = [{"year": year, "limit_cost": 999.0} for year in range(2027, 2047)]
    action = {"family": "PUMP", "action": "replace", "cost": 300.0, "days": 10.0, "conditions": "D",
              "lead_months": 24.0}  # fmt: skip
    choices = tables(case(**one_unit(actions=[action], budgets=budgets)))
    place = choices.placements.set_index("period").at["P2", "placement"]
    own = choices.uses[
        (choices.uses["placement"] == place) & choices.uses["limit"].str.startswith("budget")
    ]
    paid = own.set_index("limit")["amount"].to_dict()
    assert paid == pytest.approx(
        {"budget.2030": 50.0, "budget.2031": 125.0, "budget.2032": 75.0, "budget.2033": 50.0}
    )


def test_pool_where_outages_overlap() -> None:
    """Two units, outages 40 d each, overlapping 10 d; pool of 12 heads: 120 head days there."""
    both = one_unit()
    units = [dict(both["units"][0]), dict(both["units"][0]) | {"unit": "U2"}]
    outages = [
        {"outage": "P1", "unit": "U1", "kind": "planned", "start_date": "2029-01-01", "days": 40.0, "freeze_date": "2028-01-01"},
        {"outage": "P2", "unit": "U2", "kind": "planned", "start_date": "2029-01-31", "days": 40.0, "freeze_date": "2028-01-01"},
    ]  # fmt: skip
    components = [
        {"component": "PUMP-1", "unit": "U1", "family": "PUMP"},
        {"component": "PUMP-2", "unit": "U2", "family": "PUMP"},
    ]
    resources = [
        {"resource": "M", "name": "millwright", "cost_per_hour": 0.1, "pool_heads_count": 12.0}
    ]
    choices = tables(
        case(**one_unit(units=units, outages=outages, components=components, resources=resources))
    )
    row = limit(choices, "site.M.P1+P2.761-771")
    assert row["amount"] == pytest.approx(120)
    # 140 head days each, spread over the 30 days of D; 5 of them lie in the overlap
    assert used(choices, "site.M.P1+P2.761-771") == pytest.approx([140 * 5 / 30] * 2)


def test_access_is_paid_once_and_base_scope_may_give_it() -> None:
    sets: dict[str, Any] = {
        "access_sets": [{"access_set": "S", "name": "scaffold", "setup_cost": 7.0}],
        "access_hours": [{"access_set": "S", "resource": "M", "work_hours": 30.0}],
        "access_members": [{"access_set": "S", "family": "PUMP"}],
    }
    choices = tables(case(**one_unit(**sets)))
    assert list(choices.access["access"]) == ["P1.S", "P2.S"]
    assert choices.access["pv_cost"].tolist() == pytest.approx([10.0, 10.0])  # 7 + 30 h x 0.1
    opened = choices.access_uses.set_index(["limit", "access"])["amount"]
    assert opened["P1.M.all", "P1.S"] == 30.0
    given = tables(case(**one_unit(**sets, base_access=[{"kind": "planned", "access_set": "S"}])))
    assert given.access["is_given"].all() and given.access_uses.empty


def test_chains_limit_what_can_follow_each_other() -> None:
    """Two works of 20 d in a window of 30 d: the chain has 30 d and each takes 20."""
    components = [
        {"component": f"PUMP-{n}", "unit": "U1", "family": "PUMP", "position_count": n}
        for n in (1, 2)
    ]
    action = {"family": "PUMP", "action": "replace", "cost": 300.0, "days": 20.0, "conditions": "D"}
    station = case(
        **one_unit(
            components=components, actions=[action], chains=[{"chain": "lifts", "family": "PUMP"}]
        )
    )
    choices = tables(station)
    rows = choices.limits[choices.limits["measure"] == "days"]
    assert rows["amount"].tolist() == [30.0, 30.0]
    assert rows["extension_amount"].tolist() == [1.0, 1.0]
    # 40 d in 30 d with 10 d of extension just fits, so nothing is told as impossible in series
    assert "in series" not in set(choices.ruled_out["reason"])


def test_overtime_band() -> None:
    """15 % of 357.14 h a week over 2 weeks: 107.1 h at a premium of half the rate."""
    base = settings(overtime_share=0.15, overtime_weeks=2.0)
    choices = tables(case(base, **one_unit()))
    row = choices.overtimes.set_index("overtime").loc["P1.M"]
    assert row["most_hours"] == pytest.approx(0.15 * 10 * 50 / 7 * 0.5 * 14)
    assert row["pv_cost_per_hour"] == pytest.approx(0.05)
