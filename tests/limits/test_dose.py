"""Dose of works, of outages, and of one person of each trade, worked by hand."""

from typing import Any

import pandas as pd
import pytest

from bundler.case import Case
from bundler.dose import hours_dose
from tests.cases import case, one_unit, settings
from tests.limits.test_rows import limit, tables, used

#: planned outages in five years that follow each other
OUTAGES: list[dict[str, Any]] = [
    {"outage": f"P{year}", "unit": "U1", "kind": "planned", "start_date": f"{year}-03-01",
     "days": 40.0, "freeze_date": f"{year - 1}-03-01"}
    for year in range(2028, 2034)
]  # fmt: skip


def one_head(yearly_msv: list[float], **limits: float) -> Case:
    """Return a station in which one head does one work a year, each with its own dose.

    The work on component n is pinned to outage n.
    """
    works = range(len(yearly_msv))
    actions = [
        {"family": f"F{n}", "action": "replace", "cost": 1.0, "days": 10.0, "conditions": "D"}
        for n in works
    ]
    hours = [
        {"family": f"F{n}", "action": "replace", "resource": "M", "work_hours": 10.0,
         "dose_rate_msv_per_hour": yearly_msv[n] / 10}
        for n in works
    ]  # fmt: skip
    families = [dict(one_unit()["families"][0]) | {"family": f"F{n}"} for n in works]
    more = {
        "outages": OUTAGES,
        "actions": actions,
        "action_hours": hours,
        "families": families,
        "components": [{"component": f"C{n}", "unit": "U1", "family": f"F{n}"} for n in works],
        "crews": [{"resource": "M", "kind": "planned", "heads_count": 1.0}],
        "pins": [
            {"component": f"C{n}", "action": "replace", "outage": OUTAGES[n]["outage"],
             "rule": "in", "who": "test", "why": "test"}
            for n in works
        ],
    }  # fmt: skip
    return case(settings(max_actions_count=1, **limits), **one_unit(**more))


def doses(station: Case) -> pd.Series:
    choices = tables(station)
    own = choices.placements.set_index("placement")["dose_person_msv"]
    return own[sorted(own.index)]


def test_collective_dose_is_the_sum_over_people() -> None:
    """4 people x 6 h x 0.15 mSv/h + 2 x 10 x 0.08 + 6 x 2.5 x 0.4 = 11.2 person-mSv."""
    people = {"M": (24.0, 0.15), "E": (20.0, 0.08), "P": (15.0, 0.4)}
    more = {
        "resources": [{"resource": name, "name": name} for name in people],
        "crews": [
            {"resource": name, "kind": "planned", "heads_count": 10.0} for name in people
        ],
        "action_hours": [
            {"family": "PUMP", "action": "replace", "resource": name, "work_hours": hours,
             "dose_rate_msv_per_hour": rate}
            for name, (hours, rate) in people.items()
        ],
        "outage_kinds": [
            {"kind": "planned", "name": "planned", "dose_limit_person_msv": 20.0},
            {"kind": "on_line", "name": "on line"},
        ],
    }  # fmt: skip
    station = case(**one_unit(**more))
    assert doses(station).tolist() == pytest.approx([11.2, 11.2])
    assert used(tables(station), "P1.dose") == pytest.approx([11.2])
    by_trade = hours_dose(station).set_index("resource")["hours_person_msv"].to_dict()
    assert by_trade == pytest.approx({"M": 3.6, "E": 1.6, "P": 6.0})


def test_the_dose_of_the_work_and_of_its_hours_add_up_and_cost_money() -> None:
    action = dict(one_unit()["actions"][0]) | {"dose_person_msv": 2.0}
    hours = dict(one_unit()["action_hours"][0]) | {"dose_rate_msv_per_hour": 0.01}
    base = settings(dose_value_cost_per_person_msv=3.0)
    station = case(base, **one_unit(actions=[action], action_hours=[hours]))
    assert doses(station).tolist() == pytest.approx([7.0, 7.0])
    assert tables(station).placements["planned_pv_cost"].tolist() == pytest.approx([321.0] * 2)


def test_work_without_hours_of_its_own_takes_those_it_is_like() -> None:
    like = dict(one_unit()["actions"][0]) | {"action": "rebuild", "like": "replace"}
    hours = dict(one_unit()["action_hours"][0]) | {"dose_rate_msv_per_hour": 0.01}
    station = case(**one_unit(actions=[*one_unit()["actions"], like], action_hours=[hours]))
    assert hours_dose(station)["action"].tolist() == ["rebuild", "replace"]
    assert hours_dose(station)["hours_person_msv"].tolist() == pytest.approx([5.0, 5.0])


def test_dose_of_one_person_by_year_and_by_five_years() -> None:
    """One head: 12, 18, 25, 20, 22 mSv; in all 97, at most 25 a year."""
    station = one_head([12, 18, 25, 20, 22], dose_year_msv=20.0, dose_five_years_msv=90.0)
    choices = tables(station)
    row = limit(choices, "dose.M.2028-2032")
    assert (row["amount"], row["measure"], row["step"]) == (90.0, "msv", "1 mSv")
    assert row["title"] == "dose of one millwright in 2028-2032"
    assert used(choices, "dose.M.2028-2032") == pytest.approx([12, 18, 20, 22, 25])
    assert used(choices, "dose.M.2030") == pytest.approx([25])
    # a year in which all there could be stays below the limit has no row
    assert "dose.M.2028" not in set(choices.limits["limit"])


def test_without_a_limit_that_could_bind_there_are_no_rows() -> None:
    names = tables(one_head([12, 18, 25, 20, 22])).limits["limit"]
    assert not any(name.startswith("dose.") for name in names)


def test_heads_are_those_of_the_largest_crew_of_the_year() -> None:
    """U1 in a planned outage with 10 heads, U2 in a long one with 4, both in 2029."""
    plain = one_unit()
    units = [dict(plain["units"][0]), dict(plain["units"][0]) | {"unit": "U2"}]
    outages = [
        {"outage": "P1", "unit": "U1", "kind": "planned", "start_date": "2029-01-01",
         "days": 40.0, "freeze_date": "2028-01-01"},
        {"outage": "L2", "unit": "U2", "kind": "long", "start_date": "2029-06-01",
         "days": 40.0, "freeze_date": "2028-01-01"},
        {"outage": "L3", "unit": "U2", "kind": "long", "start_date": "2032-06-01",
         "days": 40.0, "freeze_date": "2028-01-01"},
    ]  # fmt: skip
    more = {
        "units": units,
        "outages": outages,
        "outage_kinds": [*plain["outage_kinds"], {"kind": "long", "name": "long"}],
        "windows": [{"kind": kind, "condition": "D"} for kind in ("planned", "long")],
        "crews": [
            {"resource": "M", "kind": "planned", "heads_count": 10.0},
            {"resource": "M", "kind": "long", "heads_count": 4.0},
        ],
        "actions": [dict(plain["actions"][0]) | {"dose_person_msv": 80.0}],
        "components": [
            {"component": "PUMP-1", "unit": "U1", "family": "PUMP"},
            {"component": "PUMP-2", "unit": "U2", "family": "PUMP"},
        ],
    }
    choices = tables(case(settings(dose_year_msv=15.0), **one_unit(**more)))
    assert used(choices, "dose.M.2029") == pytest.approx([8.0, 8.0])
    assert used(choices, "dose.M.2032") == pytest.approx([20.0])


def test_dose_without_a_rate_goes_by_hours_in_the_work_area() -> None:
    """Millwrights 300 h, riggers 100 h, and a crane that takes no dose."""
    more = {
        "resources": [
            {"resource": "M", "name": "millwright"},
            {"resource": "R", "name": "rigger"},
            {"resource": "CR", "name": "crane", "takes_area": False},
        ],
        "crews": [
            {"resource": name, "kind": "planned", "heads_count": 1.0} for name in ("M", "R", "CR")
        ],
        "action_hours": [
            {"family": "PUMP", "action": "replace", "resource": name, "work_hours": hours}
            for name, hours in (("M", 300.0), ("R", 100.0), ("CR", 50.0))
        ],
        "actions": [dict(one_unit()["actions"][0]) | {"dose_person_msv": 40.0}],
    }
    choices = tables(case(settings(dose_year_msv=5.0), **one_unit(**more)))
    assert used(choices, "dose.M.2029") == pytest.approx([30.0])
    assert used(choices, "dose.R.2029") == pytest.approx([10.0])
    assert "dose.CR.2029" not in set(choices.limits["limit"])
