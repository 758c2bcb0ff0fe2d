"""Break-even lives and ages, their chances and their money, against closed forms and re-solves.

One Weibull component under minimal repair: every H scales with ratio ** -shape, so the saving by a
work does too, and the life at which work and no work cost the same has a closed form.
"""

from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from bundler.case import Case
from bundler.explain.life_tests import FIRM_CHANCE, OPEN_CHANCE, mark
from bundler.run import Run, plan_case
from bundler.solve.highs import Options
from tests.cases import case, one_unit, settings

EXACT = Options(gap_share=0.0)
SHAPE, SIGMA = 2.0, 0.25


def station(life: float, born: str = "2007-01-01", outages: int = 1, **family: Any) -> Case:
    """Return a station of one pump; the work costs 300 and takes all of its age."""
    row = {"family": "PUMP", "name": "pump", "area": "TB", "life_years": life,
           "shape_ratio": SHAPE, "forced_days": 5.0, "repair_cost": 200.0,
           "life_sigma_ratio": SIGMA} | family  # fmt: skip
    plain = one_unit()
    tables = one_unit(families=[row], outages=plain["outages"][:outages])
    units = [dict(plain["units"][0], first_sync_date=born)]
    return case(settings(discount_share_per_year=0.05), **(tables | {"units": units}))


def solved(station: Case) -> Run:
    return plan_case(station, EXACT)


def row_of(run: Run) -> pd.Series:
    return run.tables["life_tests"].iloc[0]


def saving_and_cost(run: Run) -> tuple[float, float]:
    """Return the risk that the work takes away, and what it costs."""
    courses = run.choices.courses.sort_values("planned_pv_cost")
    risk, planned = courses["risk_pv_cost"].to_numpy(), courses["planned_pv_cost"].to_numpy()
    assert len(courses) == 2
    return float(risk[0] - risk[1]), float(planned[1] - planned[0])


@pytest.mark.parametrize("life", [16.0, 20.0, 26.0, 34.0])
def test_break_even_life_in_closed_form(life: float) -> None:
    """(saving / cost) ** (1 / shape), on whichever side of 1 it lies."""
    run = solved(station(life))
    saving, cost = saving_and_cost(run)
    ratio = (saving / cost) ** (1 / SHAPE)
    row = row_of(run)
    side, other = ("longer", "shorter") if ratio > 1 else ("shorter", "longer")
    assert row[f"{side}_ratio"] == pytest.approx(ratio, rel=1e-4)
    assert np.isnan(row[f"{other}_ratio"])
    assert (row["decision"] == "replace in P1") == (ratio > 1)
    assert row["confirmed"] == "yes"


@pytest.mark.parametrize("life", [20.0, 26.0])
def test_break_even_age_in_closed_form(life: float) -> None:
    """With shape 2 the saving is straight in the age: it goes through cost at one age."""
    runs = [solved(station(life, born)) for born in ("2007-01-01", "2003-01-01")]
    ages = [float(row_of(run)["age_years"]) for run in runs]
    gains = [np.subtract(*saving_and_cost(run)) for run in runs]
    turn = ages[0] - gains[0] * (ages[1] - ages[0]) / (gains[1] - gains[0])
    row = row_of(runs[0])
    name = "younger_age_years" if gains[0] > 0 else "older_age_years"
    assert row[name] == pytest.approx(turn, abs=0.006)


@pytest.mark.parametrize("life", [23.0, 30.0])
def test_chance_and_money_in_closed_form(life: float) -> None:
    """The saving over lives is lognormal: knowing the life is worth a call on it (Black 1976).

    With X = saving ratio ** -shape, ln X is normal with sd shape x sigma, and the price of knowing
    is min(E (X - C)+, E (C - X)+); formula from memory.
    """
    run = solved(station(life))
    saving, cost = saving_and_cost(run)
    sd = SHAPE * SIGMA
    row, ratio = row_of(run), (saving / cost) ** (1 / SHAPE)
    chance = stats.norm.sf(abs(np.log(ratio)) / SIGMA)
    assert row["flip_chance"] == pytest.approx(chance, abs=6e-4)
    d1 = np.log(saving / cost) / sd + sd
    call = saving * np.exp(sd**2 / 2) * stats.norm.cdf(d1) - cost * stats.norm.cdf(d1 - sd)
    put = call - saving * np.exp(sd**2 / 2) + cost
    assert row["perfect_pv_cost"] == pytest.approx(min(call, put), rel=5e-3, abs=0.06)
    kept = put if row["decision"] == "replace in P1" else call
    assert row["impact_pv_cost"] == pytest.approx(kept, rel=5e-3, abs=0.06)
    assert row["regret_pv_cost"] * row["flip_chance"] == pytest.approx(kept, rel=0.08)


@pytest.mark.parametrize("life", [24.0, 30.0, 38.0])
def test_the_whole_station_planned_again_turns_past_the_point_and_not_before(life: float) -> None:
    run = solved(station(life, outages=2, shape_ratio=3.0))
    row = row_of(run)
    turns = [(row["shorter_ratio"], row["if_shorter"]), (row["longer_ratio"], row["if_longer"])]
    turns = [(ratio, words) for ratio, words in turns if words]
    assert turns
    for ratio, words in turns:
        past = 1.002 if ratio > 1 else 0.998
        short = row_of(solved(station(life * ratio / past, outages=2, shape_ratio=3.0)))
        beyond = row_of(solved(station(life * ratio * past, outages=2, shape_ratio=3.0)))
        assert short["decision"] == row["decision"]
        assert beyond["decision"] == words


def test_a_component_without_a_choice_is_not_tested() -> None:
    run = solved(station(20.0, repair_cost=0.0, forced_days=0.0))
    assert run.tables["life_tests"].empty
    assert list(run.tables["reasons"]["mark"]) == ["only one"]


def test_a_full_crew_takes_the_choice_away() -> None:
    """Two equal pumps and hours for one: the other has nothing else that fits in this outage."""
    plain = one_unit()
    hours = [{"family": "PUMP", "action": "replace", "resource": "M", "work_hours": 1100.0}]
    parts = [{"component": f"PUMP-{n}", "unit": "U1", "family": "PUMP"} for n in (1, 2)]
    row = {"family": "PUMP", "name": "pump", "area": "TB", "life_years": 14.0, "shape_ratio": 2.0,
           "forced_days": 5.0, "repair_cost": 200.0}  # fmt: skip
    run = solved(case(**one_unit(
        families=[row], action_hours=hours, components=parts, outages=plain["outages"][:1])))  # fmt: skip
    assert len(run.tables["work_list"]) == 1
    tested = run.tables["life_tests"]
    assert list(tested["component"]) == list(run.tables["work_list"]["component"])


def test_marks_follow_the_chance() -> None:
    assert mark(0.0) == "firm"
    assert mark(FIRM_CHANCE) == "leaning"
    assert mark(OPEN_CHANCE) == mark(0.9) == "too close to call"
