"""What a plan leaves of the output of each unit, by calendar year, with the usual factors.

Reference energy REG is what a unit gives at full power without a stop; PEL is lost in planned
outages, FEL by failures while on line, OEL in days by which an outage is longer than drawn, XEL
for reasons outside the station. Unplanned loss UEL = FEL + OEL. Sources: definitions of the
IAEA's Power Reactor Information System (PRIS); hours as in IEEE 762.
"""

from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd

from bundler.calendar import STATION, end_of_life_days
from bundler.case import Case
from bundler.choice import FloatArray
from bundler.intervals import Stretches, intersection, outside, union
from bundler.plan.chosen import Chosen
from bundler.tables import rows

#: one period or many
Energy = FloatArray | float

HOURS_A_DAY = 24.0
ENERGIES = ("reference_mwh", "planned_loss_mwh", "extension_loss_mwh", "forced_loss_mwh")


def _share(part: Energy, whole: Energy) -> FloatArray:
    """Return part / whole [-], NaN where the whole is 0."""
    top, bottom = np.broadcast_arrays(np.asarray(part, float), np.asarray(whole, float))
    out = np.full(top.shape, np.nan)
    result: FloatArray = np.divide(top, bottom, out=out, where=bottom > 0)
    return result


def energy_availability_factor(
    reference: Energy, planned: Energy, unplanned: Energy, external: Energy
) -> FloatArray:
    """Return EAF = (REG - PEL - UEL - XEL) / REG [-] of energies in one unit (PRIS)."""
    left = np.asarray(reference, float) - planned - unplanned - external
    return _share(left, reference)


def capability_factor(reference: Energy, planned: Energy, unplanned: Energy) -> FloatArray:
    """Return UCF = (REG - PEL - UEL) / REG [-] of energies in one unit (PRIS)."""
    return energy_availability_factor(reference, planned, unplanned, 0.0)


def unplanned_loss_factor(reference: Energy, unplanned: Energy) -> FloatArray:
    """Return UCL = UEL / REG [-] (PRIS); UEL with the days by which outages are longer."""
    return _share(unplanned, reference)


def forced_loss_rate(
    reference: Energy, planned: Energy, extension: Energy, forced: Energy
) -> FloatArray:
    """Return FLR = FEL / (REG - (PEL + OEL)) [-], of what is on line (PRIS; from memory)."""
    return _share(forced, np.asarray(reference, float) - planned - extension)


def planned_outage_factor(reference: Energy, planned: Energy, extension: Energy) -> FloatArray:
    """Return POF = (PEL + OEL) / REG [-]: an extension counts with its outage (IEEE 762)."""
    return _share(np.asarray(planned, float) + extension, reference)


def equivalent_forced_outage_rate(
    forced_hours: float, service_hours: float, derated_hours: float, reserve_hours: float = 0.0
) -> float:
    """Return EFOR = (FOH + EFDH) / (FOH + SH + EFDHRS) [-] (IEEE 762; from memory).

    Forced outage hours, equivalent forced derated hours, service hours, and those of the derated
    hours that fall into reserve shutdown.
    """
    return (forced_hours + derated_hours) / (forced_hours + service_hours + reserve_hours)


def counted_in_days(case: Case) -> Case:
    """Return the case with its money counted in full-power days lost by failures.

    A full-power day of each unit, and of a common system, is worth 1; repairs and forced outages
    cost nothing. Whatever tells the real money at risk then tells the days lost.
    """
    settings = replace(case.settings, station_value_cost_per_day=1.0, forced_outage_cost=0.0)
    tables = {
        "units": case["units"].assign(day_value_cost_per_day=1.0),
        "families": case["families"].assign(repair_cost=0.0),
        "components": case["components"].assign(repair_cost=0.0),
    }
    return replace(case, settings=settings, tables={**case.tables, **tables})


def _shut(periods: pd.DataFrame, unit: str, picked: Chosen) -> tuple[Stretches, Stretches]:
    """Return the days of a unit in outages as drawn, and those added at their ends."""
    own = periods[periods["is_outage"] & periods["unit"].isin([unit, STATION])]
    drawn = union(zip(own["start_days"], own["end_days"], strict=True))
    ends = [(row.end_days, picked.extension_days.get(row.period, 0.0)) for row in rows(own)]
    added = union((end, end + max(more, 0.0)) for end, more in ends)
    return drawn, intersection(added, outside(drawn))


def _years(case: Case) -> pd.DataFrame:
    """Return one row a unit and calendar year with the days that the plan covers in it.

    Columns unit, year, capacity_mw, start_days, end_days [days from planning].
    """
    begin, last = case.settings.planning_date, end_of_life_days(case)
    found = []
    for row in rows(case["units"]):
        for year in range(begin.year, case.settings.horizon_end_date.year + 1):
            start = max((date(year, 1, 1) - begin).days, 0)
            end = min((date(year + 1, 1, 1) - begin).days, last[row.unit])
            if start < end:
                found.append((row.unit, year, row.capacity_mw, float(start), float(end)))
    names = ["unit", "year", "capacity_mw", "start_days", "end_days"]
    return pd.DataFrame(found, columns=names)


def _inside(parts: Stretches, start: float, end: float) -> float:
    """Return how many of the days lie in a stretch [d]."""
    return sum(high - low for low, high in intersection(parts, [(start, end)]))


def _lost_days(lost: pd.DataFrame, table: pd.DataFrame) -> FloatArray:
    """Return the full-power days that failures take from each unit and year [n].

    A failure of a common system stops one unit's worth of output; each unit bears an equal part.
    """
    by_key = lost.groupby(["unit", "year"])["lost_days"].sum().to_dict()
    units = table.groupby("year")["unit"].transform("count")
    return np.array(
        [
            by_key.get((row.unit, row.year), 0.0) + by_key.get((STATION, row.year), 0.0) / count
            for row, count in zip(rows(table), units, strict=True)
        ]
    )


def _energies(
    case: Case, periods: pd.DataFrame, picked: Chosen, lost: pd.DataFrame
) -> pd.DataFrame:
    """Return the energies of each unit and year; columns unit, year, `ENERGIES`."""
    table = _years(case)
    shut = {unit: _shut(periods, unit, picked) for unit in case["units"]["unit"]}
    days = [
        (row.end_days - row.start_days,
         *(_inside(part, row.start_days, row.end_days) for part in shut[row.unit]))
        for row in rows(table)
    ]  # fmt: skip
    whole, planned, added = np.array(days, dtype=float).reshape(-1, 3).T
    failed = np.minimum(_lost_days(lost, table), whole - planned - added)
    energy = np.column_stack([whole, planned, added, failed]) * HOURS_A_DAY
    energy *= table["capacity_mw"].to_numpy(dtype=float)[:, None]
    return table[["unit", "year"]].join(pd.DataFrame(energy, columns=ENERGIES))


def capability(
    case: Case, periods: pd.DataFrame, picked: Chosen, lost: pd.DataFrame
) -> pd.DataFrame:
    """Return the energies and factors of each unit and calendar year, and of the whole station.

    `periods` are those of the choices; `lost` has unit (or station), year and lost_days, the
    expected full-power days lost by failures while on line [d], in any number of rows. A year
    counts the days that the plan covers: from the planning date to the end of the unit's life or
    the start of the horizon's last day. Where outages overlap a day counts once, as drawn before
    as added. Failures take no more than what is on line; the station's factors are those of the
    sums, so units weigh by their capacity. A factor of nothing is NaN.
    """
    units = _energies(case, periods, picked, lost)
    whole = units.groupby("year", as_index=False)[list(ENERGIES)].sum().assign(unit=STATION)
    table = pd.concat([units, whole], ignore_index=True)[["unit", "year", *ENERGIES]]
    reference, planned, added, forced = (table[name].to_numpy() for name in ENERGIES)
    table[list(ENERGIES)] = table[list(ENERGIES)].round(1)
    return table.assign(
        capability_factor_share=capability_factor(reference, planned, added + forced).round(6),
        unplanned_loss_share=unplanned_loss_factor(reference, added + forced).round(6),
        forced_loss_share=forced_loss_rate(reference, planned, added, forced).round(6),
        planned_outage_share=planned_outage_factor(reference, planned, added).round(6),
    ).sort_values(["unit", "year"], ignore_index=True)
