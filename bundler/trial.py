"""The lives behind a finished plan on trial: what turns its decisions, what is worth knowing."""

import pandas as pd

from bundler.case import Case
from bundler.choice import Choices
from bundler.confirm import confirms
from bundler.courses.costing import Costing
from bundler.explain.alone import Alone, all_alone
from bundler.explain.decision import decisions
from bundler.explain.inspection import inspections
from bundler.explain.life_tests import life_tests
from bundler.plan.chosen import Chosen

#: turns that every plan has confirmed by the integer program, those with most at stake; our choice
CONFIRMED_COUNT = 10


def _confirmed(
    choices: Choices, picked: Chosen, tests: pd.DataFrame, all_own: list[Alone]
) -> list[str]:
    """Return for each row yes or no where the program was asked, "" elsewhere."""
    courses = tuple(picked.courses["course"])
    by_name = {str(own.part["component"]): own for own in all_own}
    ratios = tests[["shorter_ratio", "longer_ratio"]]
    turning = ratios.notna().any(axis=1) & (ratios != 1.0).all(axis=1)  # 1: a tail keeps it there
    asked = set(tests.index[turning][:CONFIRMED_COUNT])
    return [
        ("yes" if confirms(choices, courses, by_name[name]) else "no") if number in asked else ""
        for number, name in zip(tests.index, tests["component"], strict=True)
    ]


def on_trial(
    case: Case, choices: Choices, costing: Costing, picked: Chosen
) -> dict[str, pd.DataFrame]:
    """Return the life tests of a settled plan, and the inspections that could change it."""
    told = decisions(case, choices)
    all_own = list(all_alone(case, choices, costing, picked, told))
    tests = life_tests(case, all_own, told)
    confirmed = _confirmed(choices, picked, tests, all_own)
    return {
        "life_tests": tests.assign(confirmed=confirmed),
        "inspections": inspections(case, choices, all_own, told),
    }
