"""Rule 26: parts that nobody makes any more run out on a day, and renewed units free some."""

from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from bundler.case import Case
from bundler.judge import PlanFacts, judge, recomputed
from bundler.run import facts_of
from tests.cases import case, one_unit
from tests.rules.rule import has_stored_lp_of, planned, planned_in_rounds


def station(cost: float = 900.0, **cells: Any) -> Case:
    """Return a station of two controllers that hardly age; a renewed one frees 22 cards."""
    parts = [
        {"component": f"DCC-{number}", "unit": "U1", "family": "DCC", "renewed_date": "2026-01-01"}
        for number in (1, 2)
    ]
    family = {"family": "DCC", "name": "controller", "area": "TB", "life_years": 500.0,
              "shape_ratio": 1.0, "forced_days": 5.0}  # fmt: skip
    work = {"family": "DCC", "action": "replace", "cost": cost, "days": 10.0, "conditions": "D",
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


def test_rule_26_binds_and_one_renewal_lets_the_other_go_on() -> None:
    """Cards end in August 2031, and two units without any lose 1,625 a year each to 2046. One
    renewed in 2029 leaves 27.5 cards to the other, who uses 30.4 to the end: it loses about 2,000
    in its last year, less than its own renewal costs."""
    given = station(cost=3000.0)
    plan = planned_in_rounds(given)
    assert [(action, period) for _, action, period in plan.works] == [("replace", "P1")]
    assert planned(without_stock(given)).works == set()
    assert plan.breaches == []


def test_rule_26_true_cost_against_every_combination() -> None:
    """The plan in rounds is the best of all nine ways to renew two controllers once or never."""
    for spares, cost in product((0.0, 5.0, 9.0, 30.0), (900.0, 3000.0)):
        given = station(cost, spares_count=spares)
        plan = planned_in_rounds(given)
        best = np.inf
        for first, second in product(("", "P1", "P2"), repeat=2):
            works = [(f"DCC-{n}", "replace", p) for n, p in ((1, first), (2, second)) if p]
            table = pd.DataFrame(works, columns=["component", "action", "period"])
            none = table.iloc[:0].assign(access_set="", unit="", train="")
            access = none[["access_set", "unit", "train", "period"]]
            facts = PlanFacts(table, access, {}, {}, {})
            best = min(best, recomputed(given, facts)["objective_pv_cost"])
        assert plan.pv_cost == pytest.approx(best, rel=1e-4), (spares, cost)


def test_rule_26_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    plan = planned_in_rounds(station())
    has_stored_lp_of("26_run_out", plan.choices, tmp_path, request)


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
