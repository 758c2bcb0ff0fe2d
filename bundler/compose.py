"""From a case to everything a plan chooses from: courses first, then what binds them."""

from dataclasses import replace

import numpy as np
import pandas as pd

from bundler.calendar import periods as all_periods
from bundler.case import Case
from bundler.choice import Choices, Lives, Tail
from bundler.courses.around import NOTHING, Around
from bundler.courses.build import Courses, build_courses
from bundler.courses.scenarios import draw_scenarios, scenario_risk
from bundler.limits.build import build_limits
from bundler.limits.chains import series_clashes


def with_series(ruled_out: pd.DataFrame, clashes: pd.DataFrame) -> pd.DataFrame:
    """Return what is ruled out, with works that cannot all go in because they follow each other."""
    both = pd.concat([ruled_out, clashes], ignore_index=True)
    return both.sort_values(["component", "action", "period", "reason"], ignore_index=True)


def choices_of(
    case: Case, keep_all: frozenset[str] = frozenset(), *, around: Around = NOTHING
) -> tuple[Choices, Courses]:
    """Return everything a plan of the case chooses from.

    For the components in `keep_all` even courses that can never be the best are there. `around`
    is what the rest of a plan means for them.
    """
    periods = all_periods(case)
    courses = build_courses(case, periods, keep_all, around=around)
    bound = build_limits(case, courses.placements, courses.payments, courses.fits, periods)
    choices = Choices(
        periods=periods,
        placements=courses.placements,
        ruled_out=with_series(courses.ruled_out, series_clashes(case, courses.eligible)),
        courses=courses.courses,
        works=courses.works,
        limits=bound.rows.limits,
        uses=bound.rows.uses,
        access=bound.access,
        access_members=bound.access_members,
        access_uses=bound.rows.access_uses,
        overtimes=bound.overtimes,
        links=bound.links,
        link_terms=bound.link_terms,
        shared_pv_cost=around.shared_pv_cost,
    )
    return choices, courses


def with_lives(
    case: Case, choices: Choices, courses: Courses, lives: Lives
) -> tuple[Choices, pd.DataFrame]:
    """Return the choices with what every course risks in each scenario of lives, and these.

    The scenarios are drawn from the seed of `lives`, so the same case gives the same ones.
    """
    rng = np.random.default_rng(lives.seed)
    scenarios = draw_scenarios(case, lives.scenarios_count, rng=rng)
    risks = scenario_risk(case, choices, courses.costing, scenarios)
    chances = np.full(lives.scenarios_count, 1 / lives.scenarios_count)
    return replace(choices, tail=Tail(lives, chances, risks)), scenarios
