"""A plan over scenarios of lives, with itself around its components at the lives of each."""

from dataclasses import dataclass, replace

import pandas as pd

from bundler.around_plan import around_plan, as_plan, known_of, works_of
from bundler.case import Case
from bundler.choice import Choices, Lives
from bundler.compose import choices_of, with_lives
from bundler.courses.build import Courses
from bundler.courses.scenarios import life_ratios
from bundler.rounds import Rounds
from bundler.shared.around import around
from bundler.shared.lives import with_shared_risk
from bundler.shared.shared import Shared
from bundler.solve.answer import Solved
from bundler.solve.highs import Options
from bundler.solve.tail import Search, search_tail, told
from bundler.standing.settle import as_it_stands, settle

#: a gap wider by less than this is not: tolerance of the solver
TINY_SHARE = 1e-6


@dataclass(frozen=True)
class Tailed:
    """A plan over scenarios of lives with its choices and its scenarios."""

    choices: Choices
    courses: Courses
    solved: Solved
    scenarios: pd.DataFrame


def settled(choices: Choices, solved: Solved) -> Solved:
    """Return the plan settled: no component alone has a cheaper course left; the bound stays."""
    return as_plan(solved, settle(choices, solved.courses))


def searched(choices: Choices, how: Search) -> Solved:
    """Return the plan over the scenarios of lives that there are."""
    return search_tail(choices, replace(how, polish=settled))


def with_plan(
    case: Case, shared: Shared, choices: Choices, courses: Courses, works: pd.DataFrame,
    lives: Lives,
) -> tuple[Choices, pd.DataFrame]:  # fmt: skip
    """Return the choices with what every course risks in each scenario of lives, and these.

    Members of shared losses are charged them with the plan of these placed works around them.
    """
    choices, scenarios = with_lives(case, choices, courses, lives)
    tail = choices.tail
    assert tail is not None, "with_lives gives them"
    ratios, costing = life_ratios(case, scenarios), courses.costing
    risks = with_shared_risk(shared, choices, costing, works, ratios, tail.risk_pv_cost)
    return replace(choices, tail=replace(tail, risk_pv_cost=risks)), scenarios


def over_lives(case: Case, rounds: Rounds, lives: Lives) -> tuple[Choices, pd.DataFrame]:
    """Return the choices of the plan at the lives assumed, with scenarios, and these."""
    works = works_of(rounds.choices, rounds.solved.courses)
    return with_plan(case, rounds.shared, rounds.choices, rounds.courses, works, lives)


def around_tail(case: Case, rounds: Rounds, found: Tailed, lives: Lives) -> Tailed | None:
    """Return a plan over scenarios with itself around its components, at its true cost in each.

    None where it does not hold so, as it learns less than it counts on. Its bound is that of the
    search, of the problem with another plan around components, and no more than its cost.
    """
    solved = found.solved
    if not rounds.is_coupled or solved.spread is None:
        return found
    bare, courses, plan = around_plan(
        case, rounds.shared, found.choices, found.courses, solved.courses
    )
    if plan is None:
        return None
    works = works_of(bare, plan)
    choices, scenarios = with_plan(case, rounds.shared, bare, courses, works, lives)
    moved = replace(
        as_plan(solved, as_it_stands(choices, plan)), bound_pv_cost=solved.bound_pv_cost
    )
    moved = told(choices, moved, solved.spread.weights, solved.spread.method)
    return Tailed(choices, courses, moved, scenarios)


def _unlearned(case: Case, rounds: Rounds, found: Tailed, lives: Lives, how: Search) -> Tailed:
    """Return a plan that needs no learning, with losses shared as in the plan that needed more.

    Its bound is no higher than that of the plan before, as less learning may cost something.
    """
    works = works_of(found.choices, found.solved.courses)
    there = around(case, rounds.shared, found.courses.fits, works)
    bare, courses = choices_of(case, around=replace(there, learned={}))
    choices, scenarios = with_plan(case, rounds.shared, bare, courses, works, lives)
    solved = searched(choices, replace(how, known=None, earlier=()))
    bound = min(solved.bound_pv_cost, found.solved.bound_pv_cost)
    return Tailed(choices, courses, replace(solved, bound_pv_cost=bound), scenarios)


def held(case: Case, rounds: Rounds, found: Tailed, lives: Lives, how: Search) -> Tailed:
    """Return a plan over scenarios with itself around its components.

    Where it counted on hours learned from works that it leaves out itself, it is searched once
    more without any learning, which holds with itself around it.
    """
    own = around_tail(case, rounds, found, lives)
    if own is None:
        again = _unlearned(case, rounds, found, lives, how)
        own = around_tail(case, rounds, again, lives) or again
    return replace(own, solved=worded(own.solved, how.options))


def worded(solved: Solved, options: Options) -> Solved:
    """Return a plan that says so if only the search, not what became of it, is within its gap."""
    is_moved = solved.status == "optimal" and solved.gap_share > options.gap_share + TINY_SHARE
    return replace(solved, status="rounds") if is_moved else solved


def tailed(case: Case, rounds: Rounds, lives: Lives, how: Search) -> Tailed:
    """Return the plan over scenarios of lives of a case whose plan at the lives assumed is there.

    It is told with itself around its components, at its true cost in each scenario.

    Raises NoPlanError when no plan keeps every rule, SolverError when the time gives none.
    """
    choices, scenarios = over_lives(case, rounds, lives)
    solved = searched(choices, replace(how, known=known_of(rounds.solved)))
    return held(case, rounds, Tailed(choices, rounds.courses, solved, scenarios), lives, how)
