"""Rule 28, risk appetite: no single item fails too often in a year, and bad cases count."""

from pathlib import Path

import pytest

from bundler.case import Case
from bundler.choice import Lives
from bundler.compose import choices_of, with_lives
from bundler.errors import NoPlanError
from bundler.judge import judge
from bundler.program.build import build_program
from bundler.run import Run, plan_case
from tests.cases import case, one_unit
from tests.judge.small import edited, plan, small
from tests.rules.rule import EXACT, GOLDEN, has_stored_lp, planned

#: a pump of 20 years at planning, mended cheaply: by money alone it is never replaced
IN_P1 = {("PUMP-1", "replace", "P1")}


def station(cap: float | None = None, repair_cost: float = 1.0, sigma_ratio: float = 0.25) -> Case:
    """Return one pump with a cap on its expected failures in a year."""
    family = {
        **one_unit()["families"][0],
        "most_failures_per_year": cap,
        "forced_days": 0.0,
        "repair_cost": repair_cost,
        "life_sigma_ratio": sigma_ratio,
    }
    return case(**one_unit(families=[family]))


def test_rule_28_binds_and_asks_for_work_that_money_does_not() -> None:
    """0.073 failures in the year before P2, 0.057 in that after P1: a cap of 0.065 asks for P1."""
    assert planned(station()).works == set()
    found = planned(station(0.065))
    assert found.works == IN_P1
    assert found.breaches == []


def test_rule_28_binds_until_nothing_keeps_it() -> None:
    with pytest.raises(
        NoPlanError, match="PUMP-1: no choice of works keeps most_failures_per_year"
    ):
        planned(station(0.001))


def test_rule_28_does_not_bind_above_the_worst_year() -> None:
    """Never replaced it has (40^3 - 39^3) / 30^3 = 0.173 failures in its last year."""
    found = planned(station(0.174))
    assert found.works == set()
    assert found.pv_cost == planned(station()).pv_cost
    assert found.breaches == []


def test_rule_28_lp_text(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """Of four courses the cap leaves two, and of these replacing in P1 alone is never dearer."""
    has_stored_lp("28_risk_appetite", station(0.065, 200.0), tmp_path, request)


def test_rule_28_breach_is_named() -> None:
    """Exponential, 20 years: 0.05 a year; from P1's replacement on by a design of 100 years, 0.01."""
    actions = edited("actions", 0, new_life_years=100.0)
    families = edited("families", 0, most_failures_per_year=0.03)
    one = [{"component": "P1", "unit": "U1", "family": "PUMP", "train": "A"}]
    held = small(actions=actions, families=families, components=one)
    kept = plan(held, ("P1", "replace", "O1"))
    assert judge(held, kept) == []
    [breach] = judge(held, plan(held))
    assert (breach.rule, breach.place) == ("cap", "P1")
    assert breach.amount == pytest.approx(0.02)
    assert breach.text == "P1: 0.05 failures are expected in the year from 2029-02-10, 0.03 may."


def test_rule_28_breach_before_work_is_possible_is_none() -> None:
    """Drawings are late for O1, so nothing can be done and nothing counts."""
    families = edited("families", 0, most_failures_per_year=0.03)
    one = [{"component": "P1", "unit": "U1", "family": "PUMP", "train": "A"}]
    kinds = edited("outage_kinds", 0, design_days=100.0)
    late = small(
        families=families, components=one, outage_kinds=kinds,
        actions=edited("actions", 0, design_months=24.0),
    )  # fmt: skip
    assert judge(late, plan(late)) == []


def over_lives(weight_share: float) -> Run:
    """Return the plan of a pump whose life is badly known, at a weight of the tail."""
    held = station(repair_cost=15.0, sigma_ratio=0.8)
    return plan_case(held, EXACT, lives=Lives(20, 1, weight_share, 0.2))


def test_rule_28_binds_in_the_tail() -> None:
    """In the mean of the scenarios replacing does not pay; in the worst fifth of them it does."""
    mean, worst = over_lives(0.0), over_lives(1.0)
    assert mean.picked.works.empty
    assert set(worst.picked.works["action"]) == {"replace"}
    assert mean.breaches == worst.breaches == ()


def lp_text(weight_share: float, folder: Path) -> str:
    """Return the LP text of the pump over three scenarios of lives."""
    held = station(0.174, 185.0)
    choices, courses = choices_of(held)
    choices, _ = with_lives(held, choices, courses, Lives(3, 1, weight_share, 0.4))
    path = folder / "tail.lp"
    build_program(choices).problem.writeLP(str(path))
    return path.read_text(encoding="utf-8")


def test_rule_28_does_not_bind_without_weight(tmp_path: Path) -> None:
    """With a weight of 0 the scenarios only give the mean: no rows of the tail are there."""
    assert "tail" not in lp_text(0.0, tmp_path)


def test_rule_28_lp_text_of_the_tail(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """One row a scenario: its risk in the chosen course is at most eta + u.

    u weighs w x chance / share of the worst: 0.5 / 3 / 0.4 = 0.417.
    """
    text, stored = lp_text(0.5, tmp_path), GOLDEN / "28_tail.lp"
    if request.config.getoption("--update"):
        stored.write_text(text, encoding="utf-8")
    assert text == stored.read_text(encoding="utf-8")
