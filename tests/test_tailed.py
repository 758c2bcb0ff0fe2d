"""Plans over scenarios of lives where components share a loss: true cost in every scenario."""

from itertools import product
from typing import Any

import numpy as np
import pytest

from bundler.case import Case
from bundler.choice import FloatArray, Lives
from bundler.compose import with_lives
from bundler.judge.reading import read_plan
from bundler.judge.tail import scenario_risks
from bundler.plan.chosen import cost_parts
from bundler.risk.tail import cvar
from bundler.rounds import plan_in_rounds
from bundler.run import Run, facts_of, plan_case, silent, tail_facts
from bundler.solve.highs import Options
from bundler.solve.tail import Search
from bundler.tailed import around_tail, over_lives, tailed
from tests.cases import case, one_unit
from tests.cases import settings as base

EXACT = Options(time_limit_seconds=60, gap_share=0.0)
LIVES = Lives(12, 3, 0.5, 0.25)
#: days from the planning date on which an outage of 40 days starts, and the horizon
STARTS, DAYS, END, YEAR = {"P1": 731.0, "P2": 2192.0}, 40.0, 7304.0, 365.25
#: life now of each family, and after its work [years]; days out by a failure; MW lost with all out
NOW, AFTER, OUT_DAYS, LOST_MW = {"A": 6.0, "B": 9.0}, {"A": 24.0, "B": 30.0}, 60.0, 800.0


def pair(**more: Any) -> Case:
    """Return two pumps, one in reserve for the other, that fail at constant rates.

    A work brings a new design with a longer life.
    """
    families = [
        {"family": name, "area": "TB", "curve": "exponential", "life_years": NOW[name],
         "repair_cost": 20.0, "forced_days": 5.0, "life_sigma_ratio": 0.5, "max_works_count": 1}
        for name in "AB"
    ]  # fmt: skip
    actions = [
        {"family": name, "action": "replace", "cost": 400.0, "days": 10.0, "conditions": "D",
         "new_life_years": AFTER[name]}
        for name in "AB"
    ]  # fmt: skip
    tables: dict[str, Any] = {
        "families": families,
        "actions": actions,
        "action_hours": [
            {"family": name, "action": "replace", "resource": "M", "work_hours": 500.0}
            for name in "AB"
        ],
        "components": [{"component": f"{name}-1", "unit": "U1", "family": name} for name in "AB"],
        "groups": [
            {"group": "G", "match": "unit", "line_by": "component", "repair_days": OUT_DAYS}
        ],
        "group_members": [{"group": "G", "family": name} for name in "AB"],
        "group_states": [
            {"group": "G", "out_count": 2, "summer_lost_mw": LOST_MW, "winter_lost_mw": LOST_MW}
        ],
    }
    return case(base(), **one_unit(**(tables | more)))


def by_hand(held: Case, works: dict[str, str], ratios: dict[str, float]) -> float:
    """Return what a plan costs at these life ratios: works, repairs, and 800 MW while both are out.

    Between works and outages all rates are constant, so each stretch is a product.
    """
    edges = sorted({0.0, END, *STARTS.values(), *(day + DAYS for day in STARTS.values())})
    each = held.settings.forced_repair_ratio * 20.0
    total = 400.0 * len(works)
    for low, high in zip(edges, edges[1:], strict=False):
        if low in STARTS.values():
            continue
        rates = {}
        for name in "AB":
            is_new = name in works and low >= STARTS[works[name]]
            life = (AFTER if is_new else NOW)[name] * ratios[name]
            rates[name] = 1 / (life * YEAR)
        both = rates["A"] * OUT_DAYS * rates["B"] * OUT_DAYS
        total += (high - low) * (sum(rates.values()) * each + both * 100.0 * LOST_MW / 800.0)
    return total


def all_by_hand(held: Case, run: Run) -> dict[tuple[str, ...], FloatArray]:
    """Return the cost of each plan in every scenario, by the outages of both works."""
    table = run.tables["scenarios"].pivot(index="scenario", columns="family", values="life_ratio")
    ratios = [{name: float(row[name]) for name in "AB"} for _, row in table.iterrows()]
    found = {}
    for outages in product(("", *STARTS), repeat=2):
        works = {name: outage for name, outage in zip("AB", outages, strict=True) if outage}
        found[outages] = np.array([by_hand(held, works, own) for own in ratios])
    return found


def chosen_outages(run: Run) -> tuple[str, ...]:
    """Return the outage of the work on each pump, empty for none."""
    works = run.picked.works.set_index("component")["period"]
    return tuple(str(works.get(f"{name}-1", "")) for name in "AB")


@pytest.fixture(scope="module")
def held() -> Case:
    return pair()


@pytest.fixture(scope="module")
def run(held: Case) -> Run:
    return plan_case(held, EXACT, lives=LIVES)


def test_the_cost_in_every_scenario_is_that_by_hand(held: Case, run: Run) -> None:
    """Both pumps live longer or shorter together or apart; the judge finds the same."""
    assert run.solved.spread is not None and run.breaches == ()
    hand = all_by_hand(held, run)[chosen_outages(run)]
    assert hand.max() > 1.5 * hand.min()
    np.testing.assert_allclose(run.solved.spread.scenario_pv_cost, hand, rtol=1e-6)


def test_the_plan_is_the_best_of_all(held: Case, run: Run) -> None:
    """Of the nine plans none has less (1 - w) mean + w CVaR; it does something and not all."""
    worth = {
        outages: 0.5 * costs.mean() + 0.5 * cvar(costs, np.full(12, 1 / 12), 0.75)
        for outages, costs in all_by_hand(held, run).items()
    }
    best = min(worth, key=lambda outages: worth[outages])
    assert chosen_outages(run) == best != ("", "")
    assert run.solved.objective_pv_cost == pytest.approx(worth[best], rel=1e-6)


def test_its_bound_is_that_of_the_scenarios(run: Run) -> None:
    """At the lives assumed the plan costs less than on average; that is no bound of the latter."""
    assumed = cost_parts(run.choices, run.picked)["objective_pv_cost"]
    assert assumed < 0.99 * run.solved.objective_pv_cost
    assert run.solved.bound_pv_cost > assumed and run.solved.gap_share < 0.01


def test_losses_as_at_the_lives_assumed_would_be_wrong(held: Case, run: Run) -> None:
    """Charged so, the same courses are off in bad scenarios by far more than the judge allows."""
    assert run.choices.tail is not None
    plain, _ = with_lives(held, run.choices, run.courses, LIVES)
    assert plain.tail is not None
    rows = run.choices.courses["course"].isin(run.solved.courses).to_numpy()
    off = (run.choices.tail.risk_pv_cost - plain.tail.risk_pv_cost)[rows].sum(axis=0)
    assert off.max() > 0.02 * run.solved.objective_pv_cost


def test_spares_and_stocks_cost_in_scenarios_what_the_judge_finds() -> None:
    """With one spare for all and a stock that runs out; on grids of their own, so within 0.1 %."""
    parts = [
        {"component": f"{name}-{n}", "unit": "U1", "family": name} for name in "AB" for n in (1, 2)
    ]
    stocks = [
        {"stock": "SA", "family": "A", "spares_count": 1.0, "restock_months": 12.0,
         "without_days": 90.0},
        {"stock": "SB", "family": "B", "spares_count": 3.0, "use_count_per_year": 0.5,
         "out_failures_per_year": 0.2, "out_days": 10.0},
    ]  # fmt: skip
    held = pair(components=parts, stocks=stocks, group_states=[])
    run = plan_case(held, EXACT, lives=LIVES)
    assert run.breaches == () and run.solved.spread is not None
    facts = facts_of(
        run.choices, run.picked, tail_facts(run.choices, run.solved, run.tables["scenarios"])
    )
    assert facts.tail is not None
    risks = np.array(list(scenario_risks(read_plan(held, facts), facts.tail).values()))
    beside = cost_parts(run.choices, run.picked)
    costs = beside["objective_pv_cost"] - beside["risk_pv_cost"] + risks
    np.testing.assert_allclose(run.solved.spread.scenario_pv_cost, costs, rtol=1e-3)


def test_a_plan_around_itself_stays(held: Case) -> None:
    """Around itself once more it costs the same; before, it is charged another plan around it."""
    rounds = plan_in_rounds(held, EXACT, silent)
    found = tailed(held, rounds, LIVES, Search(EXACT, silent))
    again = around_tail(held, rounds, found, LIVES)
    assert again is not None and again.solved.spread is not None
    assert again.solved.objective_pv_cost == pytest.approx(found.solved.objective_pv_cost)
    assert again.solved.bound_pv_cost == found.solved.bound_pv_cost
    choices, scenarios = over_lives(held, rounds, LIVES)
    assert choices.tail is not None and scenarios.equals(found.scenarios)
