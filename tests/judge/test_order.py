import pytest

from tests.judge.small import P1, V1, added, broken, edited, small

PAIR = {"link": "l", "first_family": "PUMP", "second_family": "VALVE"}
Works = tuple[tuple[str, str, str], ...]
EARLY = ("V1", "overhaul", "U1-2028")
LATE = ("V1", "overhaul", "U1-2030")


def days_of_valve(days: float) -> list[dict[str, object]]:
    return edited("actions", 1, days=days)


def test_works_of_a_chain_follow_each_other() -> None:
    chains = [{"chain": "lifts", "family": "PUMP"}, {"chain": "lifts", "family": "VALVE"}]
    # 10 days of the pump inside the 40 of the valve
    assert broken(small(chains=chains, actions=days_of_valve(30.0)), P1, V1) == []
    case = small(chains=chains, actions=days_of_valve(31.0))
    assert broken(case, P1, V1) == ["chains"]
    assert broken(case, P1, V1, extension={"O1": 1.0}) == []
    assert broken(case, V1) == []
    starred = [row | {"chain": "lifts-*"} for row in chains]
    assert broken(small(chains=starred, actions=days_of_valve(31.0)), P1, V1) == []


def test_late_parts_shorten_a_chain() -> None:
    chains = [{"chain": "lifts", "family": "PUMP"}]
    pumps = added("components", {"component": "P3", "unit": "U1", "family": "PUMP"})
    both = (P1, ("P3", "replace", "O1"))
    # delivery 2028-11-01 (13 + 9 months) and 86 days: 2029-01-26, day 25 of the outage
    tables = {
        "chains": chains,
        "components": pumps,
        "approval_times": [{"lead_from_months": 0.0, "approval_months": 9.0}],
    }
    assert broken(small(**tables), *both) == []
    late = edited("actions", 0, lead_months=13.0)
    case = small({"receive_days": 86.0}, **tables, actions=late)
    assert broken(case, P1) == []
    assert broken(case, *both) == ["chains"]


@pytest.mark.parametrize(
    ("rule", "good", "bad"),
    [
        ("needs", [(), (V1,), (P1, V1)], [(P1,), (P1, LATE)]),
        ("together", [(), (P1, V1)], [(P1,), (V1,), (P1, EARLY)]),
        ("before", [(), (P1,), (P1, V1), (P1, LATE)], [(V1,), (P1, EARLY)]),
        ("triggers", [(), (V1,), (P1, V1), (P1, EARLY)], [(P1,), (P1, LATE)]),
        ("apart", [(), (P1,), (P1, V1), (P1, EARLY)], []),
    ],
)
def test_links(rule: str, good: list[Works], bad: list[Works]) -> None:
    case = small(links=[PAIR | {"rule": rule}])
    for works in good:
        assert broken(case, *works) == [], works
    for works in bad:
        assert broken(case, *works) == ["links"], works


@pytest.mark.parametrize("rule", ["before", "apart"])
def test_order_inside_an_outage(rule: str) -> None:
    # the pump is done on day 15 at the earliest; the valve has until day 40
    links = [PAIR | {"rule": rule}]
    assert broken(small(links=links, actions=days_of_valve(25.0)), P1, V1) == []
    assert broken(small(links=links, actions=days_of_valve(26.0)), P1, V1) == ["links"]


@pytest.mark.parametrize(
    ("match", "rules"),
    [("station", ["links"]), ("unit", ["links"]), ("train", []), ("position", ["links"])],
)
def test_what_first_and_second_share(match: str, rules: list[str]) -> None:
    case = small(links=[PAIR | {"rule": "needs", "match": match}])
    assert broken(case, P1) == rules


def test_a_link_may_hold_in_one_unit_and_for_one_action() -> None:
    link = PAIR | {"rule": "needs"}
    assert broken(small(links=[link | {"only_unit": "U1"}]), P1) == ["links"]
    assert broken(small(links=[link | {"only_unit": "U2"}]), P1) == []
    assert broken(small(links=[link | {"first_action": "rewind"}]), P1) == []
    assert broken(small(links=[link | {"second_action": "inspect"}]), P1, V1) == ["links"]


def test_a_family_apart_from_itself() -> None:
    components = added("components", {"component": "P3", "unit": "U1", "family": "PUMP"})
    links = [PAIR | {"rule": "apart", "second_family": "PUMP"}]
    both = (P1, ("P3", "replace", "O1"))
    tables = {"components": components, "links": links}
    assert broken(small(**tables, actions=edited("actions", 0, days=15.0)), *both) == []
    assert broken(small(**tables, actions=edited("actions", 0, days=16.0)), *both) == ["links"]
