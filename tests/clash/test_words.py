"""What is told when no plan keeps everything, by hand."""

from typing import Any

import pandas as pd
import pytest

from bundler.clash.asked import listed
from bundler.clash.movers import MANAGER, SCOPER, breakable, mover
from bundler.clash.words import millions
from bundler.errors import NoPlanError
from bundler.run import plan_case
from bundler.solve.highs import Options
from tests.cases import case, one_unit

PIN = {"component": "PUMP-1", "outage": "P1", "rule": "in", "who": "manager", "why": "agreed"}


def said(**more: Any) -> list[str]:
    """Plan a station that cannot be planned and return the lines that are told."""
    with pytest.raises(NoPlanError) as caught:
        plan_case(case(**one_unit(**more)), Options())
    lines = str(caught.value).splitlines()
    assert 1 < len(lines) <= 6
    return lines


def two(**more: Any) -> dict[str, Any]:
    """Return a station with a pump, a fan, and what is given beside."""
    parts = [
        {"component": f"PUMP-{n}", "unit": "U1", "family": f} for n, f in ((1, "PUMP"), (2, "FAN"))
    ]
    families = [
        *one_unit()["families"],
        dict(one_unit()["families"][0]) | {"family": "FAN", "name": "fan"},
    ]
    actions = [*one_unit()["actions"], dict(one_unit()["actions"][0]) | {"family": "FAN"}]
    return {"components": parts, "families": families, "actions": actions} | more


def test_crews_that_are_missing_are_counted() -> None:
    """500 h in P1, where 2 heads x 50 / 7 x 0.5 x 30 d give 214.3 h in the window, 285.7 h are
    missing; extension of 10 d gives 71.4 h more, so 214.3 h are missing all the same."""
    crews = [{"resource": "M", "kind": "planned", "heads_count": 2.0, "direct_share": 0.5}]
    lines = said(pins=[PIN], crews=crews)
    title = "millwright hours in P1, days 5-35"
    assert lines[0] == f"No plan keeps every rule: 1 forced work exceeds the {title}."
    assert lines[1] == "Pinned: any work of PUMP-1 in P1 by the manager: agreed."
    assert lines[2] == (
        f"What binds: {title}: 500 h needed, 214 h there, 286 h missing, 214 h even with 10 d of "
        "extension."
    )
    assert lines[3] == (
        "The manager may take out a pin; the outage scoper may add heads; the asset manager may "
        "lengthen P1."
    )
    assert lines[4].startswith("NOT ALLOWED, shown only to tell how far it is: the nearest plan ")
    assert f"breaks {title} by 214 h (100%)" in lines[4]


def test_money_is_told_in_its_unit_with_the_cost_of_the_nearest_plan() -> None:
    """300 k$ are paid in 2029 against 100; the nearest plan is the only one: replace in P1."""
    lines = said(pins=[PIN], budgets=[{"year": 2029, "limit_cost": 100.0}])
    assert "budget in 2029: 300 k$ needed, 100 k$ there, 200 k$ missing" in lines[2]
    assert "the asset manager may raise the budget" in lines[3]
    assert "breaks budget in 2029 by 200 k$ (200%); it would cost about" in lines[4]
    assert "million $ in present value" in lines[4]


def test_a_link_is_never_given_up() -> None:
    """The pump is forced into P1 and needs the fan there, which is kept out."""
    link = {"link": "L", "rule": "needs", "first_family": "PUMP", "second_family": "FAN",
            "why": "one shaft"}  # fmt: skip
    out = {"component": "PUMP-2", "outage": "P1", "rule": "out", "who": "scope board", "why": "x"}
    lines = said(**two(links=[link], pins=[PIN, out]))
    assert lines[0] == "No plan keeps every rule: 1 forced work breaks a rule between works."
    assert "any work of PUMP-2 kept out of P1 by the scope board." in lines[1]
    assert "L (PUMP-1 and PUMP-2): one shaft (kept by licence or technical need; " in lines[2]
    assert lines[3] == (
        "The manager may take out a pin; the scope board may take out a pin; nobody may move the "
        "rest."
    )
    assert lines[4].startswith("There is no nearest plan either")


def test_a_statutory_date_against_a_dose_budget() -> None:
    """1 person-mSv by law in P1 or P2, of 0.5 there in each."""
    kinds = [dict(one_unit()["outage_kinds"][0]) | {"dose_limit_person_msv": 0.5},
             one_unit()["outage_kinds"][1]]  # fmt: skip
    actions = [dict(one_unit()["actions"][0]) | {"dose_person_msv": 1.0}]
    law = [{"component": "PUMP-1", "action": "replace", "due_date": "2030-01-01",
            "grace_days": 30.0, "why": "code"}]  # fmt: skip
    lines = said(outage_kinds=kinds, actions=actions, mandates=law)
    assert lines[0] == "No plan keeps every rule: 1 forced work exceeds the dose in P1."
    assert lines[1] == "Never given up: PUMP-1 due 2030-01-31 with its grace of 30 d: code."
    assert "dose in P1: 1 person-mSv needed, 0.5 person-mSv there, 0.5" in lines[2]
    assert lines[3] == "The asset manager may raise the dose budget of P1."


def row(measure: str, resource: str) -> pd.Series:
    return pd.Series({"limit": "l", "measure": measure, "resource": resource, "period": "P1"})


def test_who_may_move_what() -> None:
    """Crews, rooms and supplies by the scoper; money and lengths by the manager; safety by none."""
    assert mover(row("hours", "B"), "k$").role == SCOPER
    assert mover(row("head_days", "area TB"), "k$").role == SCOPER
    assert mover(row("tents", "tents"), "k$").role == SCOPER
    assert mover(row("tents", "tents"), "k$").unit == "tents"
    assert mover(row("hours", "engineering CIV"), "k$").role == MANAGER
    assert mover(row("cost", "budget"), "k$").unit == "k$"
    assert mover(row("days", "chain lifts"), "k$").act == "lengthen P1"
    for measure in ("lines", "msv"):
        assert mover(row(measure, "any"), "k$").role == ""
    table = pd.DataFrame([row("lines", "edg"), row("hours", "B")]).assign(limit=["a", "b"])
    assert breakable(table) == {"b"}


def test_money_in_millions_and_names() -> None:
    assert millions(2_091_400.0, "k$") == "2,091 million $"
    assert millions(1_500.0, "k$") == "1.5 million $"
    assert millions(2_000_000.0, "EUR") == "2 million EUR"
    assert listed(["a"]) == "a"
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert listed("abcde") == "a, b, c and 2 more"
