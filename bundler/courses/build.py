"""From a case to placements, what is ruled out, and every course with its cost."""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.choice import FloatArray, IntArray
from bundler.courses import costs, kept
from bundler.courses.around import NOTHING, Around
from bundler.courses.costing import Costing
from bundler.courses.described import described
from bundler.courses.lives import works_of
from bundler.courses.placed import Placed, fitting_days, place
from bundler.errors import NoPlanError

#: life ratios at which a course has to be of use to be kept; our choice
RATIOS = (0.4, 0.63, 1.0, 1.6, 2.5)
#: components without any course that are told before the others are counted; our choice
MOST_TOLD = 5
#: which side of each link other components ask for; such work is kept even if it costs more
ASKED = {"needs": ["second"], "together": ["first", "second"], "before": ["first"],
         "triggers": ["second"], "apart": [], "stagger": [],
         "instead": ["first", "second"]}  # fmt: skip


@dataclass(frozen=True)
class Courses:
    """Placements, payments, courses (one row each) and works (course, placement).

    eligible holds every placement before any course is left out; fits every component, action
    and outage whose plant conditions hold, whatever parts and drawings say; costing costs
    courses with their extras.
    """

    placements: pd.DataFrame
    ruled_out: pd.DataFrame
    payments: pd.DataFrame
    courses: pd.DataFrame
    works: pd.DataFrame
    eligible: pd.DataFrame
    fits: pd.DataFrame
    costing: Costing


def asked_works(case: Case, placed: pd.DataFrame) -> np.ndarray:
    """Return which placements another component may ask for by a link."""
    asked = np.zeros(len(placed), dtype=bool)
    for link in case["links"].to_dict("records"):
        for side in ASKED[link["rule"]]:
            action = link[f"{side}_action"]
            own = placed["family"] == link[f"{side}_family"]
            if action:
                own &= (placed["action"] == action) | (placed["like"] == action)
            asked |= own.to_numpy()
    return asked


def _without_course(stuck: list[str]) -> str:
    """Return why components have no course at all, in at most six lines; one sentence each."""
    lines = [f"No plan keeps every rule: {stuck[0]}", *stuck[1:MOST_TOLD]]
    more = len(stuck) - len(lines)
    return "\n".join(lines + [f"And {more} more components have no course either."] * (more > 0))


def build_courses(
    case: Case, periods: pd.DataFrame, keep_all: frozenset[str] = frozenset(), *,
    around: Around = NOTHING,
) -> Courses:  # fmt: skip
    """Return every course of every component with risk, planned cost and their sum.

    Courses that can never be the best, at none of the lives looked at, are left out, but for the
    components in `keep_all`; is_lean marks those that can be the best at the life assumed. `around`
    is what the rest of a plan means for them.

    Raises NoPlanError with one sentence a component that cannot keep its dates and pins.
    """
    ready = place(case, periods, learned=around.learned)
    placed, parts = ready.placed, described(case)
    costing = Costing(case, periods, fitting_days(ready.fits), around)
    ask = kept.asked(case, parts)
    rows_of = placed.groupby("component").indices
    asked = asked_works(case, placed) | kept.is_agreed(case, placed)
    tables: list[pd.DataFrame] = []
    stuck: list[str] = []
    out: list[pd.DataFrame] = [ready.ruled_out]
    for _, part in parts.iterrows():
        own = placed.iloc[rows_of.get(part["component"], np.zeros(0, dtype=np.int64))]
        found = kept.kept_courses(ask, costing, part, own, ready.ruled_out)
        if found.stuck:
            stuck.append(found.stuck)
            continue
        out += found.barred
        is_asked = asked[own["placement"].to_numpy()] | (part["component"] in keep_all)
        tables.append(own_courses(costing, part, own, found.steps, is_asked))
    if stuck:
        raise NoPlanError(_without_course(stuck))
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


def own_courses(
    costing: Costing, part: pd.Series, own: pd.DataFrame, steps: IntArray, is_asked: np.ndarray
) -> pd.DataFrame:
    """Return the courses of one component that may be worth choosing at some life.

    is_asked says which of its placements somebody else asks for.
    """
    risks = _risks(costing, part, own, steps)
    planned = costs.planned_cost(steps, own["planned_pv_cost"].to_numpy())
    here = RATIOS.index(1.0)
    risk, total = risks[:, here], risks + planned[:, None]
    lean = costs.useful(steps, total[:, [here]], is_asked)
    keep = costs.useful(steps, total, is_asked) | lean
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
        flat.reset_index(drop=True), placed, ready.fits, costing,
    )  # fmt: skip
