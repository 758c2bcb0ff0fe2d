"""Stations that are legal but odd: each is planned, and the judge agrees."""

from datetime import date
from typing import Any

import pytest

from bundler.run import Run, plan_case
from bundler.solve.highs import Options
from tests.cases import case, one_unit, settings

EXACT = Options(gap_share=0.0)
PUMP = {"family": "PUMP", "name": "pump", "area": "TB", "life_years": 30.0, "shape_ratio": 3.0,
        "forced_days": 50.0, "repair_cost": 200.0}  # fmt: skip
REPLACE = {"family": "PUMP", "action": "replace", "cost": 300.0, "days": 10.0, "conditions": "D"}
HOURS = {"family": "PUMP", "action": "replace", "resource": "M", "work_hours": 500.0}
PLANNED = {"kind": "planned", "name": "planned outage", "standing_cost_per_day": 20.0,
           "max_extension_days": 10.0}  # fmt: skip
ON_LINE = {"kind": "on_line", "name": "on line"}
SET = {"access_set": "S", "name": "scaffold", "setup_days": 2.0, "setup_cost": 5.0}
MEMBER = {"access_set": "S", "family": "PUMP"}


def outage(name: str, unit: str, start: str, days: float, **more: Any) -> dict[str, Any]:
    row = {"outage": name, "unit": unit, "kind": "planned", "start_date": start, "days": days}
    return row | {"freeze_date": "2027-06-01"} | more


def judged(base: Any = None, **more: Any) -> Run:
    """Plan a station and hold that the judge has nothing to say."""
    run = plan_case(case(base, **one_unit(families=[PUMP]) | more), EXACT)
    assert not run.breaches, [breach.text for breach in run.breaches]
    return run


def test_one_outage_and_nothing_optional() -> None:
    judged(outages=[outage("P1", "U1", "2029-01-01", 40.0)], areas=one_unit()["areas"])


def test_no_outage_at_all() -> None:
    run = judged(outages=[])
    assert run.tables["work_list"].empty
    assert run.tables["reasons"]["kind"].tolist() == ["not worth it"]


def test_a_unit_that_ends_in_ten_days() -> None:
    unit = one_unit()["units"][0]
    run = judged(units=[dict(unit) | {"end_date": "2027-01-11"}])
    assert run.tables["work_list"].empty


def test_losses_of_nothing() -> None:
    run = judged(families=[PUMP | {"forced_days": 0.0, "repair_cost": 0.0}])
    assert run.solved.objective_pv_cost == 0


def test_new_design_with_a_guarantee() -> None:
    judged(
        families=[PUMP | {"guarantee_years": 8.0}],
        actions=[REPLACE | {"new_life_years": 40.0}],
    )


def test_stepped_rates_and_a_new_design_without_shape() -> None:
    judged(
        families=[
            PUMP | {"curve": "stepped", "steps": "S", "shape_ratio": None, "life_years": None}
        ],
        curve_steps=[
            {"steps": "S", "from_age_years": 0.0, "failure_rate_per_year": 0.01},
            {"steps": "S", "from_age_years": 10.0, "failure_rate_per_year": 0.2},
        ],
        actions=[REPLACE | {"new_life_years": 60.0}],
    )


def test_exponential_without_shape() -> None:
    judged(families=[PUMP | {"curve": "exponential", "shape_ratio": None}])


def test_payment_in_stages_from_no_lead_time() -> None:
    judged(settings(staged_from_months=0.0, discount_share_per_year=0.06))


def test_access_without_area_and_with_a_trade_that_has_no_crews() -> None:
    run = judged(
        access_sets=[SET], access_members=[MEMBER],
        access_hours=[{"access_set": "S", "resource": "M", "work_hours": 30.0},
                      {"access_set": "S", "resource": "X", "work_hours": 9.0}],
        resources=[{"resource": "M", "name": "millwright", "cost_per_hour": 0.1},
                   {"resource": "X", "name": "diver", "cost_per_hour": 0.3}],
    )  # fmt: skip
    assert len(run.tables["work_list"]) >= 1


def test_another_family_that_is_never_worth_it_moves_no_cost() -> None:
    """The access span, its cost and its day do not depend on which work is worth doing."""
    families = [
        PUMP,
        PUMP | {"family": "FAN", "name": "fan", "forced_days": 0.0, "repair_cost": 0.0},
    ]
    actions = [REPLACE | {"conditions": "E"}, REPLACE | {"family": "FAN"}]
    judged(
        settings(discount_share_per_year=0.06),
        families=families, actions=actions, action_hours=[HOURS, HOURS | {"family": "FAN"}],
        conditions=[{"condition": "D", "name": "drained"}, {"condition": "E", "name": "open"}],
        windows=[{"kind": "planned", "condition": "D", "from_days": 2.0},
                 {"kind": "planned", "condition": "E", "from_days": 22.0}],
        components=[{"component": "PUMP-1", "unit": "U1", "family": "PUMP"},
                    {"component": "FAN-1", "unit": "U1", "family": "FAN"}],
        access_sets=[SET | {"setup_cost": 50.0}],
        access_members=[MEMBER, MEMBER | {"family": "FAN"}],
    )  # fmt: skip


def test_the_same_outages_overlap_twice_around_a_third() -> None:
    """Crews of M1 and M2 meet, then all three, then M1 and M2 again: three stretches of a pool."""
    unit = dict(one_unit()["units"][0])
    units = [unit | {"unit": name} for name in ("U1", "U2", "U3")]
    parts = [{"component": f"P-{n}", "unit": f"U{n}", "family": "PUMP"} for n in (1, 2, 3)]
    run = judged(
        units=units, components=parts,
        outages=[outage("M1", "U1", "2029-01-01", 100.0), outage("M2", "U2", "2029-01-01", 100.0),
                 outage("S3", "U3", "2029-02-01", 20.0)],
        resources=[{"resource": "M", "name": "millwright", "cost_per_hour": 0.1,
                    "pool_heads_count": 25.0}],
    )  # fmt: skip
    names = run.choices.limits["limit"]
    assert names.is_unique
    assert sum(names.str.startswith("site.M.M1+M2.")) == 2


def test_windows_that_begin_within_a_day_of_each_other() -> None:
    run = judged(
        families=[PUMP, PUMP | {"family": "FAN", "name": "fan"}],
        actions=[REPLACE, REPLACE | {"family": "FAN", "conditions": "E"}],
        action_hours=[HOURS, HOURS | {"family": "FAN"}],
        conditions=[{"condition": "D", "name": "drained"}, {"condition": "E", "name": "open"}],
        windows=[{"kind": "planned", "condition": "D", "from_days": 5.0},
                 {"kind": "planned", "condition": "E", "from_days": 5.3}],
        components=[{"component": "PUMP-1", "unit": "U1", "family": "PUMP"},
                    {"component": "FAN-1", "unit": "U1", "family": "FAN"}],
    )  # fmt: skip
    assert run.choices.limits["limit"].is_unique


def test_a_link_inside_one_family_holds_both_ways() -> None:
    """A replaced needs B inspected and B replaced needs A inspected."""
    actions = [REPLACE, {"family": "PUMP", "action": "inspect", "cost": 1.0, "days": 1.0,
                         "conditions": "D", "restoration_share": 0.0}]  # fmt: skip
    run = judged(
        actions=actions,
        components=[{"component": f"PUMP-{n}", "unit": "U1", "family": "PUMP"} for n in "AB"],
        links=[{"link": "L", "rule": "needs", "first_family": "PUMP", "first_action": "replace",
                "second_family": "PUMP", "second_action": "inspect"}],
    )  # fmt: skip
    work = run.tables["work_list"]
    for row in work[work["action"] == "replace"].itertuples(index=False):
        other = work[(work["component"] != row.component) & (work["period"] == row.period)]
        assert "inspect" in set(other["action"])


def test_looking_at_what_is_renewed_at_failure_changes_no_risk() -> None:
    """An inspection that restores nothing leaves the renewals, and so the risk, as they are."""
    actions = [{"family": "PUMP", "action": "inspect", "cost": 1.0, "days": 1.0, "conditions": "D",
                "restoration_share": 0.0}]  # fmt: skip
    renewed = PUMP | {"on_failure": "renew", "life_years": 20.0, "shape_ratio": 6.0}
    pins = [{"component": "PUMP-1", "outage": name, "rule": "in", "who": "test", "why": "look"}
            for name in ("P1", "P2")]  # fmt: skip
    tables = {"families": [renewed], "actions": actions, "action_hours": []}
    free = judged(**tables)
    looked = judged(**tables, pins=pins)
    risks = [run.picked.courses["risk_pv_cost"].sum() for run in (free, looked)]
    assert risks[0] == pytest.approx(risks[1], rel=1e-9)


def test_a_pin_without_an_outage_does_not_open_a_frozen_one() -> None:
    frozen = [outage("P1", "U1", "2027-06-01", 40.0, freeze_date="2026-12-01"),
              outage("P2", "U1", "2033-01-01", 40.0)]  # fmt: skip
    pin = [{"component": "PUMP-1", "rule": "in", "who": "test", "why": "some day"}]
    run = judged(outages=frozen, pins=pin)
    assert set(run.tables["work_list"]["period"]) == {"P2"}


def test_a_station_wide_outage_stops_every_unit() -> None:
    kinds = [PLANNED, ON_LINE, {"kind": "all_down", "name": "all units down"}]
    run = judged(
        outage_kinds=kinds,
        outages=[outage("P1", "U1", "2029-01-01", 40.0),
                 outage("S1", "station", "2031-03-01", 30.0, kind="all_down")],
        crews=[*one_unit()["crews"], {"resource": "M", "kind": "all_down", "heads_count": 5.0}],
        components=[{"component": "PUMP-1", "unit": "U1", "family": "PUMP"},
                    {"component": "COMMON", "unit": "station", "family": "PUMP"}],
        windows=[{"kind": "planned", "condition": "D"}, {"kind": "all_down", "condition": "D"}],
    )  # fmt: skip
    risk = run.tables["risk_by_year"].set_index(["unit", "year"])["no_work_risk_cost"]
    assert risk["U1", 2031] < risk["U1", 2030]
    assert risk["station", 2031] > risk["station", 2030]


def test_overtime_of_a_short_window_is_only_its_part() -> None:
    """10 heads, 3 days, 107.1 h; with 15 % over 6 weeks 16.1 h more at most, so 130 h do not fit."""
    base = settings(overtime_share=0.15, overtime_weeks=6.0, overtime_cost_ratio=1.6)
    narrow = [
        {
            "kind": "planned",
            "condition": "D",
            "from_days": 5.0,
            "to_anchor": "start",
            "to_days": 8.0,
        }
    ]
    short = [REPLACE | {"days": 2.0}]
    kinds = [PLANNED | {"max_extension_days": 0.0}, ON_LINE]
    for hours, fits in ((120.0, True), (130.0, False)):
        run = judged(base, windows=narrow, actions=short, outage_kinds=kinds,
                     action_hours=[HOURS | {"work_hours": hours}])  # fmt: skip
        assert (len(run.tables["work_list"]) > 0) == fits, hours


def test_a_horizon_of_one_year() -> None:
    judged(settings(horizon_end_date=date(2027, 12, 31)))
