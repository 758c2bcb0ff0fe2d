"""Rule 29, fix and forbid: what people have decided is done, and what safety bars stays barred."""

from pathlib import Path
from typing import Any

import pytest

from bundler.case import Case
from bundler.compose import choices_of
from bundler.errors import NoPlanError
from tests.cases import case, one_unit
from tests.judge.small import P1, added, broken, small
from tests.rules.rule import has_stored_lp, planned

WHO = {"who": "scope board", "why": "the maker stops in 2031"}
IN_P1 = {("PUMP-1", "replace", "P1")}


def station(*pins: dict[str, Any], **more: Any) -> Case:
    """Return one old pump that is best replaced in P1, with pins."""
    own = [{"component": "PUMP-1", **WHO, **pin} for pin in pins]
    parts = [{"component": "PUMP-1", "unit": "U1", "family": "PUMP", "age_ratio": 1.5}]
    return case(**one_unit(pins=own, components=parts, **more))


def locks(held: Case) -> dict[str, str]:
    """Return why each period is locked, by period."""
    out = choices_of(held)[0].ruled_out
    own = out[out["reason"] == "lock"]
    return dict(zip(own["period"], own["detail"], strict=True))


def test_rule_29_binds_in_out_and_only() -> None:
    """Free it goes into P1; each pin moves it elsewhere, and each costs something."""
    free = planned(station())
    assert free.works == IN_P1
    for pin, works in (
        ({"rule": "in", "outage": "P2"}, {("PUMP-1", "replace", "P2")}),
        ({"rule": "out"}, set()),
        ({"rule": "out", "outage": "P1"}, {("PUMP-1", "replace", "P2")}),
        ({"rule": "only", "outage": "P2"}, {("PUMP-1", "replace", "P2")}),
        ({"rule": "only", "outage": "P2", "action": "replace"}, {("PUMP-1", "replace", "P2")}),
    ):
        found = planned(station(pin))
        assert works <= found.works
        assert found.pv_cost > free.pv_cost or pin["rule"] == "in"
        assert found.breaches == []


def test_rule_29_binds_with_who_and_why() -> None:
    assert locks(station({"rule": "out", "outage": "P1"})) == {
        "P1": "forced out by scope board: the maker stops in 2031"
    }
    assert locks(station({"rule": "only", "outage": "P2"})) == {
        "P1": "held in P2 by scope board: the maker stops in 2031"
    }
    single = [{**one_unit()["families"][0], "max_works_count": 1.0}]
    assert locks(station({"rule": "in", "action": "replace", "outage": "P2"}, families=single)) == {
        "P1": "scope board asks for replace in P2: the maker stops in 2031"
    }


def test_rule_29_binds_on_work_like_the_one_named() -> None:
    """A swap counts as a replacement: it meets the pin in, and falls under the pin out."""
    action = one_unit()["actions"][0]
    swap = {**action, "action": "swap", "like": "replace", "cost": 100.0}
    both = {"actions": [action, swap]}
    found = planned(station({"rule": "in", "action": "replace", "outage": "P2"}, **both))
    assert ("PUMP-1", "swap", "P2") in found.works
    assert found.breaches == []
    assert planned(station({"rule": "out", "action": "replace"}, **both)).works == set()
    found = planned(station({"rule": "out", "action": "swap"}, **both))
    assert found.works == IN_P1


def test_rule_29_binds_in_spite_of_the_freeze_only() -> None:
    """A pin overrides scope freeze, but no condition: the system is not drained in P1."""
    outages = [
        {**row, "freeze_date": "2026-12-01"} if row["outage"] == "P1" else row
        for row in one_unit()["outages"]
    ]
    pin = {"rule": "in", "outage": "P1", "action": "replace"}
    assert planned(station(outages=outages)).works == {("PUMP-1", "replace", "P2")}
    assert planned(station(pin, outages=outages)).works >= IN_P1
    windows = [{"kind": "planned", "condition": "D", "outage": "P2"}]
    with pytest.raises(NoPlanError) as told:
        planned(station(pin, windows=windows))
    assert str(told.value) == (
        "No plan keeps every rule: PUMP-1: no choice of works keeps pins.csv row 2 (replace P1), "
        "because: needs D (drained), which does not hold then. The scope board may correct or take "
        "out the pin."
    )


def test_rule_29_binds_against_a_statutory_date() -> None:
    """Forced out of the only outage in time: the sentence names the pin."""
    due = [{"component": "PUMP-1", "due_date": "2030-01-01"}]
    with pytest.raises(NoPlanError, match=r"or take out what pins\.csv forces out in row 2\."):
        planned(station({"rule": "out", "outage": "P1"}, mandates=due))


def test_rule_29_does_not_bind_where_the_plan_agrees() -> None:
    free = planned(station())
    for pin in (
        {"rule": "in", "outage": "P1"},
        {"rule": "only", "outage": "P1"},
        {"rule": "out", "outage": "P2"},
    ):
        found = planned(station(pin))
        assert (found.works, found.breaches) == (IN_P1, [])
        assert found.pv_cost == pytest.approx(free.pv_cost)


def test_rule_29_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """Held in P2: of four courses there are two, no work and replaced in P2."""
    held = station({"rule": "only", "outage": "P2", "action": "replace"})
    has_stored_lp("29_pins", held, tmp_path, request)


def test_rule_29_breach_is_named() -> None:
    pin = {"component": "P1", "who": "board", "why": "promised"}
    swap = {"family": "PUMP", "action": "swap", "like": "replace", "cost": 1.0, "days": 10.0,
            "conditions": "D"}  # fmt: skip
    actions = added("actions", swap)
    for own, bad, good in (
        ({"rule": "in", "outage": "O1"}, [], [P1]),
        ({"rule": "in", "action": "replace"}, [], [("P1", "swap", "O1")]),
        ({"rule": "out"}, [P1], []),
        ({"rule": "out", "action": "replace"}, [("P1", "swap", "O1")], []),
        ({"rule": "out", "action": "swap"}, [("P1", "swap", "O1")], [P1]),
        ({"rule": "only", "outage": "O1", "action": "replace"}, [("P1", "swap", "O3")], [P1]),
        ({"rule": "only", "outage": "O1"}, [("P1", "replace", "O3")], []),
    ):
        third = {"outage": "O3", "unit": "U1", "kind": "planned", "start_date": "2035-01-01",
                 "days": 40.0, "freeze_date": "2034-01-01"}  # fmt: skip
        held = small(pins=[pin | own], actions=actions, outages=added("outages", third))
        assert broken(held, *bad) == ["pin"]
        assert broken(held, *good) == []
