"""The judge on lines of a group that are out together, each case worked by hand."""

from typing import Any

from bundler.judge import judge
from tests.judge.small import V1, Rows, added, broken, edited, plan, small

P1, P3 = ("P1", "replace", "O1"), ("P3", "replace", "O1")
P4 = ("P4", "replace", "O1")


def station(days: float, kept: int = 1, kind: str = "planned", **more: Rows) -> Any:
    """Return three pumps of U1 in the 30 days of D; so many have to stay in service."""
    parts = [{"component": name, "unit": "U1", "family": "PUMP", "train": train}
             for name, train in (("P3", "B"), ("P4", "B"))]  # fmt: skip
    tables: dict[str, Rows] = {
        "components": added("components", *parts),
        "actions": edited("actions", 0, days=days),
        "action_hours": edited("action_hours", 0, work_hours=50.0),
        "groups": [{"group": "G", "name": "pumps"}],
        "group_members": [{"group": "G", "family": "PUMP"}],
        "group_needs": [{"group": "G", "kind": kind, "in_service_count": kept}],
    }
    return small(**(tables | more))


def test_one_line_at_a_time() -> None:
    assert broken(station(15.0, 2), P1, P3) == []  # one after the other: 15 + 15 <= 30
    assert broken(station(16.0, 2), P1, P3) == ["out_together"]
    assert broken(station(16.0, 2), P1) == []
    assert broken(station(15.0, 2), P1, P3, P4) == ["out_together"]  # 45 line days in 30


def test_two_lines_at_a_time() -> None:
    assert broken(station(16.0, 1), P1, P3) == []
    assert broken(station(16.0, 1), P1, P3, P4) == ["out_together"]  # no two follow each other
    assert broken(station(15.0, 1), P1, P3, P4) == []


def test_no_line_at_all() -> None:
    assert broken(station(10.0, 3), P1) == ["out_together"]
    assert broken(station(10.0, 3), V1) == []
    assert broken(station(10.0, 3, "on_line"), P1, P3) == []


def test_days_added_to_an_outage_are_not_counted_on() -> None:
    assert broken(station(16.0, 2), P1, P3, extension={"O1": 10.0}) == ["out_together"]


def test_a_train_is_one_line() -> None:
    groups = [{"group": "G", "name": "pumps", "line_by": "train"}]
    assert broken(station(16.0, 1, groups=groups), P3, P4) == []  # both of train B
    assert broken(station(16.0, 1, groups=groups), P1, P3) == ["out_together"]
    assert broken(station(16.0, 1, groups=groups), P1, P3, P4) == ["out_together"]


def test_only_one_train_may_be_a_member() -> None:
    members = [{"group": "G", "family": "PUMP", "train": "B"}]
    assert broken(station(16.0, 1, group_members=members), P1, P3) == []
    assert broken(station(16.0, 1, group_members=members), P3, P4) == ["out_together"]


def test_a_condition_replaces_the_row_of_its_kind() -> None:
    needs = [
        {"group": "G", "kind": "planned", "in_service_count": 2},
        {"group": "G", "kind": "planned", "condition": "D", "in_service_count": 1},
    ]
    assert broken(station(16.0, group_needs=needs), P1, P3) == []
    stricter = [needs[0], needs[1] | {"in_service_count": 3}]
    assert broken(station(16.0, group_needs=stricter), P1) == ["out_together"]


def test_the_sentence_names_group_works_and_days() -> None:
    case = station(15.0, 2)
    [breach] = judge(case, plan(case, P1, P3, P4))
    assert breach.text == (
        "pumps of U1 in O1: 3 of its lines are out of service for 45.0 days together "
        "from 2029-01-06 to 2029-02-05, 30.0 may be."
    )
    case = station(16.0, 2)
    breach = judge(case, plan(case, P1, P3))[0]
    assert breach.text == (
        "pumps of U1 in O1: P1 (replace) in O1 and P3 (replace) in O1 can only be done at once, "
        "and fewer lines may be out then."
    )
