"""The stages in order, from a folder to a plan, and the record of it all."""

import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import pandas as pd
from threadpoolctl import threadpool_limits

from bundler.around_plan import works_of
from bundler.case import Case
from bundler.check import check_case
from bundler.choice import Choices, Lives, lean
from bundler.clash import told as clash_told
from bundler.compose import choices_of
from bundler.courses.build import Courses
from bundler.dates.choose import choose_dates
from bundler.errors import DataError, Finding, NoPlanError
from bundler.judge.judge import judge
from bundler.judge.verdict import Breach, PlanFacts, TailFacts
from bundler.plan.chosen import Chosen, chosen_by, cost_parts
from bundler.read.folder import read_case
from bundler.results import plan_tables
from bundler.rounds import Round, Rounds, plan_in_rounds
from bundler.shared.around import true_pv
from bundler.shared.shared import Shared
from bundler.solve.answer import Solved
from bundler.solve.highs import Options
from bundler.solve.rank_fill import fewest_works, full_cost
from bundler.solve.tail import Search
from bundler.tailed import tailed

Progress = Callable[[str, float], None]


def silent(stage: str, share: float) -> None:
    """Take progress and say nothing."""


@dataclass(frozen=True)
class Baselines:
    """What the plan is held against, at true cost: only what law and pins ask for, and the list.

    rank_fill_breach is by how much rank-and-fill still breaks rows (0: it holds).
    """

    nothing_pv_cost: float
    rank_fill_pv_cost: float
    rank_fill_breach: float


@dataclass(frozen=True)
class Run:
    """A finished run: the case, what could be chosen, what was, its tables, and the verdict."""

    case: Case
    choices: Choices
    courses: Courses
    shared: Shared
    solved: Solved
    picked: Chosen
    baselines: Baselines
    rounds: tuple[Round, ...]
    dates_pv_cost: float
    tables: Mapping[str, pd.DataFrame]
    breaches: tuple[Breach, ...]
    findings: tuple[Finding, ...]
    seconds: Mapping[str, float]


def load_case(folder: Path | str) -> tuple[Case, list[Finding]]:
    """Return the checked case of a station's folder and the notes on it.

    Raises DataError with every finding if the input cannot be used.
    """
    case = read_case(Path(folder))
    findings = check_case(case)
    errors = [finding for finding in findings if finding.level == "error"]
    if errors:
        raise DataError(errors)
    return case, findings


def baselines(rounds: Rounds) -> Baselines:
    """Return what doing nothing and the rank-and-fill list truly cost."""
    few = lean(rounds.choices)
    nothing = fewest_works(few).to_numpy()

    def true(courses: Iterable[int], pv_cost: float) -> float:
        works = works_of(rounds.choices, tuple(courses))
        constant = rounds.choices.shared_pv_cost
        return true_pv(rounds.shared, rounds.courses.costing, constant, works, pv_cost)

    listed = rounds.listed
    return Baselines(
        true(nothing, full_cost(few, nothing)), true(listed.courses, listed.pv_cost), listed.breach
    )


def tail_facts(
    choices: Choices, solved: Solved, scenarios: pd.DataFrame | None
) -> TailFacts | None:
    """Return what a plan tells of its costs over scenarios of lives; None where there are none."""
    if choices.tail is None or solved.spread is None or scenarios is None:
        return None
    lives, spread = choices.tail.lives, solved.spread
    claimed = {
        "mean_pv_cost": spread.mean_pv_cost,
        "worst_pv_cost": spread.worst_pv_cost,
        "weighted_pv_cost": solved.objective_pv_cost,
    }
    return TailFacts(scenarios, lives.weight_share, lives.worst_share, claimed)


def facts_of(choices: Choices, picked: Chosen, tail: TailFacts | None = None) -> PlanFacts:
    """Return the plan as the judge reads it: what is done where, and what it claims to cost."""
    bands = choices.overtimes.set_index("overtime")
    hours = {
        (str(bands.at[name, "period"]), str(bands.at[name, "resource"])): amount
        for name, amount in picked.overtime_hours.items()
    }
    return PlanFacts(
        picked.works[["component", "action", "period"]],
        picked.access[["access_set", "unit", "train", "period"]],
        picked.extension_days,
        hours,
        cost_parts(choices, picked),
        tail,
    )


def _planned(
    case: Case,
    options: Options,
    findings: tuple[Finding, ...],
    progress: Progress,
    lives: Lives | None,
) -> Run:
    """Return the plan of a case; see `plan_case`."""
    clock: dict[str, float] = {}
    began = time.perf_counter()

    def mark(stage: str, share: float) -> None:
        clock[stage] = round(time.perf_counter() - began, 3)
        progress(stage, share)

    dates = choose_dates(case)
    case = dates.case
    try:
        rounds = plan_in_rounds(case, options, lambda stage, share: mark(stage, 0.6 * share))
        choices, courses, solved = rounds.choices, rounds.courses, rounds.solved
        scenarios = None
        if lives is not None:
            how = Search(options, lambda stage, share: mark(stage, 0.6 + 0.2 * share))
            found = tailed(case, rounds, lives, how)
            choices, courses, solved = found.choices, found.courses, found.solved
            scenarios = found.scenarios
    except NoPlanError as fault:
        raise NoPlanError(why_not(case)) from fault
    mark("settled", 0.82)
    picked = chosen_by(choices, solved)
    tables = plan_tables(case, choices, courses, solved, picked, rounds.shared)
    tables["outage_dates"] = dates.options
    if scenarios is not None:
        tables["scenarios"] = scenarios
    mark("tables", 0.9)
    facts = facts_of(choices, picked, tail_facts(choices, solved, scenarios))
    breaches = tuple(judge(case, facts))
    mark("judge", 1.0)
    held = baselines(rounds)
    return Run(
        case,
        choices,
        courses,
        rounds.shared,
        solved,
        picked,
        held,
        rounds.told,
        dates.pv_cost,
        tables,
        breaches,
        findings,
        clock,
    )


def why_not(case: Case) -> str:
    """Return why no plan of a case keeps every rule, in words.

    Raises NoPlanError itself if a component alone has no course.
    """
    few = lean(choices_of(case)[0])
    return clash_told(case, few)


def plan_case(
    case: Case,
    options: Options,
    findings: tuple[Finding, ...] = (),
    progress: Progress = silent,
    lives: Lives | None = None,
) -> Run:
    """Return the plan of a case with its proven gap, judged without the solver.

    With uncertain `lives` it minimises (1 - w) mean + w CVaR over scenarios of them; the tables
    show the plan at the lives assumed, its reasons at the scenarios' weights.

    Raises NoPlanError when no plan keeps every rule, SolverError when the solver gives none.
    """
    with threadpool_limits(limits=1):
        return _planned(case, options, findings, progress, lives)


def plan_folder(
    folder: Path | str, options: Options | None = None, progress: Progress = silent
) -> Run:
    """Return the plan of a station's folder; the whole job in one call."""
    case, findings = load_case(folder)
    return plan_case(case, options or Options(), tuple(findings), progress)
