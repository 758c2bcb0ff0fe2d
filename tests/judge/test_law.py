from dataclasses import replace

from bundler.judge import judge
from tests.judge.small import BASE, P1, P2, V1, added, broken, edited, plan, small

ON_LINE = ("V1", "overhaul", "U1-2028")


def test_a_plain_plan_holds() -> None:
    assert broken(small()) == []
    assert broken(small(), P1, P2, V1) == []


def test_names_have_to_be_known() -> None:
    assert broken(small(), ("P9", "replace", "O1")) == ["known"]
    assert broken(small(), ("P1", "rewind", "O1")) == ["known"]
    assert broken(small(), ("P1", "replace", "O9")) == ["known"]
    assert broken(small(), ("P1", "replace", "O2")) == ["known"]


def test_conditions_have_to_hold() -> None:
    assert broken(small(), ON_LINE) == []
    assert broken(small(), ("P1", "replace", "U1-2028")) == ["conditions"]
    actions = edited("actions", 0, conditions="D+any")
    assert broken(small(actions=actions), P1) == []
    assert broken(small(actions=edited("actions", 0, conditions="D+Q")), P1) == ["conditions"]


def test_a_star_stands_for_the_train_and_a_side_for_its_outages() -> None:
    actions = edited("actions", 0, conditions="B*")
    bus = {"kind": "planned", "condition": "BA", "side": "A"}
    case = small(
        actions=actions,
        windows=added("windows", bus),
        outages=edited("outages", 0, side="A"),
    )
    assert broken(case, P1) == []
    assert broken(case, P2) == ["conditions"]


def test_a_window_of_one_outage_replaces_that_of_its_kind() -> None:
    own = {"kind": "planned", "condition": "D", "outage": "O2"}
    nine = own | {"from_days": 0.0, "to_anchor": "start", "to_days": 9.0}
    case = small(
        windows=added("windows", nine), action_hours=edited("action_hours", 0, work_hours=9.0)
    )
    assert broken(case, P1) == []
    assert broken(case, P2) == ["outage_days"]
    assert broken(case, P2, extension={"O2": 1.0}) == []


def test_a_work_fits_its_span_with_the_extension() -> None:
    case = small(actions=edited("actions", 0, days=32.0))
    assert broken(case, P1, extension={"O1": 2.0}) == []
    assert broken(case, P1, extension={"O1": 1.9}) == ["outage_days"]


def test_an_outage_is_lengthened_no_further_than_its_kind_allows() -> None:
    assert broken(small(), extension={"O1": 10.0}) == []
    assert broken(small(), extension={"O1": 10.1}) == ["extension"]
    assert broken(small(), extension={"U1-2028": 1.0}) == ["extension"]


def test_parts_have_to_be_there() -> None:
    approvals = [
        {"lead_from_months": 0.0, "approval_months": 3.0},
        {"lead_from_months": 12.0, "approval_months": 6.0},
    ]
    # 2027-01-01 and 6 + 16 months and 60 days: 2028-12-31, one day before the outage
    case = small(actions=edited("actions", 0, lead_months=16.0), approval_times=approvals)
    assert broken(case, P1) == []
    # one month more: 2029-01-30, day 29 of the outage; 10 days of work, span to day 35
    case = small(actions=edited("actions", 0, lead_months=17.0), approval_times=approvals)
    found = judge(case, plan(case, P1))
    assert [(breach.rule, breach.amount) for breach in found] == [("outage_days", 4.0)]
    assert broken(case, P1, extension={"O1": 4.0}) == []


def test_no_single_work_is_longer_than_its_window_allows() -> None:
    assert broken(small(windows=edited("windows", 0, longest_days=10.0)), P1) == []
    assert broken(small(windows=edited("windows", 0, longest_days=9.0)), P1) == ["longest"]


def test_drawings_are_complete_in_time() -> None:
    kinds = edited("outage_kinds", 0, design_days=100.0)
    due = small(outage_kinds=kinds, actions=edited("actions", 0, design_months=20.0))
    late = small(outage_kinds=kinds, actions=edited("actions", 0, design_months=21.0))
    assert broken(due, P1) == []
    found = judge(late, plan(late, P1))
    assert [(breach.rule, breach.amount) for breach in found] == [("engineering", 8.0)]


def test_a_frozen_outage_takes_only_what_is_pinned_in() -> None:
    outages = edited("outages", 0, freeze_date="2027-01-01")
    pin = {"component": "P1", "outage": "O1", "rule": "in", "who": "board"}
    assert broken(small(outages=outages), P1) == ["freeze"]
    assert broken(small(outages=outages, pins=[pin]), P1) == []
    assert broken(small(outages=outages, pins=[pin | {"action": "rewind"}]), P1) == [
        "freeze",
        "pin",
    ]


def test_works_of_a_component_follow_each_other() -> None:
    inspect = BASE["actions"][1] | {"action": "inspect"}
    case = small(actions=added("actions", inspect))
    assert broken(case, V1, ("V1", "inspect", "U1-2028")) == []
    assert broken(case, V1, ("V1", "inspect", "O1")) == ["one_work"]


def test_a_component_has_no_more_works_than_allowed() -> None:
    case = small({"max_actions_count": 1})
    assert broken(case, V1) == []
    assert broken(case, V1, ON_LINE) == ["work_count"]
    own = small({"max_actions_count": 1}, families=edited("families", 1, max_works_count=2.0))
    assert broken(own, V1, ON_LINE) == []


def test_statutory_dates_are_kept() -> None:
    due = {"component": "V1", "due_date": "2029-01-05"}
    assert broken(small(mandates=[due]), V1) == ["mandate"]
    assert broken(small(mandates=[due | {"grace_days": 1.0}]), V1) == []
    assert broken(small(mandates=[due])) == ["mandate"]
    assert broken(small(mandates=[due]), ON_LINE) == []
    assert broken(small(mandates=[due | {"action": "inspect"}]), ON_LINE) == ["mandate"]


def test_statutory_dates_come_back() -> None:
    due = {"component": "V1", "due_date": "2029-01-06", "interval_months": 120.0}
    # done on day 736, due again on 4388.5, 2039-01-06
    assert broken(small(mandates=[due]), V1) == ["mandate"]
    assert broken(small(mandates=[due]), V1, ("V1", "overhaul", "U1-2038")) == []
    assert broken(small(mandates=[due]), V1, ("V1", "overhaul", "U1-2040")) == ["mandate"]
    assert broken(small(mandates=[due]), V1, ("V1", "overhaul", "U1-2036")) == ["mandate"]


def test_no_component_outgrows_its_qualified_life() -> None:
    # 20 years old at planning: limit 22.05 falls on day 748.76, P1 is done on day 746
    components = edited("components", 1, renewed_date="2027-01-01")
    families = edited("families", 0, age_limit_years=22.05)
    case = small(components=components, families=families)
    assert broken(case, P1) == []
    assert broken(case) == ["age_limit"]
    early = small(components=components, families=edited("families", 0, age_limit_years=22.04))
    assert broken(early, P1) == ["age_limit"]
    partly = edited("actions", 0, restoration_share=0.9)
    case = small(components=components, families=families, actions=partly)
    assert broken(case, P1) == ["age_limit"]


def test_pins_are_kept() -> None:
    pin = {"component": "P1", "rule": "in", "who": "board"}
    assert broken(small(pins=[pin]), P1) == []
    assert broken(small(pins=[pin])) == ["pin"]
    assert broken(small(pins=[pin | {"outage": "O2"}]), P1) == ["pin"]
    assert broken(small(pins=[pin | {"rule": "out"}])) == []
    assert broken(small(pins=[pin | {"rule": "out"}]), P1) == ["pin"]
    assert broken(small(pins=[pin | {"rule": "out", "outage": "O2"}]), P1) == []


def test_access_is_made_where_it_is_needed() -> None:
    tables = {
        "access_sets": [{"access_set": "SC", "setup_cost": 40.0, "setup_days": 3.0}],
        "access_members": [{"access_set": "SC", "family": "PUMP"}],
    }
    case = small(**tables)
    made = ("SC", "U1", "", "O1")
    assert broken(case, P1, access=[made]) == []
    assert broken(case, P1) == ["access"]
    assert broken(case, P1, access=[("SC", "U2", "", "O2")]) == ["access"]
    assert broken(case, V1) == []
    assert broken(case, P1, access=[made, ("SC", "U1", "A", "O1")]) == ["access"]
    assert broken(case, P1, access=[made, ("SC", "U1", "", "U1-2028")]) == ["known"]
    assert broken(small(**tables, base_access=[{"kind": "planned", "access_set": "SC"}]), P1) == []


def test_access_by_train_takes_days_before_its_members() -> None:
    tables = {
        "access_sets": [{"access_set": "SC", "is_by_train": True, "setup_days": 3.0}],
        "access_members": [{"access_set": "SC", "family": "PUMP"}],
    }
    made = ("SC", "U1", "A", "O1")
    fits = small(**tables, actions=edited("actions", 0, days=27.0))
    assert broken(fits, P1, access=[made]) == []
    assert broken(fits, P1, access=[("SC", "U1", "B", "O1")]) == ["access"]
    long = small(**tables, actions=edited("actions", 0, days=28.0))
    assert broken(long, P1, access=[made]) == ["outage_days"]


def test_costs_that_are_claimed_have_to_follow_from_the_tables() -> None:
    case = small()
    facts = plan(case, P1, V1)
    for name, cost in facts.claimed.items():
        share = 0.003 if name in ("objective_pv_cost", "risk_pv_cost") else 0.0002
        wrong = replace(facts, claimed=facts.claimed | {name: cost * (1 + share) + 1.1})
        assert [breach.place for breach in judge(case, wrong)] == [name]
        near = replace(facts, claimed=facts.claimed | {name: cost + 0.9})
        assert judge(case, near) == []
    silent = {name: cost for name, cost in facts.claimed.items() if name != "risk_pv_cost"}
    assert [breach.rule for breach in judge(case, replace(facts, claimed=silent))] == ["cost"]
