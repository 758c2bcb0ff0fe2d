"""The chosen courses with their works, as the other tables of a plan need them."""

from dataclasses import dataclass
from typing import Protocol

import pandas as pd

from bundler.choice import Choices


@dataclass(frozen=True)
class Chosen:
    """What a plan chose.

    courses : one row a component; course, component, costs.
    works : one row a placed work; the columns of placements.
    access : one row an access set that is made and paid; the columns of access.
    extension_days, overtime_hours : by period, by overtime band.
    """

    courses: pd.DataFrame
    works: pd.DataFrame
    access: pd.DataFrame
    extension_days: dict[str, float]
    overtime_hours: dict[str, float]


def chosen(
    choices: Choices,
    courses: tuple[int, ...],
    access: tuple[str, ...],
    extension_days: dict[str, float],
    overtime_hours: dict[str, float],
) -> Chosen:
    """Return the chosen rows of courses, placements and access sets."""
    picked = choices.courses[choices.courses["course"].isin(courses)].reset_index(drop=True)
    placements = choices.works.loc[choices.works["course"].isin(courses), "placement"]
    works = choices.placements[choices.placements["placement"].isin(placements)]
    needed = choices.access_members.loc[
        choices.access_members["placement"].isin(works["placement"]), "access"
    ]
    made = choices.access["access"].isin(access) & choices.access["access"].isin(needed)
    return Chosen(
        picked,
        works.sort_values(["start_days", "component"]).reset_index(drop=True),
        choices.access[made].reset_index(drop=True),
        extension_days,
        overtime_hours,
    )


class Found(Protocol):
    """A plan as a search or its settling gives it."""

    @property
    def courses(self) -> tuple[int, ...]:
        """Return the number of the course of each component."""
        ...

    @property
    def access(self) -> tuple[str, ...]:
        """Return the access sets that are made and paid."""
        ...

    @property
    def extension_days(self) -> dict[str, float]:
        """Return the days by which each period is lengthened [d]."""
        ...

    @property
    def overtime_hours(self) -> dict[str, float]:
        """Return the overtime of each band [h]."""
        ...


def chosen_by(choices: Choices, found: Found) -> Chosen:
    """Return the chosen rows of a plan that was found."""
    return chosen(choices, found.courses, found.access, found.extension_days, found.overtime_hours)


def cost_parts(choices: Choices, picked: Chosen) -> dict[str, float]:
    """Return the plan's cost by part and in all, in present value."""
    days = dict(zip(choices.periods["period"], choices.periods["day_pv_cost"], strict=True))
    bands = choices.overtimes
    hours = dict(zip(bands["overtime"], bands["pv_cost_per_hour"], strict=True))
    parts = {
        "risk_pv_cost": float(picked.courses["risk_pv_cost"].sum()) + choices.shared_pv_cost,
        "planned_pv_cost": float(picked.courses["planned_pv_cost"].sum()),
        "access_pv_cost": float(picked.access["pv_cost"].sum()),
        "extension_pv_cost": sum(n * days[name] for name, n in picked.extension_days.items()),
        "overtime_pv_cost": sum(n * hours[name] for name, n in picked.overtime_hours.items()),
    }
    return {"objective_pv_cost": sum(parts.values()), **parts}


def first_works(works: pd.DataFrame) -> dict[str, tuple[str, str]]:
    """Return the first work of each component that has one: action and period."""
    ordered = works.sort_values(["effect_days", "placement"])
    first = ordered.groupby("component")[["action", "period"]].first()
    told = zip(first.index, first["action"], first["period"], strict=True)
    return {str(name): (str(action), str(period)) for name, action, period in told}
