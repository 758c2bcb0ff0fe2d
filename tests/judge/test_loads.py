import pytest

from bundler.judge import judge
from tests.judge.small import P1, P2, V1, added, broken, edited, plan, small

SET = {
    "access_sets": [{"access_set": "SC", "area": "TB"}],
    "access_members": [{"access_set": "SC", "family": "PUMP"}],
    "access_hours": [{"access_set": "SC", "resource": "M", "work_hours": 200.0}],
}
MADE = ("SC", "U1", "", "O1")


def hours(amount: float) -> list[dict[str, object]]:
    return edited("action_hours", 0, work_hours=amount)


def test_crews_of_the_window() -> None:
    # 10 heads x 8 h x 0.5 = 40 h a day; 30 days drained, 40 days in all
    assert broken(small(action_hours=hours(1200.0)), P1) == []
    case = small(action_hours=hours(1300.0))
    found = judge(case, plan(case, P1))
    assert [(breach.rule, breach.place) for breach in found] == [("crews", "O1 M")]
    assert found[0].amount == pytest.approx(100.0)
    assert "1300.0 h are planned, 1200.0 h are there" in found[0].text
    assert broken(case, P1, extension={"O1": 2.5}) == []
    assert broken(case, P1, overtime={("O1", "M"): 100.0}) == ["crews", "overtime"]


def test_crews_of_the_whole_outage() -> None:
    both = added(
        "action_hours",
        {"family": "VALVE", "action": "overhaul", "resource": "M", "work_hours": 1100.0},
    )
    assert broken(small(action_hours=both), P1, V1) == []
    both[1] |= {"work_hours": 1101.0}
    assert broken(small(action_hours=both), P1, V1) == ["crews"]


def test_base_scope_takes_its_share_of_a_window() -> None:
    base = [{"kind": "planned", "resource": "M", "work_hours": 400.0}]
    assert broken(small(action_hours=hours(900.0), base_scope=base), P1) == []
    assert broken(small(action_hours=hours(901.0), base_scope=base), P1) == ["crews"]


def test_crews_come_late_and_leave_early() -> None:
    kinds = edited("outage_kinds", 0, crew_from_days=10.0, crew_to_days=8.0)
    # days 10 to 32 of 40: 22 days
    assert broken(small(action_hours=hours(880.0), outage_kinds=kinds), P1) == []
    assert broken(small(action_hours=hours(881.0), outage_kinds=kinds), P1) == ["crews"]


def test_hours_from_paid_week_and_attendance() -> None:
    settings = {"paid_hours_per_week": 56.0, "attendance_share": 0.75}
    resources = edited("resources", 0, hours_per_day=float("nan"))
    # 56 / 7 x 0.75 = 6 h; 10 heads x 6 x 0.5 x 30 days
    assert broken(small(settings, resources=resources, action_hours=hours(900.0)), P1) == []
    assert broken(small(settings, resources=resources, action_hours=hours(901.0)), P1) == ["crews"]


def test_learning_shortens_hours_and_days(monkeypatch: pytest.MonkeyPatch) -> None:
    tables = {"action_hours": hours(1500.0)}
    assert broken(small(**tables), P1) == ["crews"]
    monkeypatch.setattr("bundler.judge.works.learning_factors", lambda site, facts: {P1: 0.81})
    assert broken(small(**tables), P1) == ["crews"]
    tables["action_hours"] = hours(1200.0 / 0.81)
    tables["actions"] = edited("actions", 0, days=30.0 / 0.81)
    assert broken(small(**tables), P1) == []
    tables["actions"] = edited("actions", 0, days=30.1 / 0.81)
    assert broken(small(**tables), P1) == ["outage_days"]


def test_access_takes_hours_too() -> None:
    assert broken(small(**SET, action_hours=hours(1000.0)), P1, access=[MADE]) == []
    assert broken(small(**SET, action_hours=hours(1001.0)), P1, access=[MADE]) == ["crews"]
    base = [{"kind": "planned", "access_set": "SC"}]
    case = small(**SET, action_hours=hours(1200.0), base_access=base)
    assert broken(case, P1, access=[MADE]) == []


def test_overtime_stays_in_its_band() -> None:
    # 0.1 x 40 h x 14 days = 56 h
    settings = {"overtime_share": 0.1, "overtime_weeks": 2.0}
    case = small(settings, action_hours=hours(1250.0))
    assert broken(case, P1) == ["crews"]
    assert broken(case, P1, overtime={("O1", "M"): 50.0}) == []
    assert broken(case, P1, overtime={("O1", "M"): 57.0}) == ["overtime"]
    assert broken(case, overtime={("U1-2028", "M"): 1.0}) == ["overtime"]
    none = small(settings, resources=edited("resources", 0, has_overtime=False))
    assert broken(none, P1, overtime={("O1", "M"): 1.0}) == ["overtime"]


def test_areas_hold_so_many_heads() -> None:
    # 1000 h / 4 h = 250 head days; 30 days x 2 shifts x floor / 20 m2
    floor = 250.0 / 30 / 2 * 20
    tight = {"action_hours": hours(1000.0), "areas": edited("areas", 0, usable_m2=floor)}
    assert broken(small(**tight), P1) == []
    tight["areas"] = edited("areas", 0, usable_m2=floor * 0.99)
    assert broken(small(**tight), P1) == ["areas"]
    assert broken(small(**tight), P1, extension={"O1": 1.0}) == []
    free = edited("resources", 0, takes_area=False)
    assert broken(small(**tight, resources=free), P1) == []


def test_areas_by_train_are_counted_apart() -> None:
    components = added(
        "components", {"component": "P3", "unit": "U1", "family": "PUMP", "train": "B"}
    )
    floor = edited("areas", 0, usable_m2=600.0 / 4 / 30 / 2 * 20)
    by_train = edited("areas", 0, usable_m2=floor[0]["usable_m2"], is_by_train=True)
    tables = {"components": components, "action_hours": hours(600.0)}
    third = ("P3", "replace", "O1")
    assert broken(small(**tables, areas=floor), P1, third) == ["areas"]
    assert broken(small(**tables, areas=by_train), P1, third) == []


def test_access_takes_floor() -> None:
    floor = edited("areas", 0, usable_m2=1200.0 / 4 / 30 / 2 * 20)
    tables = SET | {"areas": floor}
    assert broken(small(**tables, action_hours=hours(1000.0)), P1, access=[MADE]) == []
    more = edited("crews", 0, heads_count=20.0)
    case = small(**tables, action_hours=hours(1001.0), crews=more)
    assert broken(case, P1, access=[MADE]) == ["areas"]


def test_the_site_holds_so_many_heads_where_outages_overlap() -> None:
    # O2 starts 20 days after O1: each work has half of its 125 head days in the 20 shared days
    outages = edited("outages", 1, start_date="2029-01-21", freeze_date="2028-01-01")
    for heads, rules in ((6.25, []), (6.2, ["pool"])):
        resources = edited("resources", 0, pool_heads_count=heads)
        assert broken(small(outages=outages, resources=resources), P1, P2) == rules
    # base scope: 400 h / 4 h, half of it in the shared days, in each outage
    base = [{"kind": "planned", "resource": "M", "work_hours": 400.0}]
    for heads, rules in ((11.25, []), (11.2, ["pool"])):
        resources = edited("resources", 0, pool_heads_count=heads)
        case = small(outages=outages, resources=resources, base_scope=base)
        assert broken(case, P1, P2) == rules
    apart = small(resources=edited("resources", 0, pool_heads_count=1.0))
    assert broken(apart, P1, P2) == []


def test_a_work_without_hours_takes_those_of_the_work_it_is_like() -> None:
    half = {"family": "PUMP", "action": "half", "cost": 60.0, "days": 5.0, "conditions": "D"}
    actions = added("actions", half | {"like": "replace"})
    assert broken(small(actions=actions, action_hours=hours(1200.0)), ("P1", "half", "O1")) == []
    case = small(actions=actions, action_hours=hours(1201.0))
    assert broken(case, ("P1", "half", "O1")) == ["crews"]


def test_hours_of_discoveries_are_expected_ones() -> None:
    """1000 h and a quarter of 800 are the 1200 that are there."""
    found = {"family": "PUMP", "action": "replace", "discovery": "crack"}
    for amount, rules in ((800.0, []), (810.0, ["crews"])):
        case = small(
            action_hours=hours(1000.0),
            discoveries=[found | {"chance": 0.25, "cost": 500.0}],
            discovery_hours=[found | {"resource": "M", "work_hours": amount}],
        )
        assert broken(case, P1) == rules


def test_a_work_needs_the_access_of_the_work_it_is_like() -> None:
    half = {"family": "PUMP", "action": "half", "cost": 60.0, "days": 5.0, "conditions": "D"}
    member = [{"access_set": "SC", "family": "PUMP", "action": "replace"}]
    tables = SET | {"access_members": member, "actions": added("actions", half)}
    assert broken(small(**tables), ("P1", "half", "O1")) == []
    tables["actions"] = added("actions", half | {"like": "replace"})
    assert broken(small(**tables), ("P1", "half", "O1")) == ["access"]
    assert broken(small(**tables), ("P1", "half", "O1"), access=[MADE]) == []
