"""A finished plan opened again from its folder: the same works, with the choices around them."""

import json
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from bundler.around_plan import around_plan, keys, works_of
from bundler.calendar import periods as all_periods
from bundler.case import Case
from bundler.choice import Choices
from bundler.compose import choices_of
from bundler.courses.build import Courses
from bundler.courses.described import described
from bundler.dates.choose import choose_dates
from bundler.errors import BundlerError
from bundler.level.fits import with_fits
from bundler.level.outages import Plan
from bundler.level.promised import with_pins
from bundler.level.saved import schedules_from
from bundler.level.tables import Schedule
from bundler.plan.chosen import Chosen, chosen_by
from bundler.shared.around import first_around
from bundler.shared.shared import Shared, shared_of
from bundler.standing.settle import as_it_stands
from bundler.standing.whole import same_plan

#: files of a plan's folder that are read
SUMMARY, WORKS, LEVEL = "summary.json", "work_list.csv", "level.json"


@dataclass(frozen=True)
class Opened:
    """A finished plan: its case with the dates chosen, what it chose from, and what it chose."""

    case: Case
    choices: Choices
    courses: Courses
    shared: Shared
    picked: Chosen


def _unchanged(hashes: dict[str, str], case: Case, what: str, command: str) -> None:
    """Raise BundlerError where the station's tables are not those that something was made from."""
    changed = sorted(
        name
        for name in hashes.keys() | case.hashes.keys()
        if hashes.get(name) != case.hashes.get(name)
    )
    if changed:
        raise BundlerError(
            f"{what} was made before {', '.join(changed)} changed. Run the command {command} "
            "again, or name the station as it was."
        )


def saved_works(folder: Path, case: Case) -> frozenset[tuple[str, str, str]]:
    """Return the works of a saved plan; raise BundlerError if it is none, or of other tables."""
    try:
        told = json.loads((folder / SUMMARY).read_text(encoding="utf-8"))
        listed = pd.read_csv(folder / WORKS, dtype="str", keep_default_na=False)
        hashes = dict(told["input_hashes"])
    except (OSError, ValueError, KeyError, TypeError) as fault:
        raise BundlerError(
            f"There is no finished plan in {folder}. Run the command plan first, or name its "
            "folder with --plan."
        ) from fault
    _unchanged(hashes, case, f"The plan in {folder}", "plan")
    return keys(listed)


def around_works(case: Case, works: frozenset[tuple[str, str, str]]) -> Opened | None:
    """Return a plan of these works (component, action, period) with itself around its components.

    `case` has its dates chosen. None where the works are no lawful plan of the case.
    """
    shared = shared_of(case, all_periods(case), described(case))
    choices, courses = choices_of(case, around=first_around(shared))
    plan = same_plan(choices, works)
    choices, courses, again = around_plan(case, shared, choices, courses, plan)
    if again is None or keys(works_of(choices, again)) != works:
        return None
    found = as_it_stands(choices, again)
    picked = chosen_by(choices, found)
    return Opened(case, choices, courses, shared, picked)


def reopen(case: Case, folder: Path) -> Opened:
    """Return the plan saved in a folder, with itself around every component.

    Raises BundlerError if there is none, if the station's tables are not those it was made from,
    or if its works are not lawful in them.
    """
    opened = around_works(choose_dates(case).case, saved_works(folder, case))
    if opened is None:
        raise BundlerError(
            f"The works in {folder / WORKS} are no plan of this station as they stand. Run the "
            "command plan again."
        )
    return opened


def _saved_level(folder: Path, case: Case) -> dict[str, pd.DataFrame]:
    """Return the tables of a levelled plan; raise BundlerError if there is none."""
    text = {"component": "str", "action": "str", "period": "str", "outage": "str", "why": "str"}
    kinds = text | {"resource": "str", "task": "str", "kind": "str"}
    try:
        told = json.loads((folder / LEVEL).read_text(encoding="utf-8"))
        hashes = dict(told["input_hashes"])
        tables = {
            name: pd.read_csv(folder / f"{name}.csv", dtype=kinds, keep_default_na=False,
                              na_values={"start_days": "", "end_days": ""})
            for name in ("level_works", "level_days", "levelled", "level_pins")
        }  # fmt: skip
    except (OSError, ValueError, KeyError, TypeError) as fault:
        raise BundlerError(
            f"There is no levelled plan in {folder}. Run the command level first, or name its "
            "folder with --level."
        ) from fault
    _unchanged(hashes, case, f"The levelled plan in {folder}", "level")
    return tables


def reopen_level(case: Case, folder: Path) -> tuple[Opened, list[Schedule]]:
    """Return a levelled plan saved in a folder, and its schedules.

    Raises BundlerError if there is none, or if the station's tables are not those it was made from.
    """
    tables = _saved_level(folder, case)
    own = with_fits(choose_dates(case).case, tables["levelled"])
    own = with_pins(own, tables["level_pins"].astype("str"))
    opened = around_works(own, keys(tables["level_works"]))
    if opened is None:
        raise BundlerError(
            f"The works in {folder} are no plan of this station as they stand. Run the commands "
            "plan and level again."
        )
    plan = Plan(own, opened.choices, opened.picked)
    return opened, schedules_from(plan, tables["level_days"])
