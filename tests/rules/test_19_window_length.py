"""Rule 19: works that follow each other fit the window with make-ready, discoveries and tests."""

from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
from tests.cases import settings
from tests.judge.small import broken
from tests.rules.pumps import family, of, parts, unit, work
from tests.rules.rule import has_stored_lp, planned

BOTH = (of("PUMP-1", "P1"), of("FAN-1", "P1"))
CRACK = {"family": "FAN", "action": "replace", "discovery": "crack", "cost": 1.0, "days": 3.0}


def station(chance: float = 0.0, chained: bool = True, **cells: Any) -> Case:
    """Return a pump and a fan of 14 days each that follow each other in the 30 days of D."""
    own = {"max_works_count": 1}
    return unit(
        parts("PUMP-1", "FAN-1"), [family(**own), family("FAN", **own)],
        [work(14.0, **cells), work(14.0, "FAN")],
        chains=[{"chain": "lift", "family": name} for name in ("PUMP", "FAN")] if chained else [],
        discoveries=[CRACK | {"chance": chance}] if chance else [],
    )  # fmt: skip


@pytest.mark.parametrize(
    "case",
    [station(make_ready_days=3.0), station(test_days=3.0), station(chance=0.5)],
    ids=["make-ready", "test", "discovery"],
)
def test_rule_19_binds_and_the_outage_is_longer_or_one_waits(case: Case) -> None:
    """31 days in 30: a day more at 120, which is less than to wait four years with one."""
    plan = planned(case)
    assert plan.works == set(BOTH)
    assert plan.picked.extension_days == pytest.approx({"P1": 1.0})
    assert plan.breaches == []


def test_rule_19_binds_and_one_waits_where_the_outage_cannot_grow_so_much() -> None:
    """42 days in 30, and at most 10 more."""
    plan = planned(station(make_ready_days=14.0))
    assert len(plan.works) == 2
    assert len({period for _, _, period in plan.works}) == 2
    assert plan.breaches == []


def test_rule_19_does_not_bind_where_all_fits() -> None:
    """30 days in 30, a discovery that is not likely, or works that need not follow each other."""
    plain = planned(station())
    for case in (
        station(make_ready_days=1.0, test_days=1.0),
        station(chained=False, test_days=3.0),
    ):
        plan = planned(case)
        assert plan.works == plain.works == set(BOTH)
        assert plan.pv_cost == pytest.approx(plain.pv_cost, rel=1e-12)
        assert plan.breaches == []
    unlikely = planned(station(chance=0.4))
    assert unlikely.works == set(BOTH)
    assert unlikely.pv_cost == pytest.approx(plain.pv_cost + 0.4, rel=1e-12)


def test_rule_19_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """The row of the chain: 14 and 17 days in 30 and what the outage is lengthened."""
    has_stored_lp("19_window_length", station(make_ready_days=3.0), tmp_path, request)


def test_rule_19_breach_more_days_in_a_row_than_there_are() -> None:
    for case in (station(make_ready_days=3.0), station(test_days=3.0), station(chance=0.5)):
        assert broken(case, *BOTH) == ["chains"]
        assert broken(case, *BOTH, extension={"P1": 1.0}) == []
    assert broken(station(make_ready_days=2.0), *BOTH) == []
    likely = Case(settings(discovery_from_chance=0.3), station(chance=0.4).tables, {})
    assert broken(station(chance=0.4), *BOTH) == []
    assert broken(likely, *BOTH) == ["chains"]
