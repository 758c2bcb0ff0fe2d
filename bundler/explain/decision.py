"""What has to be decided now: the works that each course holds in the next outages."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR, date_at
from bundler.case import Case
from bundler.choice import Choices, IntArray
from bundler.tables import words

Works = frozenset[tuple[str, str]]


@dataclass(frozen=True)
class Decisions:
    """The decisions of all courses.

    text : the decision of each course in words, in the order of `choices.courses`.
    works : the works (action, period) of each decision by its words.
    last_days : the last day on which a work (component, action, period) can still be taken in or
        out: scope freeze, or the last order date if that is earlier [days from planning].
    """

    text: pd.Series
    works: dict[str, Works]
    last_days: dict[tuple[str, str, str], float]

    def codes(self, rows: IntArray) -> tuple[IntArray, list[str]]:
        """Return the decision of each of some courses as a number, and the words by number."""
        found, names = pd.factorize(self.text.to_numpy()[rows], sort=True)
        return found.astype(np.int64), [str(name) for name in names]

    def parting_days(self, component: str, one: str, other: str) -> float:
        """Return the last day on which two decisions can still be told apart [days]."""
        differ = self.works[one] ^ self.works[other]
        return min(self.last_days[component, action, period] for action, period in differ)


def waits(case: Case) -> str:
    """Return the words of the decision to do nothing for now."""
    last = date_at(case, case.settings.decision_years * DAYS_A_YEAR)
    return f"no work before {last.year}"


def _last_days(choices: Choices) -> dict[tuple[str, str, str], float]:
    """Return the last day on which each placement can still be taken in or out."""
    periods = choices.periods.set_index("period")
    placed = choices.placements
    freeze = placed["period"].map(periods["freeze_days"].where(periods["is_outage"]))
    opened = placed["period"].map(periods["start_days"])
    days = np.fmin(freeze.fillna(opened), placed["last_order_days"])
    keys = zip(placed["component"], placed["action"], placed["period"], strict=True)
    return dict(zip(keys, np.maximum(days, 0.0), strict=True))


def decisions(case: Case, choices: Choices) -> Decisions:
    """Return the decision of each course: its works in periods that open soon enough.

    Soon is within `decision_years` of the planning date; courses that differ only later share
    their decision, because later works can be decided later.
    """
    soon = choices.periods["start_days"] <= case.settings.decision_years * DAYS_A_YEAR
    near = set(choices.periods.loc[soon, "period"])
    columns = ["placement", "action", "period", "effect_days"]
    held = choices.works.merge(choices.placements[columns], on="placement")
    held = held[held["period"].isin(near)].sort_values(["course", "effect_days"])
    held["text"] = held["action"].str.replace("_", " ") + " in " + held["period"]
    told = held.groupby("course")["text"].agg(", then ".join)
    text = words(choices.courses["course"].map(told), waits(case))
    held_by: dict[str, Works] = {waits(case): frozenset()}
    shown = set(told.drop_duplicates().index)  # one course a decision tells its works
    for course, own in held[held["course"].isin(shown)].groupby("course"):
        pairs = zip(own["action"], own["period"], strict=True)
        held_by.setdefault(str(told[course]), frozenset(pairs))
    return Decisions(text, held_by, _last_days(choices))
