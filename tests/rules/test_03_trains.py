"""Rule 3: enough lines of a function stay in service in every state."""

from pathlib import Path

import pytest

from bundler.case import Case
from tests.judge.small import broken
from tests.rules.pumps import family, group, of, parts, unit, work
from tests.rules.rule import has_stored_lp, planned

BOTH = {of("PUMP-1", "P1"), of("PUMP-2", "P1")}


def station(days: float, kept: int = 1, **cells: str) -> Case:
    """Return two pumps with works of so many days in the 30 days of D; `kept` stay in service."""
    return unit(parts("PUMP-1", "PUMP-2"), [family()], [work(days)], **group(kept, **cells))


def test_rule_03_binds_and_one_train_waits_for_the_next_outage() -> None:
    """16 + 16 days do not follow each other in 30: one pump an outage."""
    plan, free = planned(station(16.0)), planned(station(16.0, kept=0))
    assert free.works >= BOTH
    for period in ("P1", "P2"):
        assert len([one for one in plan.works if one[2] == period]) == 1
    assert plan.pv_cost > free.pv_cost
    assert plan.breaches == []


def test_rule_03_binds_and_nothing_is_done_where_all_lines_are_needed() -> None:
    plan = planned(station(10.0, kept=2))
    assert plan.works == set()
    assert plan.breaches == []


def test_rule_03_binds_the_third_of_three_lines() -> None:
    """Two of three may be out, and no two works of 16 days follow each other in 30 days."""
    three = parts("PUMP-1", "PUMP-2", "PUMP-3")
    plan = planned(unit(three, [family()], [work(16.0)], **group(1)))
    assert len([one for one in plan.works if one[2] == "P1"]) == 2
    assert plan.breaches == []


def test_rule_03_does_not_bind_where_works_follow_each_other() -> None:
    """15 + 15 days fill the 30 days exactly."""
    plan, free = planned(station(15.0)), planned(station(15.0, kept=0))
    assert plan.works == free.works and plan.works >= BOTH
    assert plan.pv_cost == pytest.approx(free.pv_cost)
    assert plan.breaches == []


def test_rule_03_does_not_bind_inside_one_train() -> None:
    """Both pumps are one line where the group is made of trains."""
    tables = group(0, line_by="train")
    own = parts("PUMP-1", "PUMP-2", train="A") + parts("PUMP-3", train="B")
    case = unit(own, [family()], [work(16.0)], **(tables | {"group_needs": [
        {"group": "G", "kind": "planned", "in_service_count": 1}]}))  # fmt: skip
    plan = planned(case)
    first = {component for component, _, period in plan.works if period == "P1"}
    assert first == {"PUMP-1", "PUMP-2"}
    assert plan.breaches == []


def test_rule_03_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("03_trains", station(16.0), tmp_path, request)


def test_rule_03_breach_both_trains_at_once() -> None:
    assert broken(station(16.0), *BOTH) == ["out_together"]
    assert broken(station(15.0), *BOTH) == []
    assert broken(station(16.0), of("PUMP-1", "P1"), of("PUMP-2", "P2")) == []
