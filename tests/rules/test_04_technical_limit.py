"""Rule 4: on line a line is out no longer than its time limit, and one line at a time."""

from pathlib import Path

import pytest

from bundler.case import Case
from tests.judge.small import broken
from tests.rules.pumps import family, group, of, outage, parts, unit, work
from tests.rules.rule import has_stored_lp, planned


def station(days: float, longest: float = 14.0, kept: int = 1, **span: object) -> Case:
    """Return two diesels that can only be worked on in 2028, on line, with a time limit."""
    tables = group(kept, "EDG", kind="on_line")
    window = {"kind": "on_line", "condition": "E", "longest_days": longest, "to_anchor": "end"}
    return unit(
        parts("EDG-1", "EDG-2"),
        [family("EDG", max_works_count=1)],
        [work(days, "EDG", conditions="E")],
        conditions=[{"condition": "E", "name": "diesel out"}],
        windows=[window | span],
        outages=[outage("P1", 2029)],
        **tables,
    )


#: 20 days of the year in which diesels may be out
SHORT = {"to_anchor": "start", "to_days": 20.0}


def test_rule_04_binds_and_a_longer_work_is_ruled_out_with_its_reason() -> None:
    plan = planned(station(15.0))
    assert plan.works == set()
    out = plan.choices.ruled_out
    assert set(out.loc[out["component"] == "EDG-1", "reason"]) >= {"technical limit"}
    assert "15 d where 14 d is the longest single work allowed" in " ".join(out["detail"])


def test_rule_04_binds_and_one_line_is_out_at_a_time() -> None:
    """Two works of 14 days do not follow each other in 20 days: the other waits a year."""
    plan, free = planned(station(14.0, **SHORT)), planned(station(14.0, kept=0, **SHORT))
    assert len({period for _, _, period in free.works}) == 1
    assert len(plan.works) == 2
    assert len({period for _, _, period in plan.works}) == 2
    assert plan.breaches == []


def test_rule_04_does_not_bind_within_the_limit() -> None:
    """14 days are allowed, and both follow each other in a year."""
    plan, free = planned(station(14.0)), planned(station(14.0, longest=365.0, kept=0))
    assert len(plan.works) == 2
    assert plan.works == free.works
    assert plan.pv_cost == pytest.approx(free.pv_cost)
    assert plan.breaches == []


def test_rule_04_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    short = station(14.0, **SHORT)
    ends = {name: table for name, table in short.tables.items() if name != "units"}
    units = short["units"].assign(end_date=short["outages"]["start_date"].iloc[0])
    case = Case(short.settings, ends | {"units": units}, {})
    has_stored_lp("04_technical_limit", case, tmp_path, request)


def test_rule_04_breach_too_long_or_two_at_once() -> None:
    first, second = of("EDG-1", "U1-2028"), of("EDG-2", "U1-2028")
    assert broken(station(15.0), first) == ["longest"]
    assert broken(station(14.0), first, second) == []
    assert broken(station(14.0, **SHORT), first, second) == ["out_together"]
