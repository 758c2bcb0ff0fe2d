"""The stages in order, from a folder to a plan, and the record of it all."""

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import pandas as pd

from bundler.case import Case
from bundler.check import check_case
from bundler.choice import Choices
from bundler.compose import choices_of
from bundler.courses.build import Costing, Courses
from bundler.courses.described import described
from bundler.courses.yearly import yearly_risk
from bundler.errors import DataError, Finding, NoPlanError
from bundler.explain.closeness import closeness
from bundler.explain.reasons import reasons
from bundler.explain.texts import own_payments
from bundler.judge.judge import judge
from bundler.judge.verdict import Breach, PlanFacts
from bundler.plan import deferrals as register
from bundler.plan import loads, works, years
from bundler.plan.chosen import Chosen, chosen, cost_parts
from bundler.plan.series import ordered_in_time
from bundler.program.build import build_program
from bundler.read.folder import read_case
from bundler.solve import clash
from bundler.solve.answer import Known, Solved
from bundler.solve.highs import Options
from bundler.solve.rank_fill import fewest_works, full_cost, rank_fill
from bundler.solve.search import search

Progress = Callable[[str, float], None]
#: a list that breaks its rows by less than this in all (shares of their amounts) holds
SOUND = 1e-9
#: the tables of a run, by name
RESULTS = (
    "work_list", "deferrals", "loads", "prices", "ruled_out", "reasons", "risk_by_year",
    "cash_flow", "orders", "outages",
)  # fmt: skip


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


def facts_of(choices: Choices, picked: Chosen) -> PlanFacts:
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
    )


def _tables(
    case: Case, choices: Choices, courses: Courses, solved: Solved, picked: Chosen
) -> dict[str, pd.DataFrame]:
    """Return the tables of a plan by name."""
    parts = described(case)
    costing = Costing(case, choices.periods, courses.fitting_days)
    none = picked.works.iloc[:0]
    yearly = yearly_risk(case, costing, parts, picked.works)
    idle = yearly_risk(case, costing, parts, none)
    load = loads.loads(choices, picked)
    listed = replace(picked, works=ordered_in_time(case, picked))
    day_cost = choices.periods.set_index("period")["day_cost"]
    prices = solved.relaxed.prices
    told = reasons(choices, picked, prices, case.settings.currency)
    close = closeness(costing, choices, parts, own_payments(choices, picked), told)
    return {
        "work_list": works.work_list(case, choices, listed),
        "deferrals": register.deferrals(case, courses.eligible, day_cost, picked, yearly),
        "loads": load,
        "prices": loads.prices(choices, prices, load),
        "ruled_out": choices.ruled_out,
        "reasons": told.merge(close, on="component"),
        "risk_by_year": years.risk_by_year(yearly, idle),
        "cash_flow": works.cash_flow(case, courses.payments, picked),
        "orders": works.orders(case, listed),
        "outages": years.outages(case, choices, picked),
    }


def plan_case(
    case: Case, options: Options, findings: tuple[Finding, ...] = (), progress: Progress = silent
) -> Run:
    """Return the plan of a case with its proven gap, judged without the solver.

    Raises NoPlanError when no plan keeps every rule, SolverError when the solver gives none.
    """
    clock: dict[str, float] = {}
    began = time.perf_counter()

    def mark(stage: str, share: float) -> None:
        clock[stage] = round(time.perf_counter() - began, 3)
        progress(stage, share)

    choices, courses = choices_of(case)
    mark("courses and limits", 0.15)
    held = baselines(choices)
    mark("rank-and-fill list", 0.2)
    program = build_program(choices)
    mark("program", 0.3)
    try:
        solved = search(
            program, options, lambda stage, share: mark(stage, 0.3 + 0.5 * share), held.known
        )
    except NoPlanError as fault:
        raise NoPlanError(clash.told(choices, options, case.settings.currency)) from fault
    picked = chosen(
        choices, solved.courses, solved.access, solved.extension_days, solved.overtime_hours
    )
    tables = _tables(case, choices, courses, solved, picked)
    mark("tables", 0.9)
    breaches = tuple(judge(case, facts_of(choices, picked)))
    mark("judge", 1.0)
    return Run(case, choices, solved, picked, held, tables, breaches, findings, clock)


def plan_folder(
    folder: Path | str, options: Options | None = None, progress: Progress = silent
) -> Run:
    """Return the plan of a station's folder; the whole job in one call."""
    case, findings = load_case(folder)
    return plan_case(case, options or Options(), tuple(findings), progress)
