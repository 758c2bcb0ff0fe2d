"""The stages in order, from a folder to a plan, and the record of it all."""

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import pandas as pd
from threadpoolctl import threadpool_limits

from bundler.case import Case
from bundler.check import check_case
from bundler.choice import Choices, Lives, lean
from bundler.compose import choices_of, with_lives
from bundler.errors import DataError, Finding, NoPlanError
from bundler.judge.judge import judge
from bundler.judge.verdict import Breach, PlanFacts, TailFacts
from bundler.plan.chosen import Chosen, chosen, cost_parts
from bundler.program.build import build_program
from bundler.read.folder import read_case
from bundler.results import plan_tables
from bundler.solve import clash
from bundler.solve.answer import Known, Solved
from bundler.solve.highs import Options
from bundler.solve.rank_fill import fewest_works, full_cost, rank_fill
from bundler.solve.search import search
from bundler.solve.tail import Search, search_tail
from bundler.standing.settle import settle

Progress = Callable[[str, float], None]
#: a list that breaks its rows by less than this in all (shares of their amounts) holds
SOUND = 1e-9


def silent(stage: str, share: float) -> None:
    """Take progress and say nothing."""


@dataclass(frozen=True)
class Baselines:
    """What the plan is held against: only what law and pins ask for, and rank-and-fill."""

    nothing_pv_cost: float
    rank_fill_pv_cost: float
    rank_fill_breach: float
    rank_fill_courses: tuple[int, ...]

    @property
    def known(self) -> Known | None:
        """The list as a plan that the search has to beat, if it breaks nothing."""
        if self.rank_fill_breach > SOUND:
            return None
        return Known(self.rank_fill_courses, self.rank_fill_pv_cost)


@dataclass(frozen=True)
class Run:
    """A finished run: the case, what could be chosen, what was, its tables, and the verdict."""

    case: Case
    choices: Choices
    solved: Solved
    picked: Chosen
    baselines: Baselines
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


def baselines(choices: Choices) -> Baselines:
    """Return what doing nothing and the rank-and-fill list cost."""
    filled = rank_fill(choices)
    nothing = full_cost(choices, fewest_works(choices).to_numpy())
    return Baselines(nothing, filled.pv_cost, filled.breach, filled.courses)


def settled(choices: Choices, solved: Solved) -> Solved:
    """Return the plan settled: no component alone has a cheaper course left; the bound stays."""
    found = settle(choices, solved.courses)
    return replace(
        solved,
        objective_pv_cost=found.pv_cost,
        bound_pv_cost=min(solved.bound_pv_cost, found.pv_cost),
        courses=found.courses,
        access=found.access,
        extension_days=found.extension_days,
        overtime_hours=found.overtime_hours,
    )


def searched(choices: Choices, how: Search) -> Solved:
    """Return the plan at the lives assumed, settled, or over the scenarios of lives there are."""
    if choices.tail is not None:
        return search_tail(choices, replace(how, polish=settled))
    program = build_program(lean(choices))
    return settled(choices, search(program, how.options, how.progress, how.known))


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

    choices, courses = choices_of(case)
    mark("courses and limits", 0.15)
    few = lean(choices)
    held = baselines(few)
    mark("rank-and-fill list", 0.2)
    scenarios = None
    if lives is not None:
        choices, scenarios = with_lives(case, choices, courses, lives)
        mark("risk at other lives", 0.3)
    how = Search(options, lambda stage, share: mark(stage, 0.3 + 0.5 * share), held.known)
    try:
        solved = searched(choices, how)
    except NoPlanError as fault:
        raise NoPlanError(clash.told(few, options, case.settings.currency)) from fault
    mark("settled", 0.82)
    picked = chosen(
        choices, solved.courses, solved.access, solved.extension_days, solved.overtime_hours
    )
    tables = plan_tables(case, choices, courses, solved, picked)
    if scenarios is not None:
        tables["scenarios"] = scenarios
    mark("tables", 0.9)
    told = tail_facts(choices, solved, scenarios)
    breaches = tuple(judge(case, facts_of(choices, picked, told)))
    mark("judge", 1.0)
    return Run(case, choices, solved, picked, held, tables, breaches, findings, clock)


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
