import pytest

from bundler.judge import judge, recomputed
from bundler.judge.doses import heads_in
from bundler.judge.reading import read_plan
from tests.judge.small import BASE, P1, P2, V1, broken, edited, outage, plan, small

#: five works on one component's fellows in five years, done by one head
YEARS = range(2028, 2033)


def legal(*yearly: float) -> list[str]:
    """Return what is broken by one head that takes so much in each of five years [mSv]."""
    case = small(
        {"dose_year_msv": 50.0, "dose_five_years_msv": 100.0},
        outages=[outage(f"O{year}", "U1", f"{year}-03-01", 40.0) for year in YEARS],
        crews=edited("crews", 0, heads_count=1.0),
        resources=edited("resources", 0, hours_per_day=24.0),
        families=[dict(BASE["families"][0]) | {"family": f"F{year}"} for year in YEARS],
        actions=[dict(BASE["actions"][0]) | {"family": f"F{year}"} for year in YEARS],
        action_hours=[
            {"family": f"F{year}", "action": "replace", "resource": "M", "work_hours": 10.0,
             "dose_rate_msv_per_hour": dose / 10}
            for year, dose in zip(YEARS, yearly, strict=True)
        ],
        components=[{"component": f"C{year}", "unit": "U1", "family": f"F{year}"} for year in YEARS],
    )  # fmt: skip
    works = [(f"C{year}", "replace", f"O{year}") for year in YEARS]
    return [f"{breach.rule}: {breach.text}" for breach in judge(case, plan(case, *works))]


def test_the_legal_example_of_five_years() -> None:
    """SOR/2000-203 section 13: 50 mSv in a year, 100 mSv in five; 97 are allowed, 101 refused."""
    assert legal(12, 18, 25, 20, 22) == []
    assert legal(12, 18, 25, 20, 26) == [
        "person_dose: M in 2028-2032: one head takes 101.0 mSv, 100.0 are allowed."
    ]
    assert legal(1, 1, 51, 1, 1) == [
        "person_dose: M in 2030: one head takes 51.0 mSv, 50.0 are allowed."
    ]


def test_dose_of_an_outage() -> None:
    actions = edited("actions", 0, dose_person_msv=5.0)
    kinds = edited("outage_kinds", 0, dose_limit_person_msv=5.0)
    assert broken(small(actions=actions, outage_kinds=kinds), P1, P2) == []
    kinds = edited("outage_kinds", 0, dose_limit_person_msv=4.9)
    assert broken(small(actions=actions, outage_kinds=kinds), P1) == ["dose"]


def test_dose_of_the_hours_is_added() -> None:
    # 500 h x 0.01 mSv/h = 5 person-mSv beside the 2 of the work
    actions = edited("actions", 0, dose_person_msv=2.0)
    hours = edited("action_hours", 0, dose_rate_msv_per_hour=0.01)
    for limit, rules in ((7.0, []), (6.9, ["dose"])):
        kinds = edited("outage_kinds", 0, dose_limit_person_msv=limit)
        assert broken(small(actions=actions, action_hours=hours, outage_kinds=kinds), P1) == rules
    prices = {"dose_value_cost_per_person_msv": 2.0}
    case = small(prices, actions=actions, action_hours=hours)
    assert recomputed(case, plan(case, P1))["planned_pv_cost"] == pytest.approx(314.0)


def test_dose_of_one_head_with_the_crew_of_the_year() -> None:
    # 10 heads share 80 person-mSv, all of it by hours in the area
    actions = edited("actions", 0, dose_person_msv=80.0)
    for limit, rules in ((8.0, []), (7.9, ["person_dose"])):
        assert broken(small({"dose_year_msv": limit}, actions=actions), P1, V1) == rules


def test_heads_of_the_largest_crew_open_in_a_year() -> None:
    crews = [*BASE["crews"], {"resource": "M", "kind": "on_line", "heads_count": 2.0}]
    case = small(crews=crews)
    site = read_plan(case, plan(case)).site
    assert [heads_in(site, "M", year) for year in (2028, 2029, 2033)] == [2.0, 10.0, 10.0]
