"""From a case to placements, what is ruled out, and every course with its cost."""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bundler.calendar import date_at
from bundler.case import Case
from bundler.choice import FloatArray, IntArray
from bundler.courses import costs
from bundler.courses.described import described
from bundler.courses.exposure import Exposure, Works
from bundler.courses.lives import at_life, works_of
from bundler.courses.placed import Placed, barred, fitting_days, place
from bundler.courses.risk import stretch_risk
from bundler.courses.rules import counting, due_rules, keep_pinned
from bundler.courses.sequences import DueRule, all_sequences
from bundler.courses.stretches import stretches
from bundler.errors import NoPlanError
from bundler.tables import rows

#: life ratios at which a course has to be of use to be kept; our choice
RATIOS = (0.4, 0.63, 1.0, 1.6, 2.5)
#: which side of each link other components ask for; such work is kept even if it costs more
ASKED = {"needs": ["second"], "together": ["first", "second"], "before": ["first"],
         "triggers": ["second"], "apart": []}  # fmt: skip


@dataclass(frozen=True)
class Courses:
    """Placements, payments, courses (one row each) and works (course, placement).

    eligible holds every placement before any course is left out; fits every component, action
    and outage whose plant conditions hold, whatever parts and drawings say; fitting_days for
    each component the starts of these outages [days from planning].
    """

    placements: pd.DataFrame
    ruled_out: pd.DataFrame
    payments: pd.DataFrame
    courses: pd.DataFrame
    works: pd.DataFrame
    eligible: pd.DataFrame
    fits: pd.DataFrame
    fitting_days: dict[str, FloatArray]


def asked_families(case: Case) -> set[str]:
    """Return the families whose work another component may ask for."""
    asked: set[str] = set()
    for link in case["links"].to_dict("records"):
        asked.update(link[f"{side}_family"] for side in ASKED[link["rule"]])
    return asked


class Costing:
    """Costs the courses of one component after another, and remembers equal ones."""

    def __init__(self, case: Case, periods: pd.DataFrame, fitting: dict[str, FloatArray]) -> None:
        self.case, self.periods, self.fitting = case, periods, fitting
        self.times: dict[tuple[str, float], costs.UnitTime] = {}
        self.known: dict[object, FloatArray] = {}

    def sight(self, part: pd.Series) -> Exposure:
        """Return what the failures of a described component cost over time."""
        key = (part["unit"], part["end_days"])
        if key not in self.times:
            self.times[key] = costs.unit_time(self.case, self.periods, *key)
        days = self.fitting.get(part["component"], np.zeros(0))
        return costs.exposure(self.case, part, self.times[key], days)

    def risks(
        self, sight: Exposure, works: Works, steps: IntArray, ratios: tuple[float, ...]
    ) -> FloatArray:
        """Return the risk of each course in present value at each life ratio [n, R]."""
        key = (costs.risk_key(sight, works), steps.tobytes(), ratios)
        if key not in self.known:
            cut = stretches(sight, works, steps)
            found = [stretch_risk(*at_life(sight, works, ratio), cut) for ratio in ratios]
            self.known[key] = np.column_stack(found)
        return self.known[key]

    def risk(self, sight: Exposure, works: Works, steps: IntArray) -> FloatArray:
        """Return the risk of each course in present value."""
        return self.risks(sight, works, steps, (1.0,))[:, 0]


def _steps(part: pd.Series, own: pd.DataFrame, rules: tuple[DueRule, ...]) -> IntArray:
    """Return the courses of one component that keep its dates."""
    return all_sequences(
        own["effect_days"].to_numpy(),
        own["done_days"].to_numpy(),
        most=int(part["most_works"]),
        rules=rules,
        end_days=float(part["end_days"]),
    )


def _stuck(
    case: Case, part: pd.Series, lawful: IntArray, rules: tuple[DueRule, ...], out: pd.DataFrame
) -> str:
    """Return the sentence for a component that has no course at all: which pin or date, and why."""
    name = part["component"]
    if len(lawful) == 0:
        first = date_at(case, min(rule.first_due_days for rule in rules))
        return (
            f"{name}: no choice of works keeps its statutory dates and age limit, "
            f"first due {first}. Give it a window in time, or correct the date in mandates.csv "
            "or families.csv."
        )
    pins = case["pins"]
    told = []
    for pin in rows(pins[(pins["component"] == name) & (pins["rule"] == "in")]):
        why = out[(out["component"] == name) & (out["action"] == pin.action)]
        why = why[why["period"] == pin.outage]["detail"]
        because = f", because: {why.iloc[0]}" if len(why) else ""
        told.append(f"pins.csv row {pin.file_row} ({pin.action} {pin.outage}){because}")
    return f"{name}: no choice of works keeps {'; '.join(told)}. Correct or take out the pin."


def build_courses(
    case: Case, periods: pd.DataFrame, keep_all: frozenset[str] = frozenset()
) -> Courses:
    """Return every course of every component with risk, planned cost and their sum.

    Courses that can never be the best, at none of the lives looked at, are left out, but for the
    components in `keep_all`; is_lean marks those that can be the best at the life assumed.

    Raises NoPlanError with one sentence a component that cannot keep its dates and pins.
    """
    ready = place(case, periods)
    placed, parts, asked = ready.placed, described(case), asked_families(case)
    costing, due = Costing(case, periods, fitting_days(ready.fits)), due_rules(case, parts)
    pins = {str(name): own for name, own in case["pins"].groupby("component")}
    rows_of = placed.groupby("component").indices
    tables: list[pd.DataFrame] = []
    stuck: list[str] = []
    out: list[pd.DataFrame] = [ready.ruled_out]
    for _, part in parts.iterrows():
        own = placed.iloc[rows_of.get(part["component"], np.zeros(0, dtype=np.int64))]
        rules = counting(due.get(part["component"], []), own)
        lawful = _steps(part, own, rules)
        steps = keep_pinned(lawful, pins.get(part["component"], case["pins"].iloc[:0]), own)
        if len(steps) == 0:
            stuck.append(_stuck(case, part, lawful, rules, ready.ruled_out))
            continue
        out += barred(case, own, lawful, steps, rules)
        is_free = part["family"] not in asked and part["component"] not in keep_all
        tables.append(_own_courses(costing, part, own, steps, is_free))
    if stuck:
        raise NoPlanError("\n".join(stuck))
    order = ["component", "action", "period"]
    ruled_out = pd.concat(out, ignore_index=True).sort_values(order, ignore_index=True)
    return _numbered(
        replace(ready, ruled_out=ruled_out), costing, pd.concat(tables, ignore_index=True)
    )


def _risks(costing: Costing, part: pd.Series, own: pd.DataFrame, steps: IntArray) -> FloatArray:
    """Return the risk of each course of one component at each of `RATIOS` [n, R]."""
    sight = costing.sight(part)
    works = works_of(costing.case, part, own, sight.grid_years)
    return costing.risks(sight, works, steps, RATIOS)


def _own_courses(
    costing: Costing, part: pd.Series, own: pd.DataFrame, steps: IntArray, is_free: bool
) -> pd.DataFrame:
    """Return the courses of one component that may be worth choosing at some life."""
    risks = _risks(costing, part, own, steps)
    planned = costs.planned_cost(steps, own["planned_pv_cost"].to_numpy())
    lean = keep = np.ones(len(steps), dtype=bool)
    here = RATIOS.index(1.0)
    risk = risks[:, here]
    if is_free:
        total = risks + planned[:, None]
        lean = costs.useful(steps, total[:, [here]], len(own))
        keep = costs.useful(steps, total, len(own)) | lean
    numbers = np.append(own["placement"].to_numpy(), -1)
    return pd.DataFrame(
        {
            "component": part["component"],
            "risk_pv_cost": risk[keep],
            "planned_pv_cost": planned[keep],
            "pv_cost": (risk + planned)[keep],
            "is_lean": lean[keep],
            "steps": list(numbers[steps[keep]]),
        }
    )


def _numbered(ready: Placed, costing: Costing, courses: pd.DataFrame) -> Courses:
    """Return the tables with courses and placements numbered, unused placements left out."""
    placed, paid = ready.placed, ready.payments
    courses = courses.assign(course=np.arange(len(courses), dtype=np.int64))
    lengths = np.array([len(steps) for steps in courses["steps"]])
    flat = pd.DataFrame(
        {
            "course": np.repeat(courses["course"].to_numpy(), lengths),
            "placement": np.concatenate(list(courses["steps"])),
        }
    )
    flat = flat[flat["placement"] >= 0]
    used = np.unique(flat["placement"])
    renumber = np.full(len(placed), -1, dtype=np.int64)
    renumber[used] = np.arange(len(used))
    kept = placed.iloc[used].reset_index(drop=True)
    kept["placement"] = np.arange(len(kept), dtype=np.int64)
    own_paid = paid[paid["placement"].isin(used)].copy()
    own_paid["placement"] = renumber[own_paid["placement"]]
    flat["placement"] = renumber[flat["placement"]]
    names = ["course", "component", "risk_pv_cost", "planned_pv_cost", "pv_cost", "is_lean"]
    return Courses(
        kept, ready.ruled_out, own_paid.reset_index(drop=True), courses[names],
        flat.reset_index(drop=True), placed, ready.fits, costing.fitting,
    )  # fmt: skip
