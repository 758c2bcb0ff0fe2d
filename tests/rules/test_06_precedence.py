"""Rule 6: work that has to be done before other work, with the days between the two."""

from pathlib import Path

import pytest

from bundler.case import Case
from tests.judge.small import broken
from tests.rules.pumps import family, of, parts, unit, work
from tests.rules.rule import has_stored_lp, planned


def station(days: tuple[float, ...], lag_days: float = 0.0, rule: str = "before") -> Case:
    """Return works of so many days, by families A, B, C, each to be done before the next."""
    names = "ABC"[: len(days)]
    links = [
        {"link": f"{a}-{b}", "rule": rule, "first_family": a, "second_family": b,
         "lag_days": lag_days}
        for a, b in zip(names, names[1:], strict=False)
    ]  # fmt: skip
    return unit(
        parts(*(f"{name}-1" for name in names)),
        [family(name, max_works_count=1) for name in names],
        [work(count, name) for name, count in zip(names, days, strict=True)],
        links=links,
    )


def first(plan_works: set[tuple[str, str, str]]) -> set[str]:
    return {component for component, _, period in plan_works if period == "P1"}


def test_rule_06_binds_and_the_second_waits() -> None:
    """18 + 13 days do not follow each other in 30: the second goes into the next outage."""
    plan = planned(station((18.0, 13.0)))
    assert first(plan.works) == {"A-1"}
    assert of("B-1", "P2") in plan.works
    assert plan.breaches == []


def test_rule_06_binds_by_the_days_between() -> None:
    """15 + 12 days fit into 30, but not with 4 days to cure between them; with 3 they do."""
    assert first(planned(station((15.0, 12.0))).works) == {"A-1", "B-1"}
    assert first(planned(station((15.0, 12.0), 3.0)).works) == {"A-1", "B-1"}
    plan = planned(station((15.0, 12.0), 4.0))
    assert first(plan.works) == {"A-1"}
    assert plan.breaches == []


def test_rule_06_binds_three_in_a_row_though_each_pair_fits() -> None:
    """12 + 10 + 9 = 31 days do not fit into 30; every two of them do."""
    plan = planned(station((12.0, 10.0, 9.0)))
    assert first(plan.works) == {"A-1", "B-1"}
    assert len(plan.works) == 3
    assert plan.breaches == []
    assert first(planned(station((12.0, 10.0, 8.0))).works) == {"A-1", "B-1", "C-1"}


def test_rule_06_does_not_bind_where_all_fit() -> None:
    plan, free = (
        planned(station((10.0, 9.0, 8.0))),
        planned(station((10.0, 9.0, 8.0), 0.0, "apart")),
    )
    assert first(plan.works) == {"A-1", "B-1", "C-1"}
    assert plan.works == free.works
    assert plan.pv_cost == pytest.approx(free.pv_cost)
    assert plan.breaches == []


def test_rule_06_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    has_stored_lp("06_precedence", station((12.0, 10.0, 9.0)), tmp_path, request)


def test_rule_06_breach_order_cure_and_path() -> None:
    both = (of("A-1", "P1"), of("B-1", "P1"))
    assert broken(station((18.0, 13.0)), *both) == ["links"]
    assert broken(station((17.0, 13.0)), *both) == []
    assert broken(station((15.0, 12.0), 4.0), *both) == ["links"]
    assert broken(station((15.0, 12.0), 3.0), *both) == []
    assert broken(station((15.0, 12.0)), of("B-1", "P1")) == ["links"]
    three = (*both, of("C-1", "P1"))
    assert broken(station((12.0, 10.0, 9.0)), *three) == ["links"]
    assert broken(station((12.0, 10.0, 8.0)), *three) == []
    assert broken(station((12.0, 10.0, 9.0)), *both, of("C-1", "P2")) == []
