"""Rule 30, stability: a plan differs from the agreed one by no more works than it may."""

from collections.abc import Sequence
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
from bundler.compose import choices_of
from bundler.errors import NoPlanError
from bundler.judge import judge
from tests.cases import case, one_unit, settings
from tests.judge.small import P1, P2, V1, broken, plan, small
from tests.rules.rule import has_stored_lp, planned

#: agreed before: the two young pumps in P1; now the two old ones are worth it, in P1
AGREED = [("PUMP-1", "replace", "P1"), ("PUMP-2", "replace", "P1")]
RATIOS = (0.4, 0.5, 1.6, 2.0)


def station(most: int, agreed: Sequence[tuple[str, str, str]] = AGREED, **more: Any) -> Case:
    """Return four pumps of different ages and the plan agreed before."""
    parts = [
        {"component": f"PUMP-{n}", "unit": "U1", "family": "PUMP", "age_ratio": ratio}
        for n, ratio in enumerate(RATIOS, 1)
    ]
    rows = [dict(zip(("component", "action", "outage"), work, strict=True)) for work in agreed]
    crew = [{"resource": "M", "kind": "planned", "heads_count": 90.0, "direct_share": 0.5}]
    tables = {"components": parts, "agreed": rows, "crews": crew, **more}
    return case(settings(most_changes_count=most), **one_unit(**tables))


def changes(works: set[tuple[str, str, str]], agreed: Sequence[tuple[str, str, str]]) -> int:
    """Return how many works differ in the outages of the agreed plan."""
    spoken = {period for _, _, period in agreed}
    return len({work for work in works if work[2] in spoken} ^ set(agreed))


def by_hand(held: Case, agreed: Sequence[tuple[str, str, str]], most: int) -> float:
    """Return the least cost over every combination of courses that changes little enough."""
    choices, _ = choices_of(held, frozenset(held["components"]["component"]))
    names = ["component", "action", "period"]
    placed = choices.placements.set_index("placement")[names].apply(tuple, axis=1)
    works = choices.works.groupby("course")["placement"].agg(lambda own: [placed[p] for p in own])
    own = [
        [(cost, works.get(q, [])) for q, cost in zip(each["course"], each["pv_cost"], strict=True)]
        for _, each in choices.courses.groupby("component")
    ]
    return min(
        sum(cost for cost, _ in picks)
        for picks in product(*own)
        if changes({work for _, held in picks for work in held}, agreed) <= most
    )


@pytest.mark.parametrize("most", [0, 1, 2, 3, 4, 5])
def test_rule_30_binds_against_every_combination(most: int) -> None:
    """Nothing else binds, so the best of all combinations with so few changes is the plan."""
    found = planned(station(most))
    assert found.pv_cost == pytest.approx(by_hand(station(100000), AGREED, most), abs=1e-4)
    assert changes(found.works, AGREED) <= most
    assert found.breaches == []


def test_rule_30_binds_and_costs_less_with_each_change() -> None:
    """With no change the agreed works stay; each change allowed makes the plan no dearer."""
    costs = [planned(station(most)).pv_cost for most in range(5)]
    assert costs == sorted(costs, reverse=True)
    assert costs[0] > costs[-1] + 1
    kept = {work for work in planned(station(0)).works if work[2] == "P1"}
    assert kept == set(AGREED)


def test_rule_30_binds_on_work_that_cannot_be_done_any_more() -> None:
    """P1 has no drained days now: both agreed works count as changes whatever the plan does."""
    windows = [{"kind": "planned", "condition": "D", "outage": "P2"}]
    assert planned(station(2, windows=windows)).breaches == []
    with pytest.raises(NoPlanError) as told:
        planned(station(1, windows=windows))
    assert str(told.value) == (
        "agreed.csv: 2 agreed works cannot be done any more (PUMP-1 replace in P1, PUMP-2 replace "
        "in P1), most_changes_count allows 1 changes; ruled_out.csv tells why. Raise it, or take "
        "these works out of agreed.csv."
    )


def test_rule_30_does_not_bind_where_changes_are_few() -> None:
    free = planned(station(100000, []))
    agreed = sorted(work for work in free.works if work[2] == "P1")
    assert len(agreed) >= 2
    found = planned(station(0, agreed))
    assert found.works == free.works
    assert found.pv_cost == pytest.approx(free.pv_cost)
    assert found.breaches == []
    assert planned(station(0, [])).works == free.works


def test_rule_30_does_not_bind_in_outages_that_are_over() -> None:
    """P0 lies before the planning date: nothing in it is a change."""
    outages = [
        *one_unit()["outages"],
        {"outage": "P0", "unit": "U1", "kind": "planned", "start_date": "2025-01-01",
         "days": 40.0, "freeze_date": "2024-01-01"},
    ]  # fmt: skip
    held = station(0, [("PUMP-1", "replace", "P0")], outages=outages)
    found = planned(held)
    assert found.works == planned(station(0, [])).works
    assert found.breaches == []


def test_rule_30_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """Pumps 3 and 4 in P1 count 1, agreed pumps 1 and 2 count -1: their sum is at most 1 - 2."""
    has_stored_lp("30_stability", station(1), tmp_path, request)


def test_rule_30_breach_is_named() -> None:
    """Of P1 and V1 in O1 only the first is planned; P2 is in an outage nobody speaks of."""
    agreed = [
        {"component": "P1", "action": "replace", "outage": "O1"},
        {"component": "V1", "action": "overhaul", "outage": "O1"},
    ]
    for most, wanted in ((0, ["changes"]), (1, [])):
        held = small({"most_changes_count": most}, agreed=agreed)
        assert broken(held, P1, V1, P2) == []
        assert broken(held, P1, P2) == wanted
        assert broken(held, P1) == wanted
    held = small({"most_changes_count": 1}, agreed=agreed[1:])
    [breach] = judge(held, plan(held, P1))
    assert breach.amount == 1
    assert breach.text == (
        "1 works are new beside the agreed plan and 1 of it are left out; 1 changes are allowed."
    )
