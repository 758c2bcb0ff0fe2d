"""A plan of a small station laid out on days: chosen works without a search."""

from collections.abc import Mapping
from functools import cache
from typing import Any

import pandas as pd

from bundler.case import Case
from bundler.choice import Choices
from bundler.compose import choices_of
from bundler.judge.verdict import PlanFacts
from bundler.level.outage import Laid, outage_problem
from bundler.level.solve import Effort, level
from bundler.level.tables import Schedule
from bundler.plan.chosen import Chosen

#: one work in five finds a crack: three days and 100 h more
CRACK: dict[str, Any] = {
    "discoveries": [
        {"family": "PUMP", "action": "replace", "discovery": "crack", "chance": 0.2, "days": 3.0,
         "cost": 1.0}
    ],
    "discovery_hours": [
        {"family": "PUMP", "action": "replace", "discovery": "crack", "resource": "M",
         "work_hours": 100.0}
    ],
}  # fmt: skip
#: small problems need little
EFFORT = Effort(work=2.0, most_seconds=20.0)


def picked(
    case: Case,
    choices: Choices,
    *works: tuple[str, str, str],
    longer: Mapping[str, float] | None = None,
) -> Chosen:
    """Return a plan of these works (component, action, period) with the access they need."""
    key = choices.placements[["component", "action", "period"]].apply(tuple, axis=1)
    own = choices.placements[key.isin(works)]
    assert len(own) == len(works)
    members = choices.access_members[choices.access_members["placement"].isin(own["placement"])]
    access = choices.access[choices.access["access"].isin(members["access"])]
    return Chosen(choices.courses.iloc[:0], own, access, dict(longer or {}), {})


@cache
def everything(case: Case) -> Choices:
    """Return choices with every course, even one that can never be the best."""
    return choices_of(case, frozenset(case["components"]["component"]))[0]


def laid(case: Case, *works: tuple[str, str, str], **more: Any) -> Laid:
    """Return the outage of the first of these works, laid out."""
    longer = more.pop("longer", None)
    choices = everything(case)
    chosen = picked(case, choices, *works, longer=longer)
    return outage_problem(case, choices, chosen, works[0][2], **more)


def levelled(case: Case, *works: tuple[str, str, str], **more: Any) -> Schedule:
    """Return the outage of the first of these works, levelled."""
    own = laid(case, *works, **more)
    return Schedule(own, level(own.problem, EFFORT))


def facts(
    case: Case, *works: tuple[str, str, str], longer: Mapping[str, float] | None = None
) -> PlanFacts:
    """Return the same plan as the judge reads it."""
    chosen = picked(case, everything(case), *works, longer=longer)
    return PlanFacts(
        chosen.works[["component", "action", "period"]],
        chosen.access.loc[~chosen.access["is_given"], ["access_set", "unit", "train", "period"]],
        dict(longer or {}),
        {},
        {},
    )


def stated(own: Laid, names: str) -> pd.DataFrame:
    """Return some columns of the tasks, by task."""
    return own.tasks.set_index("task")[names.split()]
