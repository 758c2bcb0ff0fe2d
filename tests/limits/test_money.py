"""Budgets and what is carried over: the rows against the model with what is carried as variables."""

from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy.optimize import linprog

from bundler.case import Case
from bundler.limits.money import budget_limits
from bundler.limits.rows import LimitRows
from tests.cases import case, one_unit, settings
from tests.limits.test_rows import tables

PLACEMENTS = pd.DataFrame(
    {
        "placement": [0, 1, 2],
        "component": ["A", "B", "C"],
        "period": ["P", "P", "Q"],
        "family": ["F", "F", "F"],
    }
)
NO_ACCESS = pd.DataFrame(
    {"access": pd.Series(dtype="str"), "cost": pd.Series(dtype="float64"),
     "paid_days": pd.Series(dtype="float64")}
)  # fmt: skip


def station(budgets: dict[int, float], share: float) -> Case:
    rows = [{"year": year, "limit_cost": cost} for year, cost in budgets.items()]
    return case(settings(carry_over_share=share), budgets=rows)


def rows_of(budgets: dict[int, float], share: float, paid: list[Any]) -> LimitRows:
    payments = pd.DataFrame(paid, columns=["placement", "year", "cost"])
    return budget_limits(station(budgets, share), PLACEMENTS, payments, NO_ACCESS)


def kept(rows: LimitRows) -> bool:
    """Whether everything that could be paid stays within all rows."""
    used = rows.uses.groupby("limit")["amount"].sum()
    most = rows.limits.set_index("limit")["amount"]
    return bool((used.reindex(most.index).fillna(0.0) <= most + 1e-9).all())


def carried(budgets: dict[int, float], share: float, paid: dict[int, float]) -> bool:
    """Whether some carry-over k makes the plan affordable, by a linear program over k.

    spent[y] + k[y] <= B[y] + k[y-1], 0 <= k[y] <= s B[y]; no k from a year without a budget.
    """
    years = sorted(budgets)
    place = {year: at for at, year in enumerate(years)}
    factors, most = np.zeros((len(years), len(years))), np.zeros(len(years))
    for year, at in place.items():
        factors[at, at] = 1.0
        if year - 1 in place:
            factors[at, place[year - 1]] = -1.0
        most[at] = budgets[year] - paid.get(year, 0.0)
    ends = [(0.0, share * budgets[year]) for year in years]
    found = linprog(np.zeros(len(years)), factors, most, bounds=ends)
    assert found.status in (0, 2)
    return bool(found.status == 0)


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 1.0])
def test_the_rows_hold_exactly_where_something_can_be_carried(share: float) -> None:
    """Spending at random over years of which one may have no budget."""
    rng, seen = np.random.default_rng(1), []
    for _ in range(60):
        years = [2027, 2028, 2029, 2030, 2031, 2032]
        if rng.random() < 0.4:
            years.remove(int(rng.integers(2028, 2032)))
        budgets = {year: float(rng.integers(0, 10)) for year in years}
        paid = {year: float(rng.integers(0, 9)) for year in range(2027, 2033)}
        rows = rows_of(budgets, share, [(0, year, cost) for year, cost in paid.items()])
        seen.append(carried(budgets, share, paid))
        assert kept(rows) == seen[-1], (budgets, paid)
    assert len(set(seen)) == 2


def test_names_and_amounts_of_stretches() -> None:
    """Budgets 10, 20, none in 2029, 40; half of a year's budget may go into the next."""
    budgets = {2027: 10.0, 2028: 20.0, 2030: 40.0}
    paid = [(n, year, 100.0) for n, year in enumerate((2027, 2028, 2030))]
    limits = rows_of(budgets, 0.5, paid).limits.set_index("limit")["amount"]
    assert limits.to_dict() == {
        "budget.2027": 10.0,
        "budget.2028": 25.0,
        "budget.2030": 40.0,
        "budget.2027-2028": 30.0,
    }


def test_without_carry_over_each_year_stands_alone() -> None:
    paid = [(0, 2027, 100.0), (0, 2028, 100.0)]
    rows = rows_of({2027: 10.0, 2028: 20.0}, 0.0, paid)
    assert rows.limits["limit"].tolist() == ["budget.2027", "budget.2028"]
    assert rows.limits["title"].tolist() == ["budget in 2027", "budget in 2028"]


def test_stretches_that_nothing_could_overfill_are_left_out() -> None:
    """50 in 2027 and 50 in 2028 at most; each counts in full."""
    paid = [(0, 2027, 50.0), (2, 2028, 50.0)]
    assert "budget.2027-2028" not in set(
        rows_of({2027: 60.0, 2028: 40.0}, 1.0, paid).limits["limit"]
    )
    assert "budget.2027-2028" in set(rows_of({2027: 60.0, 2028: 39.0}, 1.0, paid).limits["limit"])


def test_stretches_that_others_imply_are_left_out() -> None:
    """Nothing can be paid in 2029, so what ends or begins there says nothing new."""
    paid = [(n, year, 100.0) for n, year in enumerate((2027, 2028))]
    budgets = {2027: 10.0, 2028: 10.0, 2029: 10.0}
    names = rows_of(budgets, 0.5, paid).limits["limit"].tolist()
    assert names == ["budget.2027", "budget.2028", "budget.2029", "budget.2027-2028"]


def test_access_is_paid_from_the_budget_too() -> None:
    outages = [dict(row) for row in one_unit()["outages"]]
    outages[1] |= {"start_date": "2030-06-01", "freeze_date": "2029-06-01"}
    sets: dict[str, Any] = {
        "access_sets": [{"access_set": "S", "name": "scaffold", "setup_cost": 7.0}],
        "access_members": [{"access_set": "S", "family": "PUMP"}],
        "budgets": [{"year": year, "limit_cost": 1.0} for year in (2029, 2030)],
        "outages": outages,
    }
    choices = tables(case(settings(carry_over_share=0.5), **one_unit(**sets)))
    opened = choices.access_uses.set_index(["limit", "access"])["amount"].to_dict()
    money = {key: cost for key, cost in opened.items() if key[0].startswith("budget")}
    assert money == {
        ("budget.2029", "P1.S"): 7.0,
        ("budget.2030", "P2.S"): 7.0,
        ("budget.2029-2030", "P1.S"): 7.0,
        ("budget.2029-2030", "P2.S"): 7.0,
    }
