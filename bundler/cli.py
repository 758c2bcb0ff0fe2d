"""The command line: check, plan, frontier, sweep, show, life, and what `cli_days` adds."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from bundler import cli_days
from bundler.choice import Lives
from bundler.cli_screen import (
    DATA,
    NO_PLAN,
    OTHER,
    PLAN,
    SOLVER,
    Count,
    Folder,
    Gap,
    Seconds,
    Seed,
    Worst,
    app,
    err,
    out,
    progress_bar,
    tell_findings,
)
from bundler.errors import BundlerError, DataError, NoPlanError, SolverError
from bundler.frontier import frontier as plans_of
from bundler.report import CAUTIONS
from bundler.report.component import show_component
from bundler.report.life import show_life
from bundler.report.save import check_target, save, save_frontier
from bundler.report.screen import show_plan
from bundler.report.spread import frontier_words
from bundler.report.sweep import sweep_words
from bundler.run import load_case, plan_case
from bundler.solve.highs import Options
from bundler.sweep.dask_runs import cluster
from bundler.sweep.run import Asked
from bundler.sweep.run import sweep as swept
from bundler.sweep.store import check_folder
from bundler.sweep.table import read_variants
from bundler.sweep.variants import default_variants
from bundler.sweep.workers import processes


@app.command()
def check(station: Folder) -> None:
    """Read the station's tables and tell everything that is wrong or doubtful."""
    case, notes = load_case(station)
    tell_findings(notes, out)
    rows = sum(len(table) for table in case.tables.values())
    out.print(
        f"{case.settings.station}: {len(case['components'])} components, {rows:,} rows, "
        f"no errors, {len(notes)} notes. "
        f"Costs in {case.settings.currency} of {case.settings.price_year}."
    )


@app.command()
def plan(  # noqa: PLR0913 - options of a command
    station: Folder,
    out_folder: Annotated[
        Path,
        typer.Option("--out", help="Folder for the results; an earlier plan there is replaced."),
    ] = PLAN,
    gap: Gap = 1.0,
    seconds: Seconds = 150,
    tail: Annotated[
        float,
        typer.Option(help="Weight of bad scenarios of lives beside the mean.", min=0, max=1),
    ] = 0.0,
    scenarios: Count = 0,
    seed: Seed = 1,
    worst: Worst = 20,
) -> None:
    """Decide what goes into which outage; write the lists and tell the answer on one screen."""
    check_target(out_folder)
    case, notes = load_case(station)
    options = Options(time_limit_seconds=seconds, gap_share=gap / 100)
    lives = None
    if scenarios or tail:
        lives = Lives(scenarios or Lives.scenarios_count, seed, tail, worst / 100)
    with progress_bar() as say:
        run = plan_case(case, options, tuple(notes), say, lives)
    save(run, out_folder)
    show_plan(run, out)
    out.print(f"Lists and tables are in {out_folder}; start with work_list.csv and deferrals.csv.")
    if run.breaches:
        raise typer.Exit(OTHER)


@app.command()
def frontier(  # noqa: PLR0913 - options of a command
    station: Folder,
    out_folder: Annotated[
        Path, typer.Option("--out", help="Folder for frontier.csv and scenarios.csv.")
    ] = Path("frontier"),
    points: Annotated[
        int, typer.Option(help="Plans from weight 0 to weight 1 of the tail.", min=2, max=50)
    ] = 5,
    scenarios: Annotated[int, typer.Option(help="Scenarios of lives.", min=1, max=200)] = 20,
    seed: Seed = 1,
    worst: Worst = 20,
    gap: Gap = 1.0,
    seconds: Seconds = 150,
) -> None:
    """Show what it costs to be safe against bad lives: plans from least mean to least tail."""
    check_target(out_folder)
    case, _ = load_case(station)
    options = Options(time_limit_seconds=seconds, gap_share=gap / 100)
    lives = Lives(scenarios, seed, 0.0, worst / 100)
    with progress_bar() as say:
        found = plans_of(case, options, lives, points, say)
    save_frontier(found, out_folder)
    out.print(frontier_words(found), soft_wrap=True, markup=False)
    out.print(f"frontier.csv and scenarios.csv are in {out_folder}. Caution: {CAUTIONS[0]}")
    if found.breaches:
        raise typer.Exit(OTHER)


@app.command()
def sweep(  # noqa: PLR0913 - options of a command
    station: Folder,
    cases: Annotated[
        Path | None,
        typer.Option(
            help="Table of changes (run, what, which, ratio, value); without it each assumption "
            "is tried at 0.8 and 1.25.",
            exists=True,
            dir_okay=False,
        ),
    ] = None,
    out_folder: Annotated[
        Path, typer.Option("--out", help="Folder for the results; finished runs are taken over.")
    ] = Path("sweep"),
    workers: Annotated[int, typer.Option(help="Processes that make runs.", min=1, max=256)] = 2,
    scheduler: Annotated[
        str, typer.Option(help="Address of a Dask scheduler whose workers make the runs.")
    ] = "",
    scenarios: Annotated[
        int, typer.Option(help="Scenarios of lives, where bad lives count.", min=1, max=200)
    ] = 20,
    seed: Seed = 1,
    worst: Worst = 20,
    gap: Gap = 1.0,
    seconds: Seconds = 150,
) -> None:
    """Plan many changed cases: which plan it would be, what it would cost, which works move."""
    check_folder(out_folder)
    case, _ = load_case(station)
    variants, left = (read_variants(cases, case), {}) if cases else default_variants(case)
    options = Options(time_limit_seconds=seconds, gap_share=gap / 100)
    asked = Asked(variants, options, Lives(scenarios, seed, 0.0, worst / 100))
    makers = cluster(scheduler) if scheduler else processes(workers)
    with progress_bar() as say, makers as runner:
        found = swept(case, asked, out_folder, runner, say)
    out.print(sweep_words(found, left), soft_wrap=True, markup=False)
    out.print(f"sweep.csv and its works are in {out_folder}. Caution: {' '.join(CAUTIONS)}")
    if not found.base.has_plan:
        raise typer.Exit(NO_PLAN)
    if not found.is_sound:
        raise typer.Exit(OTHER)


@app.command()
def show(
    station: Folder,
    component: Annotated[
        str, typer.Argument(help="The component, for example one from work_list.csv.")
    ],
    plan_folder: Annotated[
        Path,
        typer.Option("--plan", help="Folder of a finished plan, for its choice and its prices."),
    ] = PLAN,
) -> None:
    """Show one component: its life, its possible works and courses, their costs, and why."""
    if plan_folder != PLAN and not plan_folder.is_dir():
        raise BundlerError(f"There is no folder {plan_folder}. Name the folder of a finished plan.")
    case, _ = load_case(station)
    show_component(case, component, plan_folder, out)


@app.command()
def life(
    station: Folder,
    name: Annotated[str, typer.Argument(help="A family or a component.")],
    mode: Annotated[
        str, typer.Option(help="Count failures by this mode only, the others as withdrawals.")
    ] = "",
    picture: Annotated[
        Path | None, typer.Option(help="Draw it too, into this file (.png, .svg, .pdf).")
    ] = None,
) -> None:
    """Show what records and readings say about the life of a family or a component."""
    from bundler.report.life_figures import check_picture, save_picture  # slow to load

    if picture is not None:
        check_picture(picture)
    case, _ = load_case(station)
    report = show_life(case, name, mode, out)
    if picture is not None:
        save_picture(report, picture)
        out.print(f"The picture is in {picture}.")


#: commands that stand in a file of their own
for command in (cli_days.level, cli_days.confidence):
    app.command()(command)


def main() -> None:
    """Run the command line; every expected fault is one sentence and an exit code."""
    codes = {DataError: DATA, NoPlanError: NO_PLAN, SolverError: SOLVER}
    try:
        app()
    except DataError as fault:
        tell_findings(fault.findings, err)
        count = len(fault.findings)
        many = "" if count == 1 else "s"
        err.print(f"{count} error{many}; the tables cannot be used so, and nothing was written.")
        sys.exit(DATA)
    except BundlerError as fault:
        err.print(str(fault), soft_wrap=True, markup=False)
        sys.exit(codes.get(type(fault), OTHER))
