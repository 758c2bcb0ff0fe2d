"""Every column of every result stands in the dictionary of results, with its meaning and unit."""

import csv
from pathlib import Path

import pandas as pd
import pytest

import bundler
from bundler.choice import Lives
from bundler.executable import Ask, Executed, executed
from bundler.frontier import frontier
from bundler.level.chances import Doubts, chance_tables
from bundler.level.solve import Effort
from bundler.reopen import around_works
from bundler.report.level import tables_of
from bundler.report.save import findings_table
from bundler.run import Run, plan_case, silent
from bundler.slip import slip
from bundler.solve.highs import Options
from bundler.sweep.run import Asked, sweep
from bundler.tables import dictionary
from bundler.units import UNITS, unit_of
from tests.cases import case, one_unit

PATH = Path(bundler.__file__).with_name("results.csv")
#: amounts whose unit stands in the row's measure, places in a file, and numbers that are names
BY_ROW = {
    "used_amount", "base_amount", "limit_amount", "step_amount", "year", "row", "option", "line",
}  # fmt: skip


def results() -> dict[str, list[str]]:
    """Return the columns of each result table, in order, from the dictionary."""
    found: dict[str, list[str]] = {}
    with PATH.open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            assert row["meaning"], row
            found.setdefault(row["table"], []).append(row["column"])
    return found


@pytest.fixture(scope="module")
def run() -> Run:
    return plan_case(case(**one_unit()), Options(gap_share=0.0), lives=Lives(3))


@pytest.fixture(scope="module")
def days() -> dict[str, pd.DataFrame]:
    """Return the tables of a levelled plan, its chances and a slip."""
    pumps = [{"component": f"PUMP-{n}", "unit": "U1", "family": "PUMP"} for n in (1, 2, 3)]
    own = case(**one_unit(components=pumps))
    works = frozenset((f"PUMP-{n}", "replace", "P1") for n in (1, 2))
    opened = around_works(own, works)
    assert opened is not None
    effort = Effort(work=1.0)
    done: Executed = executed(opened, Ask((), effort, Options(gap_share=0.0), 0), silent)
    chances = chance_tables(done.plan, done.schedules, Doubts(runs_count=200), silent)
    return {**tables_of(done), **chances, "slip": slip(opened, "P1", 3.0, effort, silent).changes}


def test_the_dictionary_of_results_is_what_a_run_holds(
    run: Run, days: dict[str, pd.DataFrame], tmp_path: Path
) -> None:
    plans = frontier(case(**one_unit()), Options(gap_share=0.0), Lives(3), 2)
    tables = {**run.tables, "findings": findings_table(run), "frontier": plans.table}
    tables |= sweep(case(**one_unit()), Asked(()), tmp_path).tables | days
    assert {name: list(table.columns) for name, table in tables.items()} == results()


def test_every_amount_has_its_unit(run: Run, days: dict[str, pd.DataFrame]) -> None:
    for name, table in (dict(run.tables) | days).items():
        for column in table.columns:
            is_amount = pd.api.types.is_numeric_dtype(table[column]) and table[column].dtype != bool
            if is_amount and column not in BY_ROW:
                assert unit_of(column), f"{name}.{column}"


def test_every_unit_is_used() -> None:
    inputs = {column.column for columns in dictionary().values() for column in columns}
    outputs = {column for columns in results().values() for column in columns}
    inside = {"pv_cost_per_hour"}
    used = {unit_of(column) for column in inputs | outputs | inside}
    assert used >= set(UNITS)
