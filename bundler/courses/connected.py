"""Systems common to several units: the days on which these units are in the state they need."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bundler.calendar import STATION, end_of_life_days, on_line_periods, outage_periods, spans
from bundler.case import Case
from bundler.intervals import Stretches, at_least, outside, union
from bundler.tables import rows

#: units and conditions with the days on which each holds there
Held = dict[tuple[str, str], Stretches]


@dataclass(frozen=True)
class Need:
    """What a common system needs of its units: the days on which it is met, and the words."""

    days: Stretches
    text: str


def _unit_periods(case: Case) -> pd.DataFrame:
    """Return every outage and on-line period of each unit, however short; station-wide for each."""
    outages = outage_periods(case)
    on_line = on_line_periods(case, outages, shortest_days=0.0)
    table = pd.concat([outages, on_line[on_line["unit"] != STATION]], ignore_index=True)
    table["owner"] = [
        sorted(case["units"]["unit"]) if unit == STATION else [unit] for unit in table["unit"]
    ]
    return table.explode("owner", ignore_index=True)


def unit_conditions(case: Case) -> Held:
    """Return the days on which each plant condition holds in each unit.

    In its own outages, in station-wide ones and on line, as windows and seasons say.
    """
    table = _unit_periods(case)
    found = spans(case, table.drop_duplicates("period"))
    found = found.merge(table[["period", "owner"]], on="period")
    by_key = found.groupby(["owner", "condition"])
    return {
        (str(unit), str(condition)): union(
            zip(own["start_days"].astype(float), own["end_days"].astype(float), strict=True)
        )
        for (unit, condition), own in by_key
    }


def _words(case: Case, need: Any) -> str:
    """Return what a need asks for, with its reason."""
    names = case["conditions"].set_index("condition")["name"]
    name = f"{need.condition} ({names.get(need.condition, need.condition)})"
    units = need.units.replace("+", " ") or "all units"
    some = "" if pd.isna(need.least_count) else f"at least {need.least_count:.0f} of "
    verb = "has to hold" if need.rule == "holds" else "may not hold"
    return f"{name} {verb} in {some}{units}" + (f", {need.why}" if need.why else "")


def _days(case: Case, need: Any, held: Held) -> Stretches:
    """Return the days on which a need is met; a unit past its end stands in nobody's way."""
    units = need.units.split("+") if need.units else sorted(case["units"]["unit"])
    last = end_of_life_days(case)
    sets = []
    for unit in units:
        here = held.get((unit, need.condition), ())
        fit = here if need.rule == "holds" else outside(here)
        sets.append(union([*fit, (float(last[unit]), float("inf"))]))
    return at_least(sets, len(units) if pd.isna(need.least_count) else int(need.least_count))


def needs_of_units(case: Case) -> dict[tuple[str, str], tuple[Need, ...]]:
    """Return what each work on a common system needs of its units, by family and action."""
    table = case["common_needs"]
    if table.empty:
        return {}
    held = unit_conditions(case)
    needs = [(row, Need(_days(case, row, held), _words(case, row))) for row in rows(table)]
    found = {
        (action.family, action.action): tuple(_own(needs, action))
        for action in rows(case["actions"])
    }
    return {work: own for work, own in found.items() if own}


def _own(needs: list[tuple[Any, Need]], action: Any) -> Iterator[Need]:
    """Return the needs of one kind of work."""
    for row, need in needs:
        if row.family == action.family and row.action in ("", action.action):
            yield need
