"""What the judge says of stocks: items of planned works, shared spares, parts that run out."""

from typing import Any

import numpy as np
import pytest

from bundler.case import Case
from bundler.judge import PlanFacts, judge, recomputed
from bundler.risk.run_out import Harm, Stock, run_out_loss
from bundler.risk.spares import Pool, share_before, spare_loss
from tests.judge.small import END, O1, O2, P1, P2, Rows, added, broken, edited, outage, plan, small

Y = 365.25
RATE = {"discount_share_per_year": 0.05}
PUMPS = [
    {"component": "P1", "unit": "U1", "family": "PUMP", "train": "A"},
    {"component": "P2", "unit": "U2", "family": "PUMP", "train": "A"},
]


def stock(**cells: Any) -> Rows:
    return [{"stock": "spare", "name": "spare pump", "family": "PUMP", "spares_count": 1.0} | cells]


def extra(case: Case, *works: tuple[str, str, str]) -> float:
    """Return what a plan's risk is more with the stocks than without."""
    bare = Case(case.settings, dict(case.tables) | {"stocks": case["stocks"].iloc[:0]}, {})
    with_them, without = (recomputed(each, plan(each, *works)) for each in (case, bare))
    return with_them["risk_pv_cost"] - without["risk_pv_cost"]


def test_failures_without_a_spare_are_what_the_formula_gives() -> None:
    """Two pumps of 0.05 failures a year; 5 days with a spare, 60 without, worth 100 and 200."""
    for count, months in ((0, None), (1, 36.0), (1, None), (2, 120.0)):
        given = stock(spares_count=float(count), without_days=60.0, restock_months=months)
        case = small(RATE, components=PUMPS, stocks=given)
        edges = np.unique(np.concatenate([np.linspace(0, END, 600), [O1, O1 + 40, O2, O2 + 40]]))
        middle = (edges[1:] + edges[:-1]) / 2
        on_line = np.array([(middle < low) | (middle > low + 40) for low in (O1, O2)])
        failures = np.tile(np.diff(edges) / Y / 20, (2, 1))
        money = on_line * np.outer([55 * 100, 55 * 200], 1.05 ** (-middle / Y))
        back = np.inf if months is None else months * Y / 12
        known = spare_loss(Pool(count, share_before(edges, back), money), failures).sum()
        assert extra(case) == pytest.approx(float(known), rel=1e-4)


def test_one_component_alone_always_finds_its_spare() -> None:
    case = small(components=PUMPS[:1], stocks=stock(without_days=60.0))
    assert extra(case) == pytest.approx(0.0, abs=1e-9)
    none = small(components=PUMPS[:1], stocks=stock(without_days=60.0, spares_count=0.0))
    assert extra(none) == pytest.approx(55 * 100 / 20 * (END - 40) / Y)
    # as with an item, where nothing is said
    assert extra(small(components=PUMPS, stocks=stock(spares_count=0.0))) == 0.0


def test_a_work_takes_failures_from_the_spare() -> None:
    """As new with a new design after O1: P1 fails less often and P2 finds the spare more often."""
    better = edited("actions", 0, new_life_years=1000.0)
    case = small(components=PUMPS, stocks=stock(without_days=60.0), actions=better)
    assert 0 < extra(case, P1) < extra(case)


CARDS = {
    "spares_count": 3.0, "use_count_per_year": 1.0, "use_growth_share_per_year": 0.1,
    "out_failures_per_year": 2.0, "out_days": 4.0,
}  # fmt: skip
FREES = edited("actions", 0, frees_count=2.0)


@pytest.mark.parametrize("works", [(), (P1,), (P1, P2)])
def test_parts_that_run_out_are_what_the_closed_form_gives(
    works: tuple[tuple[str, str, str], ...],
) -> None:
    """Both units; the works start 5 days into the outages, and take effect at their ends."""
    case = small(RATE, components=PUMPS, stocks=stock(**CARDS), actions=FREES)
    done = {P1: O1 + 5, P2: O2 + 5}
    removal = np.array([[done[work] if work in works else np.inf for work in (P1, P2)]])
    edges = np.array([0.0, O1, O1 + 40, O2, O2 + 40, END])
    on_line = np.array([[1.0, 0.0, 1.0, 1.0, 1.0], [1.0, 1.0, 1.0, 0.0, 1.0]])
    losing = Harm(edges, on_line, np.array([800.0, 1600.0]), 0.05)
    known = run_out_loss(
        Stock(3.0, 1.0, 0.1, np.array([END, END])), losing, removal, np.full((1, 2), 2.0)
    ).sum()
    assert extra(case, *works) == pytest.approx(float(known), rel=1e-4)  # steps of 1/24 year


def test_a_unit_that_ends_uses_nothing_more_and_loses_nothing() -> None:
    """3 items at one a year last 3 years; the second unit alone then goes on without, to 2040."""
    given = stock(**(CARDS | {"use_growth_share_per_year": 0.0}))
    units = edited("units", 1, end_date="2030-01-01")
    outages = edited("outages", 0)[:1]
    case = small(components=PUMPS, stocks=given, units=units, outages=outages)
    # 1,096 days at one a year, then half as fast until all 3 are gone: on day 1,095.5
    first = 3 * Y
    assert extra(case) == pytest.approx((END - first) / Y * 800, rel=1e-3)


def test_the_cost_that_a_plan_claims_has_to_hold_it() -> None:
    case = small(components=PUMPS, stocks=stock(**CARDS), actions=FREES)
    facts = plan(case, P1)
    assert not judge(case, facts)
    claimed = dict(facts.claimed)
    missing = extra(case, P1)
    for name in ("risk_pv_cost", "objective_pv_cost"):
        claimed[name] -= missing
    less = PlanFacts(facts.works, facts.access, {}, {}, claimed)
    assert {breach.rule for breach in judge(case, less)} == {"cost"}


TAKES = {
    "actions": edited("actions", 0, takes_stock="spare"),
    "outages": added("outages", outage("O3", "U2", "2030-01-01", 40.0)),
}
P3 = ("P2", "replace", "O3")


def test_two_works_at_once_need_two_items() -> None:
    """O1 and O3 begin a year apart; both works start 5 days into them."""
    for months, is_broken in ((12.0, True), (11.99, False), (24.0, True), (None, True)):
        case = small(**TAKES, stocks=stock(restock_months=months))
        assert ("rotables" in broken(case, P1, P3)) == is_broken
        assert "rotables" not in broken(case, P1)
    two = small(**TAKES, stocks=stock(restock_months=24.0, spares_count=2.0))
    assert broken(two, P1, P3) == []


def test_the_breach_says_who_has_the_item() -> None:
    case = small(**TAKES, stocks=stock(restock_months=24.0))
    [breach] = judge(case, plan(case, P1, P3))
    assert breach.text == (
        "spare on 2030-01-06: 2 works have an item (P1 (replace) in O1, P2 (replace) in O3), "
        "the site holds 1."
    )
    assert breach.amount == 1.0
