"""The courses of one component, ready to be costed for another life."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import Choices, IntArray
from bundler.courses.costing import Costing
from bundler.courses.exposure import Exposure, Works
from bundler.courses.lives import works_of


@dataclass(frozen=True)
class Seen:
    """All courses of one component, in the order of `choices.courses`.

    placements : its placements in time order.
    steps : the works of each course as positions in them, -1 for none [n, most].
    """

    part: pd.Series
    exposure: Exposure
    works: Works
    placements: pd.DataFrame
    steps: IntArray


def _steps(held: pd.DataFrame, courses: pd.DataFrame, own: pd.DataFrame) -> IntArray:
    """Return the courses of one component as positions of its placements, in time order."""
    place = pd.Series(np.arange(len(own)), own["placement"])
    held = held.assign(position=held["placement"].map(place)).sort_values(["course", "position"])
    row = pd.Series(np.arange(len(courses)), courses["course"])
    rank = held.groupby("course").cumcount().to_numpy()
    steps = np.full((len(courses), int(rank.max(initial=0)) + 1), -1, dtype=np.int64)
    steps[held["course"].map(row).to_numpy(dtype=np.int64), rank] = held["position"]
    return steps


def _seen(
    costing: Costing, part: pd.Series, own: pd.DataFrame, held: pd.DataFrame, courses: pd.DataFrame
) -> Seen:
    """Return one component from its placements, the works of its courses, and its courses."""
    own = own.sort_values(["effect_days", "placement"]).reset_index(drop=True)
    exposure = costing.sight(part)
    works = works_of(costing.case, part, own, exposure.grid_years)
    return Seen(part, exposure, works, own, _steps(held, courses, own))


def seen(costing: Costing, choices: Choices, part: pd.Series) -> Seen:
    """Return the courses of one described component."""
    name = part["component"]
    own = choices.placements[choices.placements["component"] == name]
    courses = choices.courses[choices.courses["component"] == name]
    held = choices.works[choices.works["course"].isin(courses["course"])]
    return _seen(costing, part, own, held, courses)


def all_seen(
    costing: Costing, choices: Choices, parts: pd.DataFrame
) -> Iterator[tuple[IntArray, Seen]]:
    """Yield for each described component the rows of its courses, and these courses."""
    owner = choices.courses.set_index("course")["component"]
    placed = choices.placements.groupby("component").indices
    rows_of = choices.courses.groupby("component").indices
    held = choices.works.groupby(choices.works["course"].map(owner)).indices
    none = np.zeros(0, dtype=np.int64)
    for _, part in parts.iterrows():
        name = part["component"]
        rows = np.asarray(rows_of[name], dtype=np.int64)
        own = choices.placements.iloc[placed.get(name, none)]
        works = choices.works.iloc[held.get(name, none)]
        yield rows, _seen(costing, part, own, works, choices.courses.iloc[rows])
