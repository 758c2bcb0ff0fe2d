"""Energies and factors of a plan against published definitions and sums by hand."""

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pandas as pd
import pytest

from bundler.calendar import periods
from bundler.compose import choices_of
from bundler.courses.costing import Costing
from bundler.courses.described import described
from bundler.courses.yearly import yearly_risk
from bundler.plan.capability import (
    capability,
    capability_factor,
    counted_in_days,
    energy_availability_factor,
    equivalent_forced_outage_rate,
    forced_loss_rate,
    planned_outage_factor,
    unplanned_loss_factor,
)
from bundler.plan.chosen import Chosen
from bundler.shared.shared import shared_of
from tests.cases import case, one_unit, settings

NO_LOSS: list[tuple[str, int, float]] = []


def table(
    lost: list[tuple[str, int, float]] = NO_LOSS,
    added: dict[str, float] | None = None,
    base: Any = None,
    **more: Any,
) -> pd.DataFrame:
    """Return the table of a plan without works, by unit and year."""
    case_ = case(base, **one_unit(**more))
    none = pd.DataFrame()
    picked = Chosen(none, none, none, added or {}, {})
    frame = pd.DataFrame(lost, columns=["unit", "year", "lost_days"])
    return capability(case_, periods(case_), picked, frame).set_index(["unit", "year"])


def outage(name: str, start: str, days: float, unit: str = "U1") -> dict[str, Any]:
    return {"outage": name, "unit": unit, "kind": "planned", "start_date": start, "days": days,
            "freeze_date": "2027-01-01"}  # fmt: skip


def units(*capacities: float, ends: str | None = None) -> list[dict[str, Any]]:
    """Return units U1, U2 ...; the last ends when told."""
    found: list[dict[str, Any]] = [
        {"unit": f"U{number}", "capacity_mw": mw, "day_value_cost_per_day": 100.0,
         "first_sync_date": "2007-01-01"}
        for number, mw in enumerate(capacities, 1)
    ]  # fmt: skip
    found[-1]["end_date"] = ends
    return found


def test_a_worked_year() -> None:
    """900 MW, 8760 h: planned 720 h, half power forced 240 h, a trip 48 h, 30 % outside for 100 h.

    Definitions of unit capability factor, unplanned loss factor and energy availability factor:
    PRIS of the IAEA; forced loss rate from memory.
    """
    whole, planned = 900 * 8760.0, 900 * 720.0
    forced, outside = 900 * (0.5 * 240 + 48), 900 * 0.3 * 100
    assert (whole, planned, forced, outside) == (7_884_000, 648_000, 151_200, 27_000)
    assert capability_factor(whole, planned, forced) == pytest.approx(0.89863014, abs=5e-9)
    assert unplanned_loss_factor(whole, forced) == pytest.approx(0.01917808, abs=5e-9)
    assert energy_availability_factor(whole, planned, forced, outside) == pytest.approx(
        0.89520548, abs=5e-9
    )
    assert forced_loss_rate(whole, planned, 0.0, forced) == pytest.approx(0.02089552, abs=5e-9)


def test_the_forced_outage_rate_of_ieee_762() -> None:
    """300 h forced, 7500 h of service, 100 h equivalent derated: 400 / 7800 (from memory)."""
    assert equivalent_forced_outage_rate(300, 7500, 100) == pytest.approx(0.05128205, abs=5e-9)
    assert equivalent_forced_outage_rate(300, 7500, 100, 200) == pytest.approx(400 / 8000)


def test_an_extension_is_unplanned_for_one_and_planned_for_the_other() -> None:
    """PRIS counts an extension as unplanned, IEEE 762 with the outage it extends."""
    assert capability_factor(1000, 100, 20 + 30) == pytest.approx(0.85)
    assert unplanned_loss_factor(1000, 20 + 30) == pytest.approx(0.05)
    assert planned_outage_factor(1000, 100, 20) == pytest.approx(0.12)
    assert forced_loss_rate(1000, 100, 20, 30) == pytest.approx(30 / 880)


def test_a_factor_of_nothing_is_none() -> None:
    assert np.isnan(capability_factor(0.0, 0.0, 0.0))
    assert np.isnan(forced_loss_rate(np.array([10.0]), 10.0, 0.0, 0.0)).all()


def test_a_year_by_hand() -> None:
    """800 MW: 2029 has 365 d, 40 d planned, 5 d added, 8 d lost to failures."""
    row = table([("U1", 2029, 6.0), ("U1", 2029, 2.0)], {"P1": 5.0}).loc[("U1", 2029)]
    day = 800 * 24.0
    assert row["reference_mwh"] == 365 * day
    assert row["planned_loss_mwh"] == 40 * day
    assert row["extension_loss_mwh"] == 5 * day
    assert row["forced_loss_mwh"] == 8 * day
    assert row["capability_factor_share"] == pytest.approx((365 - 53) / 365, abs=1e-6)
    assert row["unplanned_loss_share"] == pytest.approx(13 / 365, abs=1e-6)
    assert row["forced_loss_share"] == pytest.approx(8 / 320, abs=1e-6)
    assert row["planned_outage_share"] == pytest.approx(45 / 365, abs=1e-6)


def test_years_have_the_hours_of_the_calendar() -> None:
    """The plan begins on its planning date and ends where its horizon's last day begins."""
    reference = table(base=settings(planning_date=date(2027, 3, 1)))["reference_mwh"] / 800
    own = reference.loc["U1"]
    assert own[2028] == own[2032] == 8784
    assert own[2029] == own[2030] == 8760
    assert own[2027] == (365 - 59) * 24
    assert own[2046] == 364 * 24
    assert list(own.index) == list(range(2027, 2047))


def test_an_outage_is_cut_at_new_year_and_grows_at_its_end() -> None:
    """40 d from 1 December 2028: 31 in 2028, 9 in 2029, and the 3 added ones behind them."""
    rows = table(added={"P1": 3.0}, outages=[outage("P1", "2028-12-01", 40.0)]).loc["U1"]
    day = 800 * 24.0
    assert rows["planned_loss_mwh"][2028] == 31 * day
    assert rows["planned_loss_mwh"][2029] == 9 * day
    assert rows["extension_loss_mwh"][2028] == 0
    assert rows["extension_loss_mwh"][2029] == 3 * day
    over = table(added={"P1": 3.0}, outages=[outage("P1", "2028-11-20", 40.0)]).loc["U1"]
    assert over["extension_loss_mwh"][2028] == 2 * day
    assert over["extension_loss_mwh"][2029] == 1 * day


def test_a_year_without_a_day_on_line() -> None:
    """An outage of 900 d takes all of 2030 and 2031: no capability, and no rate of nothing."""
    rows = table([("U1", 2030, 4.0)], outages=[outage("P1", "2029-12-01", 900.0)]).loc["U1"]
    assert rows["capability_factor_share"][2030] == 0
    assert rows["forced_loss_mwh"][2030] == 0
    assert np.isnan(rows["forced_loss_share"][2030])


def test_the_whole_station_weighs_by_capacity() -> None:
    """800 and 200 MW: only the large one has P1, so the station loses 0.8 of its 40 d."""
    rows = table([("U2", 2029, 10.0)], units=units(800.0, 200.0))
    row = rows.loc[("station", 2029)]
    assert row["reference_mwh"] == 1000 * 8760
    assert row["planned_loss_mwh"] == 800 * 24 * 40
    assert row["forced_loss_mwh"] == 200 * 24 * 10
    shares = rows["capability_factor_share"]
    by_hand = 0.8 * shares[("U1", 2029)] + 0.2 * shares[("U2", 2029)]
    assert row["capability_factor_share"] == pytest.approx(by_hand, abs=1e-6)


def test_a_station_wide_outage_takes_every_unit_once() -> None:
    """S1 lies over the last 10 d of P1: U1 is out for 60 d, U2 for 30."""
    outages = [outage("P1", "2029-01-01", 40.0), outage("S1", "2029-01-31", 30.0, "station")]
    rows = table(added={"P1": 5.0, "S1": 2.0}, units=units(800.0, 200.0), outages=outages)
    assert rows.loc[("U1", 2029), "planned_loss_mwh"] == 60 * 24 * 800
    assert rows.loc[("U2", 2029), "planned_loss_mwh"] == 30 * 24 * 200
    assert rows.loc[("U1", 2029), "extension_loss_mwh"] == 2 * 24 * 800
    assert rows.loc[("U2", 2029), "extension_loss_mwh"] == 2 * 24 * 200


def test_a_common_system_takes_one_units_worth() -> None:
    """Two full-power days of a common system: a day of each of two units, two of the last one."""
    lost = [("station", 2029, 2.0), ("station", 2031, 2.0)]
    rows = table(lost, units=units(800.0, 200.0, ends="2030-06-01"))
    assert rows.loc[("U1", 2029), "forced_loss_mwh"] == 800 * 24
    assert rows.loc[("U2", 2029), "forced_loss_mwh"] == 200 * 24
    assert rows.loc[("U1", 2031), "forced_loss_mwh"] == 2 * 800 * 24
    assert ("U2", 2031) not in rows.index
    assert rows.loc[("U2", 2030), "reference_mwh"] == 151 * 24 * 200


def lost_days(case_: Any) -> pd.DataFrame:
    """Return the days lost with no work, as a run makes them."""
    counted = counted_in_days(case_)
    times, parts = periods(counted), described(counted)
    shared = shared_of(counted, times, parts)
    works = choices_of(case_)[0].placements.iloc[:0]
    more = shared.by_member(shared.plan(works))
    found = yearly_risk(counted, Costing(counted, times, {}), parts, works, more)
    return found.rename(columns={"risk_cost": "lost_days"})


def constant(**family: Any) -> Any:
    """Return one unit with a pump that fails once in 20 years on the mean at any age."""
    own = {"family": "PUMP", "name": "pump", "area": "TB", "curve": "exponential", "life_years": 20.0,
           "forced_days": 5.0, "repair_cost": 200.0}  # fmt: skip
    base = replace(settings(), forced_outage_cost=999.0, discount_share_per_year=0.08)
    return case(base, **one_unit(families=[own | family]))


def test_days_lost_to_failures_are_failures_times_days() -> None:
    """1 / 20 a year x 5 d in 2030, and only while on line in 2029 (40 of 365 d shut)."""
    by_year = lost_days(constant()).set_index("year")["lost_days"]
    assert by_year[2030] == pytest.approx(5 / 20 * 365 / 365.25, rel=5e-3)
    assert by_year[2029] == pytest.approx(5 / 20 * 325 / 365.25, rel=5e-3)


def test_repairs_and_discount_are_no_days() -> None:
    """No day is lost where a failure loses none, whatever its repair costs."""
    assert lost_days(constant(forced_days=0.0))["lost_days"].sum() == 0


def test_a_plan_read_from_its_failures() -> None:
    case_ = constant()
    none = pd.DataFrame()
    picked = Chosen(none, none, none, {}, {})
    found = capability(case_, periods(case_), picked, lost_days(case_)).set_index(["unit", "year"])
    row = found.loc[("U1", 2029)]
    assert row["forced_loss_share"] == pytest.approx(5 / 20 / 365.25, rel=5e-3)
