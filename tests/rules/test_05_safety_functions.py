"""Rule 5: each safety function keeps its least equipment in each state of a shutdown.

As NUMARC 91-06 and CSA N290.11 ask: heat sinks, power, inventory, containment and reactivity.
"""

from pathlib import Path

import pytest

from bundler.case import Case
from tests.judge.small import broken
from tests.rules.pumps import family, of, parts, unit, work
from tests.rules.rule import has_stored_lp, planned

HEAT = {of("AFP-1", "P1"), of("SWP-1", "P1"), of("SDC-1", "P1")}


def station(kept: int, kept_empty: int | None = None, empty_to: float = 35.0) -> Case:
    """Return three heat sinks of three families, with works of 16 days in the 30 days of D.

    With the core empty, from day 5 to `empty_to`, another count may hold.
    """
    needs = [{"group": "HEAT", "kind": "planned", "in_service_count": kept}]
    if kept_empty is not None:
        needs += [needs[0] | {"condition": "F", "in_service_count": kept_empty}]
    names = ("AFP", "SWP", "SDC")
    return unit(
        parts(*(f"{name}-1" for name in names)),
        [family(name) for name in names],
        [work(16.0, name) for name in names],
        conditions=[{"condition": "D", "name": "drained"}, {"condition": "F", "name": "core empty"}],
        windows=[
            {"kind": "planned", "condition": "D", "from_days": 5.0, "to_days": -5.0},
            {"kind": "planned", "condition": "F", "from_days": 5.0, "to_anchor": "start",
             "to_days": empty_to},
        ],
        groups=[{"group": "HEAT", "name": "heat sinks"}],
        group_members=[{"group": "HEAT", "family": name} for name in names],
        group_needs=needs,
    )  # fmt: skip


def in_p1(works: set[tuple[str, str, str]]) -> int:
    return len([one for one in works if one[2] == "P1"])


def test_rule_05_binds_over_families_and_keeps_two_heat_sinks() -> None:
    plan, free = planned(station(2)), planned(station(0))
    assert free.works >= HEAT
    assert in_p1(plan.works) == 1
    assert plan.pv_cost > free.pv_cost
    assert plan.breaches == []


def test_rule_05_does_not_bind_with_the_core_empty() -> None:
    """Two have to stay, but none while the core is empty, which is all of the time of D."""
    plan, free = planned(station(2, 0)), planned(station(0))
    assert plan.works == free.works
    assert plan.pv_cost == pytest.approx(free.pv_cost)
    assert plan.breaches == []


def test_rule_05_binds_outside_the_condition_only() -> None:
    """The core is empty for 10 of the 30 days: too few for two works of 16 days at once."""
    plan = planned(station(2, 0, empty_to=15.0))
    assert in_p1(plan.works) == 1
    # for 16 days of them all three can be out at once
    assert in_p1(planned(station(2, 0, empty_to=21.0)).works) == 3


def test_rule_05_is_never_for_sale() -> None:
    """However dear waiting is, no added day and no price buys a second line out."""
    limits = planned(station(2)).choices.limits
    own = limits[limits["measure"] == "lines"]
    assert len(own) > 0
    assert (own["extension_amount"] == 0).all() and (own["overtime"] == "").all()


def test_rule_05_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("05_safety_functions", station(2, 1, empty_to=21.0), tmp_path, request)


def test_rule_05_breach_two_heat_sinks_at_once() -> None:
    two = [of("AFP-1", "P1"), of("SWP-1", "P1")]
    assert broken(station(2), *two) == ["out_together"]
    assert broken(station(2), two[0]) == []
    assert broken(station(2, 1), *two) == []
    assert broken(station(2, 1), *two, of("SDC-1", "P1")) == ["out_together"]
