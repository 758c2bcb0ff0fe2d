"""The courses that one component would have without one of its pins."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.courses.build import own_courses
from bundler.courses.costing import Costing
from bundler.courses.kept import asked, kept_courses
from bundler.courses.placed import place


@dataclass(frozen=True)
class Unpinned:
    """What a component could do without a pin: placements, payments and courses, all of them.

    courses : one row a course; steps are its placements (-1: none), with its costs; no rows
        where there is none. stuck : why there is none, "" where there is.
    """

    placements: pd.DataFrame
    payments: pd.DataFrame
    courses: pd.DataFrame
    stuck: str


def without(case: Case, pin: Any) -> Case:
    """Return the case of the pin's component alone, with all of its other pins."""
    parts, pins = case["components"], case["pins"]
    own = parts[parts["component"] == pin.component].reset_index(drop=True)
    others = pins[pins["file_row"] != pin.file_row].reset_index(drop=True)
    return replace(case, tables={**case.tables, "components": own, "pins": others})


def unpinned(case: Case, costing: Costing, part: pd.Series, pin: Any) -> Unpinned:
    """Return what a described component could do without one pin; what the rules bar stays out."""
    alone = without(case, pin)
    ready = place(alone, costing.periods, learned=costing.around.learned)
    ask = asked(alone, part.to_frame().T)
    found = kept_courses(ask, costing, part, ready.placed, ready.ruled_out)
    every = np.ones(len(ready.placed), dtype=bool)
    courses = own_courses(costing, part, ready.placed, found.steps, every)
    return Unpinned(ready.placed, ready.payments, courses, found.stuck)
