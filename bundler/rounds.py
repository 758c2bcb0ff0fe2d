"""A plan in rounds: what components mean for each other is taken from the round before.

Losses that components share (redundancy, spares, stocks that run out) and hours that are learned
depend on the whole plan. Each round costs every course with all others as in the last plan, until
the plan repeats; the plan with the least true cost is kept.
"""

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from bundler.around_plan import around_plan, as_plan, known_of, works_of
from bundler.calendar import periods as all_periods
from bundler.case import Case
from bundler.choice import Choices, lean
from bundler.compose import choices_of
from bundler.courses.around import NOTHING, Around
from bundler.courses.build import Courses
from bundler.courses.described import described
from bundler.shared.around import around, first_around
from bundler.shared.prices import SharedPrices
from bundler.shared.shared import Shared, shared_of
from bundler.solve.answer import Known, Relaxed, Solved
from bundler.solve.find import find_plan
from bundler.solve.highs import Options
from bundler.solve.proof import proven
from bundler.solve.rank_fill import RankFill, rank_fill
from bundler.standing.settle import PASSES, as_it_stands, settle
from bundler.standing.whole import holds, same_plan

Progress = Callable[[str, float], None]
#: part of the gap asked for that a program has to reach, as rounds may lose some; our choice
SEARCH_SHARE = 0.8
#: a gap up to so many times the one asked for is left to rounds, and told; our choice
NEARLY = 1.3
#: rounds at most; our choice
MOST_ROUNDS = 4
#: a list that breaks its rows by less than this in all (shares of their amounts) holds
SOUND = 1e-9


@dataclass(frozen=True)
class Start:
    """Where to start from: the works of a plan of a like case, and its prices by rule and key."""

    works: frozenset[tuple[str, str, str]]
    prices: Mapping[tuple[str, Any], float]


@dataclass(frozen=True)
class Round:
    """One round: what the plan cost as its courses were charged, and what it truly costs."""

    charged_pv_cost: float
    true_pv_cost: float
    works_count: int


@dataclass(frozen=True)
class Rounds:
    """The choices and the plan of the last round, with the rounds before it.

    The choices are charged with the plan itself around each component, so the plan's cost is true.
    is_coupled says whether what one component does changes what another costs at all.
    """

    choices: Choices
    courses: Courses
    shared: Shared
    solved: Solved
    listed: RankFill
    told: tuple[Round, ...]
    is_coupled: bool


@dataclass(frozen=True)
class _Stage:
    """A plan with its choices; is_true if the choices have the plan itself around components."""

    choices: Choices
    courses: Courses
    plan: Solved
    is_true: bool = False


class _Planner:
    """A case on its way through the rounds; `told` are those so far."""

    def __init__(
        self, case: Case, options: Options, progress: Progress, start: Start | None
    ) -> None:
        self.case, self.options, self.progress, self.start = case, options, progress, start
        self.periods = all_periods(case)
        self.shared = shared_of(case, self.periods, described(case))
        self.began = time.perf_counter()
        self.searched_seconds = 0.0
        self.told: list[Round] = []

    @property
    def is_coupled(self) -> bool:
        """Whether what one component does changes what another costs."""
        learns = self.case.settings.learning_ratio < 1
        return bool(self.shared.members) or (learns and bool((self.periods["series"] != "").any()))

    def left(self) -> Options:
        """Return the options with the time for searching that is left."""
        left = self.options.time_limit_seconds - self.searched_seconds
        return replace(self.options, time_limit_seconds=left)

    def first(self) -> Around:
        """Return what is around every component before there is a plan."""
        if not self.is_coupled:
            return NOTHING
        return first_around(self.shared)

    def searched(self, choices: Choices, courses: Courses, known: Known | None) -> _Stage:
        """Return the plan of the integer program."""
        options = self.left()
        if self.is_coupled:
            options = replace(options, gap_share=SEARCH_SHARE * options.gap_share)
        prices = self.start.prices if self.start is not None else None
        found = find_plan(lean(choices), options, self.progress, known, prices)
        self.searched_seconds += found.seconds
        return _Stage(choices, courses, found)

    def settled(self, stage: _Stage, passes: int = PASSES) -> _Stage:
        """Return the plan settled, the members of shared sets by their true cost."""
        prices = None
        if self.shared.members:
            prices = SharedPrices(
                self.shared, stage.choices, stage.courses.costing, stage.plan.courses
            )
        found = settle(stage.choices, stage.plan.courses, prices, passes)
        is_true = stage.is_true and found.moves_count == 0
        return replace(stage, plan=as_plan(stage.plan, found), is_true=is_true)

    def around_itself(self, stage: _Stage) -> _Stage:
        """Return a plan with itself around its components; searched anew if it does not hold.

        It may not hold where less was learned than was counted on.
        """
        before = stage.plan
        choices, courses, plan = around_plan(
            self.case, self.shared, stage.choices, stage.courses, before.courses
        )
        if plan is None:
            return self.searched(choices, courses, None)
        found = as_it_stands(choices, plan)
        count = len(works_of(choices, plan))
        self.told.append(Round(before.objective_pv_cost, found.pv_cost, count))
        return _Stage(choices, courses, as_plan(before, found), is_true=True)

    def repeated(self, stage: _Stage) -> _Stage:
        """Return the plan of least true cost among those of the rounds, until one repeats."""
        best: _Stage | None = None
        for _ in range(MOST_ROUNDS):
            stage = self.settled(stage)
            if stage.is_true:
                break
            self.progress(f"round {len(self.told) + 1}", 0.7)
            stage = self.around_itself(stage)
            if stage.is_true and (best is None or _cost(stage) < _cost(best)):
                best = stage
        return best if best is not None else self.unlearned(stage)

    def unlearned(self, stage: _Stage) -> _Stage:
        """Return a plan that holds without any learning, with itself around its components.

        For the rare case that every round counted on what the next one left out.
        """
        works = works_of(stage.choices, stage.plan.courses)
        there = around(self.case, self.shared, stage.courses.fits, works)
        choices, courses = choices_of(self.case, around=replace(there, learned={}))
        return self.around_itself(self.searched(choices, courses, None))


def _cost(stage: _Stage) -> float:
    return stage.plan.objective_pv_cost


def _listed(choices: Choices) -> tuple[RankFill, Known | None]:
    """Return the list by benefit per hour, and the list as a known plan if it breaks nothing."""
    listed = rank_fill(lean(choices))
    if listed.breach > SOUND:
        return listed, None
    return listed, Known(listed.courses, listed.pv_cost)


def _bounded(planner: _Planner, stage: _Stage) -> tuple[_Stage, _Stage | None]:
    """Return a plan with its bound with itself around, and a cheaper one if one was found."""
    began = time.perf_counter()
    proof = proven(lean(stage.choices), stage.plan, planner.left(), planner.progress)
    planner.searched_seconds += time.perf_counter() - began
    plan = replace(proof.plan, status=_status(planner, proof.plan))
    cheaper = replace(stage, plan=proof.cheaper, is_true=False) if proof.cheaper else None
    return replace(stage, plan=plan), cheaper


def _status(planner: _Planner, plan: Solved) -> str:
    """Return how a plan ended: within its gap, nearly so after its rounds, or not."""
    asked = planner.options.gap_share
    if plan.gap_share <= asked:
        return "optimal"
    return "rounds" if plan.gap_share <= NEARLY * asked else "time limit"


def _closer(planner: _Planner, stage: _Stage) -> _Stage:
    """Return a plan within the gap, if the time gives one: the program asked once more."""
    stage, found = _bounded(planner, stage)
    if found is None and not _is_far(planner, stage):
        return stage
    if found is None:
        found = planner.searched(stage.choices, stage.courses, known_of(stage.plan))
    again = planner.repeated(found)
    if _cost(again) < _cost(stage):
        return _bounded(planner, again)[0]
    bound = max(stage.plan.bound_pv_cost, found.plan.bound_pv_cost)
    plan = replace(stage.plan, bound_pv_cost=min(bound, _cost(stage)))
    return replace(stage, plan=replace(plan, status=_status(planner, plan)))


def _is_far(planner: _Planner, stage: _Stage) -> bool:
    """Say whether a plan is far from its bound and there is time to search again."""
    return stage.plan.status == "time limit" and planner.left().time_limit_seconds >= 1


def _begun(planner: _Planner, choices: Choices) -> Known | None:
    """Return the plan to start from in these choices; None without one, or if it breaks rows."""
    if planner.start is None:
        return None
    courses = same_plan(lean(choices), planner.start.works)
    if not holds(choices, courses):
        return None
    found = as_it_stands(choices, courses)
    return Known(courses, found.pv_cost, found.extension_days, found.overtime_hours)


def _first(planner: _Planner) -> tuple[_Stage, RankFill, Known | None]:
    """Return the list by benefit per hour, or the plan to start from where it is cheaper.

    Settled, with itself around its components. It is a known plan if it breaks nothing, there too.
    """
    choices, courses = choices_of(planner.case, around=planner.first())
    listed, known = _listed(choices)
    begun = _begun(planner, choices)
    if begun is not None and (known is None or begun.pv_cost < known.pv_cost):
        known = begun
    first = known.courses if known is not None else listed.courses
    none = Relaxed(0.0, {}, 0.0)
    plan = Solved("list", listed.pv_cost, 0.0, first, (), {}, {}, 0.0, none)
    if not planner.is_coupled:
        return _Stage(choices, courses, plan), listed, known
    if known is not None:
        plan = planner.settled(_Stage(choices, courses, plan), passes=1).plan
    choices, courses, again = around_plan(
        planner.case, planner.shared, choices, courses, plan.courses
    )
    if known is None or again is None:
        return _Stage(choices, courses, plan), listed, None
    plan = as_plan(plan, as_it_stands(choices, again))
    return _Stage(choices, courses, plan), listed, known_of(plan)


def plan_in_rounds(
    case: Case, options: Options, progress: Progress, start: Start | None = None
) -> Rounds:
    """Return the plan of a case at the lives assumed, with its proven gap, settled.

    The first program has that list, or the plan to `start` from, settled, around every component.
    The bound is that of the problem as charged in the last round.

    Raises NoPlanError when no plan keeps every rule, SolverError when the solver gives none.
    """
    planner = _Planner(case, options, progress, start)
    stage, listed, known = _first(planner)
    progress("integer program", 0.3)
    stage = planner.searched(stage.choices, stage.courses, known)
    if planner.is_coupled:
        stage = _closer(planner, planner.repeated(stage))
        listed, _ = _listed(stage.choices)
    else:
        stage = planner.settled(stage)
    seconds = time.perf_counter() - planner.began
    return Rounds(
        stage.choices, stage.courses, planner.shared, replace(stage.plan, seconds=seconds),
        listed, tuple(planner.told), planner.is_coupled,
    )  # fmt: skip
