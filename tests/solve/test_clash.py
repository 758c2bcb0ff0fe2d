"""What is told when no plan keeps everything, by hand."""

from typing import Any

import pytest

from bundler.errors import NoPlanError
from bundler.run import plan_case
from bundler.solve.highs import Options
from tests.cases import case, one_unit

PIN = {"component": "PUMP-1", "outage": "P1", "rule": "in", "who": "manager", "why": "agreed"}


def said(**more: Any) -> str:
    """Plan a station that cannot be planned and return what is told."""
    with pytest.raises(NoPlanError) as caught:
        plan_case(case(**one_unit(**more)), Options())
    return str(caught.value)


def test_crews_that_are_missing_are_counted() -> None:
    """500 h in P1, where 2 heads x 50 / 7 x 0.5 x 30 d give 214.3 h in the window: extension of
    10 d gives 71.4 h more, so at least 214 h are missing there."""
    crews = [{"resource": "M", "kind": "planned", "heads_count": 2.0, "direct_share": 0.5}]
    text = said(pins=[PIN], crews=crews)
    assert "millwright hours in P1, days 5-35: 214 h missing" in text
    assert "Take out a pin, or raise these limits" in text


def test_money_and_dose_are_told_in_their_units() -> None:
    text = said(pins=[PIN], budgets=[{"year": 2029, "limit_cost": 100.0}])
    assert "budget in 2029: 200 k$ missing" in text


def test_rules_between_works_that_clash_are_told_apart() -> None:
    """A is forced into P1 and needs B there, which is forced out."""
    parts = [
        {"component": f"PUMP-{n}", "unit": "U1", "family": f} for n, f in ((1, "PUMP"), (2, "FAN"))
    ]
    families = [
        *one_unit()["families"],
        dict(one_unit()["families"][0]) | {"family": "FAN", "name": "fan"},
    ]
    actions = [*one_unit()["actions"], dict(one_unit()["actions"][0]) | {"family": "FAN"}]
    link = {"link": "L", "rule": "needs", "first_family": "PUMP", "second_family": "FAN"}
    out = {"component": "PUMP-2", "rule": "out", "who": "manager", "why": "agreed"}
    text = said(components=parts, families=families, actions=actions, links=[link], pins=[PIN, out])
    assert "contradict each other" in text
