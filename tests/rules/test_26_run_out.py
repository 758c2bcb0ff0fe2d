"""Rule 26: parts that nobody makes any more run out on a day, and renewed units free some."""

from typing import Any

import pytest

from bundler.case import Case
from bundler.judge import judge, recomputed
from bundler.run import facts_of
from tests.cases import case, one_unit
from tests.rules.rule import planned


def station(**cells: Any) -> Case:
    """Return a station of two controllers that hardly age; a renewed one frees 22 cards."""
    parts = [
        {"component": f"DCC-{number}", "unit": "U1", "family": "DCC", "renewed_date": "2026-01-01"}
        for number in (1, 2)
    ]
    family = {"family": "DCC", "name": "controller", "area": "TB", "life_years": 500.0,
              "shape_ratio": 1.0, "forced_days": 5.0}  # fmt: skip
    work = {"family": "DCC", "action": "replace", "cost": 900.0, "days": 10.0, "conditions": "D",
            "frees_count": 22.0}  # fmt: skip
    cards = {"stock": "cards", "name": "cards", "family": "DCC", "spares_count": 9.0,
             "use_count_per_year": 1.7, "use_growth_share_per_year": 0.06,
             "out_failures_per_year": 0.65, "out_days": 25.0}  # fmt: skip
    tables = one_unit(
        components=parts, families=[family], actions=[work], action_hours=[],
        stocks=[cards | cells],
    )  # fmt: skip
    return case(**tables)


def without_stock(given: Case) -> Case:
    return Case(given.settings, {**given.tables, "stocks": given["stocks"][:0]}, {})


def test_rule_26_does_not_bind_where_cards_last_to_the_end() -> None:
    """1.7 a year growing by 6 % are 64 in 20 years."""
    plenty = station(spares_count=65.0)
    plan, bare = planned(plenty), planned(without_stock(plenty))
    assert plan.works == bare.works == set()
    assert plan.pv_cost == pytest.approx(bare.pv_cost)
    assert plan.breaches == []


def test_rule_26_breach_a_plan_that_forgets_the_end_of_the_cards_is_named() -> None:
    """Out for 15.39 of 20 years: 2 x 0.65 x 25 d x 100 a day; nothing is lost while shut (80 d)."""
    given = station()
    bare = planned(without_stock(given))
    facts = facts_of(bare.choices, bare.picked)
    assert judge(bare.case, facts) == []
    assert {breach.rule for breach in judge(given, facts)} == {"cost"}
    forgotten = (
        recomputed(given, facts)["risk_pv_cost"] - recomputed(bare.case, facts)["risk_pv_cost"]
    )
    # of the 80 days shut the first 40 lie before the end of the cards in August 2031
    assert forgotten == pytest.approx(
        2 * 0.65 * 2500 * (7304 / 365.25 - 4.6143 - 40 / 365.25), rel=1e-4
    )
