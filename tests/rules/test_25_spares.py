"""Rule 25: what the site holds once for all units is never away at two works at the same time."""

from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
from bundler.judge import PlanFacts, judge
from bundler.run import facts_of
from tests.cases import case, one_unit
from tests.rules.rule import has_stored_lp, planned

FIRST = {("PUMP-1", "replace", "P1"), ("PUMP-2", "replace", "P1")}


def station(**cells: Any) -> Case:
    """Return a station of two old pumps, both best renewed in P1 with an item of the stock."""
    pumps = [{"component": f"PUMP-{number}", "unit": "U1", "family": "PUMP"} for number in (1, 2)]
    family = {"family": "PUMP", "name": "pump", "area": "TB", "life_years": 15.0,
              "shape_ratio": 3.0, "forced_days": 5.0, "repair_cost": 200.0}  # fmt: skip
    work = {"family": "PUMP", "action": "replace", "cost": 300.0, "days": 10.0, "conditions": "D",
            "takes_stock": "spare"}  # fmt: skip
    held = {"stock": "spare", "name": "spare pumps", "family": "PUMP", "spares_count": 1.0}
    tables = one_unit(components=pumps, families=[family], actions=[work], stocks=[held | cells])
    return case(**tables)


def test_rule_25_binds_and_one_item_serves_one_unit_after_the_other() -> None:
    """Both want P1; the item is back three years after, in time for P2 four years later."""
    plan = planned(station(restock_months=36.0))
    free = planned(station(restock_months=36.0, spares_count=2.0))
    assert free.works >= FIRST
    assert not plan.works >= FIRST
    assert {period for _, _, period in plan.works} == {"P1", "P2"}
    assert len({component for component, _, _ in plan.works}) == 2
    assert plan.pv_cost > free.pv_cost
    assert plan.breaches == []


def test_rule_25_binds_for_good_where_no_item_comes_back() -> None:
    plan = planned(station())
    assert len(plan.works) == 1
    assert plan.breaches == []
    # an item that is back too late for P2 is as good as gone
    assert planned(station(restock_months=49.0)).works == plan.works


@pytest.mark.parametrize("cells", [{"spares_count": 4.0}, {"restock_months": 0.0}])
def test_rule_25_does_not_bind_where_there_are_items_enough(cells: dict[str, Any]) -> None:
    plan = planned(station(**cells))
    bare = planned(Case(plan.case.settings, {**plan.case.tables, "stocks": plan.case["stocks"][:0],
        "actions": plan.case["actions"].assign(takes_stock="")}, {}))  # fmt: skip
    assert plan.works == bare.works and plan.works >= FIRST
    assert plan.pv_cost == pytest.approx(bare.pv_cost)
    assert not plan.choices.limits["limit"].str.startswith("stock").any()


def test_rule_25_rows_say_only_what_is_new() -> None:
    """P1 and P2 are four years apart: away together if an item takes longer, else apart."""
    for months, starts in ((36.0, 2), (49.0, 1), (float("nan"), 1)):
        choices = planned(station(restock_months=months)).choices
        own = choices.limits[choices.limits["measure"] == "items"]
        assert len(own) == starts
        assert own["amount"].tolist() == [1.0] * starts
        assert set(choices.uses.loc[choices.uses["limit"].isin(own["limit"]), "amount"]) == {1.0}
    assert own["title"].tolist() == ["items of spare pumps away on 2033-01-06"]


def test_rule_25_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("25_spares", station(restock_months=36.0), tmp_path, request)


def test_rule_25_breach_is_named_by_the_judge() -> None:
    """The plan of a site with two items is held against the tables of one with one."""
    free = planned(station(restock_months=36.0, spares_count=2.0))
    facts: PlanFacts = facts_of(free.choices, free.picked)
    assert judge(free.case, facts) == []
    found = judge(station(restock_months=36.0), facts)
    assert {breach.rule for breach in found} == {"rotables"}
    assert "PUMP-1 (replace) in P1, PUMP-2 (replace) in P1" in found[0].text
