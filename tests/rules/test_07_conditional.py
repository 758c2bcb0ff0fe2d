"""Rule 7: work that asks for other work, with it or in its stead."""

from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
from tests.judge.small import broken
from tests.rules.pumps import family, of, outage, parts, unit, work
from tests.rules.rule import has_stored_lp, planned

#: a test of tubes, which renews nothing
TEST = work(5.0, "TUB", "test", cost=7.0, restoration_share=0.0)


def bundle(linked: bool = True) -> Case:
    """Return a bundle best renewed and its valves, hardly ever failing, that go with it."""
    links = [{"link": "with", "rule": "needs", "first_family": "MSR", "second_family": "DRN"}]
    return unit(
        parts("MSR-1", "DRN-1"),
        [family("MSR"), family("DRN", life_years=500.0)],
        [work(name="MSR"), work(name="DRN", cost=20.0)],
        links=links if linked else [],
    )


def tubes(life_years: float, **cells: Any) -> Case:
    """Return tubes to be tested in each outage until they are replaced; `cells` of the link."""
    link = {"link": "or-test", "rule": "instead", "first_family": "TUB", "first_action": "replace",
            "second_family": "TUB", "second_action": "test", "match": "position"}  # fmt: skip
    outages = cells.pop("outages", [outage("P1", 2029), outage("P2", 2033)])
    return unit(
        parts("TUB-1", "TUB-2"),
        [family("TUB", life_years=life_years)],
        [work(name="TUB", cost=100.0), TEST],
        outages=outages,
        links=[link | cells] if cells.get("rule") != "none" else [],
    )


def periods_tested(component: str, works: set[tuple[str, str, str]]) -> list[str]:
    return sorted(period for name, action, period in works if (name, action) == (component, "test"))


def test_rule_07_binds_and_valves_go_with_their_bundle() -> None:
    plan, free = planned(bundle()), planned(bundle(linked=False))
    assert not [one for one in free.works if one[0] == "DRN-1"]
    periods = {
        name: {one[2] for one in plan.works if one[0] == name} for name in ("MSR-1", "DRN-1")
    }
    assert periods["MSR-1"] and periods["MSR-1"] <= periods["DRN-1"]
    assert plan.pv_cost >= free.pv_cost + 20.0 - 1e-6
    assert plan.breaches == []


def test_rule_07_binds_and_what_is_not_replaced_is_tested() -> None:
    """Tubes that hardly ever fail are not replaced: both are tested in both outages, 4 x 7."""
    plan, free = planned(tubes(500.0)), planned(tubes(500.0, rule="none"))
    assert free.works == set()
    for name in ("TUB-1", "TUB-2"):
        assert periods_tested(name, plan.works) == ["P1", "P2"]
    assert plan.pv_cost - free.pv_cost == pytest.approx(28.0, abs=0.01)
    assert plan.breaches == []


def test_rule_07_does_not_bind_once_the_first_is_done() -> None:
    """Old tubes are replaced in P1 anyway: no test is asked for, then or later."""
    plan, free = planned(tubes(15.0)), planned(tubes(15.0, rule="none"))
    assert {of("TUB-1", "P1"), of("TUB-2", "P1")} <= free.works
    assert plan.works == free.works
    assert plan.pv_cost == pytest.approx(free.pv_cost)
    assert plan.breaches == []


def test_rule_07_does_not_bind_in_other_kinds_and_in_frozen_outages() -> None:
    """Only asked in its kind of outage, and not where the scope is closed already."""
    frozen = [outage("P1", 2029, freeze_date="2026-06-01"), outage("P2", 2033)]
    assert periods_tested("TUB-1", planned(tubes(500.0, outages=frozen)).works) == ["P2"]
    assert planned(tubes(500.0, only_kind="on_line")).works == set()


def test_rule_07_does_not_bind_where_neither_can_be_done() -> None:
    """Works of 60 days fit no outage of 40 with 10 more: no row, and nothing for the judge."""
    long = Case(
        (base := tubes(500.0)).settings,
        base.tables | {"actions": base["actions"].assign(days=60.0)},
        {},
    )
    plan = planned(long)
    assert plan.works == set()
    assert plan.choices.links.empty
    assert plan.breaches == []


def test_rule_07_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("07_conditional", tubes(500.0, outages=[outage("P1", 2029)]), tmp_path, request)


def test_rule_07_breach_neither_work_nor_the_one_in_its_stead() -> None:
    case = tubes(500.0, outages=[outage("P1", 2029), outage("P2", 2033)])
    second = (of("TUB-2", "P1"),)
    assert broken(case, of("TUB-1", "P1", "test"), of("TUB-1", "P2", "test"), *second) == []
    assert broken(case, of("TUB-1", "P1", "test"), of("TUB-1", "P2"), *second) == []
    assert broken(case, of("TUB-1", "P1", "test"), *second) == ["links"]
    assert broken(case, of("TUB-1", "P2"), *second) == ["links"]
    assert broken(bundle(), of("MSR-1", "P1")) == ["links"]
    assert broken(bundle(), of("MSR-1", "P1"), of("DRN-1", "P1")) == []
