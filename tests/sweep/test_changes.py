"""Each change against hand arithmetic on the tables, and lives against the curves themselves."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from bundler.calendar import periods
from bundler.case import Case
from bundler.choice import Lives
from bundler.compose import choices_of
from bundler.courses.described import described
from bundler.courses.factors import risk_at_factors
from bundler.courses.lives import renewed_curve
from bundler.life.evidence import known_lives
from bundler.run import load_case
from bundler.sweep.changes import KINDS, Change, changed, lives_of, words
from bundler.sweep.keys import case_key
from tests.cases import case, one_unit
from tests.cases import settings as base


@pytest.fixture(scope="module")
def demo() -> Case:
    return load_case(Path(__file__).parents[2] / "asset_data")[0]


def station(**more: object) -> Case:
    """Return two families, two trades, two years of money and a new design."""
    families = [
        {"family": name, "area": "TB", "life_years": 30.0, "shape_ratio": 3.0, "guarantee_years": 2.0, "forced_days": 5.0, "repair_cost": 200.0}
        for name in ("PUMP", "FAN")
    ] + [{"family": "NET", "area": "TB", "curve": "stepped", "steps": "net"}]  # fmt: skip
    actions = [
        {"family": name, "action": "replace", "cost": 300.0, "days": 10.0, "conditions": "D", "new_life_years": 40.0}
        for name in ("PUMP", "FAN")
    ] + [{"family": "NET", "action": "replace", "cost": 50.0, "days": 2.0, "conditions": "D"}]  # fmt: skip
    return case(
        base(discount_share_per_year=0.05),
        **one_unit(
            families=families,
            actions=actions,
            resources=[
                {"resource": "M", "name": "millwright", "pool_heads_count": 20.0},
                {"resource": "E", "name": "electrician"},
            ],
            crews=[
                {"resource": "M", "kind": "planned", "heads_count": 10.0},
                {"resource": "E", "kind": "planned", "heads_count": 4.0},
            ],
            budgets=[{"year": 2028, "limit_cost": 100.0}, {"year": 2029, "limit_cost": 50.0}],
            curve_steps=[
                {"steps": "net", "from_age_years": 0.0, "failure_rate_per_year": 0.01},
                {"steps": "net", "from_age_years": 10.0, "failure_rate_per_year": 0.05},
            ],
            components=[
                {"component": "PUMP-1", "unit": "U1", "family": "PUMP", "life_years": 20.0},
                {"component": "FAN-1", "unit": "U1", "family": "FAN"},
                {"component": "NET-1", "unit": "U1", "family": "NET"},
            ],
            **more,
        ),
    )


def column(made: Case, table: str, key: str, name: str) -> dict[str, float]:
    return {str(k): v for k, v in zip(made[table][key], made[table][name], strict=True)}


def test_the_discount_rate_takes_a_value_or_a_ratio() -> None:
    """0.05 x 1.2 = 0.06; the price of a day falls with it by 1 / (1 + i)^years."""
    made = changed(station(), [Change("discount_rate", ratio=1.2)])
    assert made.settings.discount_share_per_year == pytest.approx(0.06, abs=1e-15)
    made = changed(station(), [Change("discount_rate", value=0.03)])
    assert made.settings.discount_share_per_year == 0.03
    table = periods(made)
    years = table["start_days"] / 365.25
    ratio = table["day_pv_cost"] / table["day_cost"]
    is_outage = table["is_outage"]
    np.testing.assert_allclose(ratio[is_outage], 1.03 ** -years[is_outage], rtol=0.005)


def test_the_day_value_is_the_price_of_an_outage_day_and_of_lost_output() -> None:
    """100 of lost output and 20 standing are 120 a day; at 1.5 they are 180, the station's 150."""
    made = changed(station(), [Change("day_value", ratio=1.5)])
    assert column(made, "units", "unit", "day_value_cost_per_day") == {"U1": 150.0}
    assert made.settings.station_value_cost_per_day == 150.0
    table = periods(made).set_index("period")
    assert table.at["P1", "day_cost"] == pytest.approx(180.0)
    assert made.settings.forced_outage_cost == station().settings.forced_outage_cost


def test_budgets_of_one_year_or_of_all() -> None:
    """80 % of 100 and of 50 are 80 and 40."""
    made = changed(station(), [Change("budgets", ratio=0.8)])
    assert column(made, "budgets", "year", "limit_cost") == {"2028": 80.0, "2029": 40.0}
    made = changed(station(), [Change("budgets", "2029", ratio=0.8)])
    assert column(made, "budgets", "year", "limit_cost") == {"2028": 100.0, "2029": 40.0}


def test_crews_of_one_trade_or_of_all_with_the_heads_of_the_site() -> None:
    """10 and 4 heads at 1.25 are 12.5 and 5; the site's 20 are 25, and no limit stays none."""
    made = changed(station(), [Change("crews", ratio=1.25)])
    assert column(made, "crews", "resource", "heads_count") == {"M": 12.5, "E": 5.0}
    pool = column(made, "resources", "resource", "pool_heads_count")
    assert pool["M"] == 25.0 and np.isnan(pool["E"])
    made = changed(station(), [Change("crews", "E", ratio=0.5)])
    assert column(made, "crews", "resource", "heads_count") == {"M": 10.0, "E": 2.0}
    assert column(made, "resources", "resource", "pool_heads_count")["M"] == 20.0


def test_lives_of_one_family_or_of_all() -> None:
    """Own, lent and new lives and guarantees are halved; steps come at half the age, twice as often."""
    made = changed(station(), [Change("lives", ratio=0.5)])
    assert column(made, "families", "family", "life_years")["FAN"] == 15.0
    assert column(made, "families", "family", "guarantee_years")["PUMP"] == 1.0
    assert column(made, "components", "component", "life_years")["PUMP-1"] == 10.0
    assert column(made, "actions", "family", "new_life_years")["PUMP"] == 20.0
    steps = made["curve_steps"]
    own = steps[steps["steps"] == column(made, "families", "family", "steps")["NET"]]
    assert list(own["from_age_years"]) == [0.0, 5.0]
    assert list(own["failure_rate_per_year"]) == [0.02, 0.1]
    made = changed(station(), [Change("lives", "PUMP", ratio=0.5)])
    assert column(made, "families", "family", "life_years")["FAN"] == 30.0
    assert column(made, "families", "family", "steps")["NET"] == "net"
    assert column(made, "actions", "family", "new_life_years") == {"FAN": 40.0, "NET": pytest.approx(np.nan, nan_ok=True), "PUMP": 20.0}  # fmt: skip


def test_the_weight_of_bad_lives_changes_no_table() -> None:
    """It goes into the scenarios of lives; without it there are none."""
    drawn = Lives(7, 3, 0.0, 0.1)
    assert lives_of([Change("tail", value=0.4)], drawn) == Lives(7, 3, 0.4, 0.1)
    assert lives_of([Change("lives", ratio=0.4)], drawn) is None
    made = station()
    assert changed(made, [Change("tail", value=0.4)]) is made


@pytest.mark.parametrize("what", sorted(set(KINDS) - {"tail"}))
def test_a_change_leaves_its_case_as_it_was(what: str) -> None:
    """The function is pure: the case has the same hash after it, the changed one another."""
    made = station()
    before = case_key(made)
    other = changed(made, [Change(what, ratio=0.7)])
    assert case_key(made) == before != case_key(other)
    for table in other.tables:
        assert list(other[table].columns) == list(made[table].columns), table
        assert (other[table].dtypes == made[table].dtypes).all(), table


def test_changes_of_one_run_are_made_together() -> None:
    """All budgets at half, then one year at double: 50, 50."""
    both = [Change("budgets", ratio=0.5), Change("budgets", "2029", ratio=2.0)]
    made = changed(station(), both)
    assert column(made, "budgets", "year", "limit_cost") == {"2028": 50.0, "2029": 50.0}
    assert "; ".join(map(words, both)) == "budget (all) x 0.5; budget of 2029 x 2"


def test_every_life_of_the_demo_station_is_stretched(demo: Case) -> None:
    """H'(r t) = H(t) for the curve from new of every component, records and steps among them.

    What readings have measured stays: the curve that counts until the first failure is the same.
    """
    ratio, ages = 0.8, np.array([1.0, 7.0, 19.0, 33.0])
    other = changed(demo, [Change("lives", ratio=ratio)])
    old, new = described(demo).set_index("component"), described(other).set_index("component")
    seen = set()
    for name in old.index:
        part, late = old.loc[name].copy(), new.loc[name].copy()
        key = (part["family"], part["unit"], part["life_years"])
        if key in seen:
            continue
        seen.add(key)
        part["component"] = late["component"] = name
        before = renewed_curve(demo, part).cumulative_hazard(ages)
        after = renewed_curve(other, late).cumulative_hazard(ratio * ages)
        np.testing.assert_allclose(after, before, rtol=1e-9, err_msg=name)
    assert len(seen) > 70
    read = [
        name
        for name, known in known_lives(demo).items()
        if known.now and known.words.startswith("reading")
    ]
    assert read
    for name in read:
        was, now = known_lives(demo)[name].now, known_lives(other)[name].now
        assert was is not None and now is not None
        np.testing.assert_allclose(
            now.cumulative_hazard(40 + ages), was.cumulative_hazard(40 + ages), err_msg=name
        )


def test_written_down_records_are_what_they_told(demo: Case) -> None:
    """At a ratio of 1 every life of the demo station is known as before."""
    other = changed(demo, [Change("lives", ratio=1.0)])
    assert (other["families"]["life_from"] == "given").all()
    for name, was in known_lives(demo).items():
        now = known_lives(other)[name]
        for told in ("life_years", "shape_ratio", "sigma_ratio"):
            assert getattr(now, told) == pytest.approx(getattr(was, told), nan_ok=True), name


def test_risk_at_shorter_lives_is_that_of_the_scenarios(tiny: Case) -> None:
    """A life of 0.8 in the tables and a factor of 0.8 on the courses carry the same risk."""
    keep = frozenset(tiny["components"]["component"])
    choices, courses = choices_of(tiny, keep)
    at = risk_at_factors(tiny, choices, courses.costing, np.array([0.8]))[:, 0]
    other, _ = choices_of(changed(tiny, [Change("lives", ratio=0.8)]), keep)
    assert len(other.courses) == len(choices.courses)
    pd.testing.assert_series_equal(
        other.courses["risk_pv_cost"], pd.Series(at, name="risk_pv_cost"), rtol=1e-9
    )
