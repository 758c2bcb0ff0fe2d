"""The judge's own mean and tail over scenarios, and its teeth."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from bundler.case import Case
from bundler.choice import Lives
from bundler.compose import choices_of, with_lives
from bundler.judge import judge
from bundler.judge.reading import read_plan
from bundler.judge.tail import scenario_risks, tail_costs, worst_mean
from bundler.judge.verdict import PlanFacts, TailFacts
from bundler.risk.tail import cvar
from bundler.run import facts_of, plan_case, tail_facts
from bundler.solve.highs import Options
from tests.cases import case, one_unit
from tests.judge.small import END, O1, plan, small
from tests.test_frontier import station

Y = 365.25


def facts(held: Case, ratios: dict[str, float], *works: tuple[str, str, str]) -> PlanFacts:
    """Return a plan with scenarios in which every family has the same ratio."""
    families = list(held["families"]["family"])
    rows = [(s, f, r, 1 / len(ratios)) for s, r in ratios.items() for f in families]
    table = pd.DataFrame(rows, columns=["scenario", "family", "life_ratio", "chance"])
    return replace(plan(held, *works), tail=TailFacts(table, 0.5, 0.5, {}))


def test_risk_of_a_scenario_in_closed_form() -> None:
    """A constant failure rate divided by the ratio: losses divided by it as well."""
    held = small(components=[{"component": "P1", "unit": "U1", "family": "PUMP", "train": "A"}])
    told = facts(held, {"S1": 0.5, "S2": 1.0, "S3": 2.0})
    assert told.tail is not None
    risks = scenario_risks(read_plan(held, told), told.tail)
    for name, ratio in {"S1": 0.5, "S2": 1.0, "S3": 2.0}.items():
        assert risks[name] == pytest.approx(700 / 20 / ratio * (END - 40) / Y, rel=1e-9)


def test_mean_and_tail_of_the_scenarios() -> None:
    """Half of two scenarios is the worse one; what is beside risk moves both."""
    held = small(components=[{"component": "P1", "unit": "U1", "family": "PUMP", "train": "A"}])
    found = tail_costs(read_plan(held, facts(held, {"S1": 0.5, "S2": 1.0})), 10.0)
    one = 700 / 20 * (END - 40) / Y
    assert found["mean_pv_cost"] == pytest.approx(10 + 1.5 * one)
    assert found["worst_pv_cost"] == pytest.approx(10 + 2 * one)
    assert found["weighted_pv_cost"] == pytest.approx(10 + 1.75 * one)
    assert tail_costs(read_plan(held, plan(held)), 10.0) == {} and O1 < END


def test_two_ways_to_the_mean_of_the_worst() -> None:
    """The judge integrates the quantile function, the plan weighs sorted outcomes."""
    rng = np.random.default_rng(2)
    for _ in range(50):
        costs, chances = rng.normal(size=7), rng.dirichlet(np.ones(7))
        worst = float(rng.uniform(0.02, 1))
        assert worst_mean(costs, chances, worst) == pytest.approx(cvar(costs, chances, 1 - worst))


@pytest.fixture(scope="module")
def told() -> tuple[Case, PlanFacts]:
    """Return a plan over scenarios, with what it claims."""
    held, lives = station(), Lives(20, 1, 0.4)
    run = plan_case(held, Options(gap_share=0.0), lives=lives)
    assert run.breaches == () and run.solved.spread is not None
    choices, scenarios = with_lives(held, *choices_of(held), lives)
    pd.testing.assert_frame_equal(scenarios, run.tables["scenarios"])
    return held, facts_of(choices, run.picked, tail_facts(choices, run.solved, scenarios))


def test_a_sound_plan_passes(told: tuple[Case, PlanFacts]) -> None:
    assert judge(*told) == []


@pytest.mark.parametrize("name", ["mean_pv_cost", "worst_pv_cost", "weighted_pv_cost"])
def test_a_wrong_claim_is_named(told: tuple[Case, PlanFacts], name: str) -> None:
    """One claim off by one per cent is found, and only that one."""
    held, good = told
    assert good.tail is not None
    claimed = dict(good.tail.claimed) | {name: good.tail.claimed[name] * 1.01}
    found = judge(held, replace(good, tail=replace(good.tail, claimed=claimed)))
    assert [(breach.rule, breach.place) for breach in found] == [("tail", name)]
    without = {key: value for key, value in good.tail.claimed.items() if key != name}
    found = judge(held, replace(good, tail=replace(good.tail, claimed=without)))
    assert [breach.place for breach in found] == [name]


def test_other_scenarios_than_stored_are_found(told: tuple[Case, PlanFacts]) -> None:
    """Lives a tenth shorter than those the plan was costed for do not pass."""
    held, good = told
    assert good.tail is not None
    ratio = good.tail.scenarios["life_ratio"] * 0.9
    table = good.tail.scenarios.assign(life_ratio=ratio)
    found = judge(held, replace(good, tail=replace(good.tail, scenarios=table)))
    assert {breach.rule for breach in found} == {"tail"}


def test_a_component_better_known_moves_less() -> None:
    """Its ratio is the family's to the power of own sigma over the family's."""
    part = {"component": "PUMP-1", "unit": "U1", "family": "PUMP"}
    family = {"family": "PUMP", "area": "TB", "curve": "exponential", "life_years": 20.0,
              "repair_cost": 100.0, "life_sigma_ratio": 0.4}  # fmt: skip

    def risk(**own: float) -> float:
        held = case(**one_unit(families=[family], components=[part | own]))
        told = facts(held, {"S1": 0.5})
        assert told.tail is not None
        return scenario_risks(read_plan(held, told), told.tail)["S1"]

    assert risk() == pytest.approx(risk(life_sigma_ratio=0.2) * 2**0.5, rel=1e-9)
