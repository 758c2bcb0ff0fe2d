"""The commands that put a plan on days: level, confidence."""

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer
from threadpoolctl import threadpool_limits

from bundler.cli_screen import OTHER, PLAN, Folder, Gap, Seconds, out, progress_bar
from bundler.errors import BundlerError
from bundler.executable import Ask, executed
from bundler.level.chances import Doubts, chance_tables
from bundler.level.outages import Plan as Levellable
from bundler.level.outages import outages_in
from bundler.level.solve import Effort
from bundler.reopen import Opened, reopen, reopen_level
from bundler.report.chances import show_chances
from bundler.report.level import save_level, show_level, show_slip
from bundler.report.save import check_target, save_tables
from bundler.run import load_case
from bundler.slip import slip
from bundler.solve.highs import Options

LEVEL, SLIP = Path("level"), Path("slip")
Outages = Annotated[
    str, typer.Option(help="Only these outages, joined by commas; without it all with works.")
]


def _asked(outages: str, there: Sequence[str], what: str) -> tuple[str, ...]:
    """Return the outages asked for; raise BundlerError for one that is not there."""
    asked = tuple(name.strip() for name in outages.split(",") if name.strip())
    for name in asked:
        if name not in there:
            raise BundlerError(
                f"{name} is no {what} of this plan. Name some of {', '.join(there)} with "
                "--outages, or leave it out."
            )
    return asked


def _names(opened: Opened, outages: str) -> tuple[str, ...]:
    """Return the outages asked for; raise BundlerError for one that holds no work."""
    plan = Levellable(opened.case, opened.choices, opened.picked)
    return _asked(outages, outages_in(plan), "outage with works")


def _slip(text: str) -> tuple[str, float]:
    """Return outage and days of a slip such as M1=7; raise BundlerError for anything else."""
    outage, _, days = text.partition("=")
    if not re.fullmatch(r"[+-]?\d{1,5}", days.strip()):
        raise BundlerError(
            f"--slip {text} is not understood. Name an outage and whole days, for example M1=7."
        )
    return outage.strip(), float(days)


def level(  # noqa: PLR0913 - options of a command
    station: Folder,
    plan_folder: Annotated[
        Path, typer.Option("--plan", help="Folder of the finished plan that is levelled.")
    ] = PLAN,
    out_folder: Annotated[
        Path | None,
        typer.Option(
            "--out",
            help="Folder for the results; earlier ones are replaced. Without it level, or slip.",
        ),
    ] = None,
    outages: Outages = "",
    rounds: Annotated[
        int,
        typer.Option(
            help="Times that what found no room is fed back and the plan made again.",
            min=0,
            max=10,
        ),
    ] = 2,
    sure: Annotated[
        float,
        typer.Option(
            "--confidence",
            help="Chance with which each outage has to end in time [%]; works are taken out for "
            "it. 0: as levelled is enough.",
            min=0,
            max=99,
        ),
    ] = 0.0,
    work: Annotated[
        float,
        typer.Option(
            help="Search for each outage, in the solver's own units: half a minute or so for a "
            "mid-life outage, seconds for others.",
            min=0.1,
        ),
    ] = 1.0,
    move: Annotated[
        str, typer.Option("--slip", help="Move one outage by days instead, for example M1=7.")
    ] = "",
    gap: Gap = 1.0,
    seconds: Seconds = 150,
) -> None:
    """Put the plan's works on days, by crews, areas and order; feed back what finds no room."""
    out_folder = out_folder or (SLIP if move else LEVEL)
    check_target(out_folder)
    case, _ = load_case(station)
    with progress_bar() as say, threadpool_limits(limits=1):
        opened = reopen(case, plan_folder)
        effort = Effort(work=work, most_seconds=600.0)
        if move:
            found = slip(opened, *_slip(move), effort, say)
        else:
            promise = Doubts(chance=sure / 100) if sure else None
            names = _names(opened, outages)
            ask = Ask(names, effort, Options(seconds, gap / 100), rounds, promise)
            done = executed(opened, ask, say)
    if move:
        save_tables({"slip": found.changes}, out_folder)
        show_slip(found, case.settings.currency, out)
        out.print(f"The table of changes is {out_folder / 'slip.csv'}.")
        return
    save_level(done, out_folder)
    show_level(done, out)
    out.print(f"Days, weeks and windows are in {out_folder}; start with level_days.csv.")
    if done.breaches:
        raise typer.Exit(OTHER)


def confidence(  # noqa: PLR0913 - options of a command
    station: Folder,
    level_folder: Annotated[
        Path, typer.Option("--level", help="Folder of the levelled plan.")
    ] = LEVEL,
    out_folder: Annotated[
        Path, typer.Option("--out", help="Folder for the results; earlier ones are replaced.")
    ] = Path("confidence"),
    outages: Outages = "",
    chance: Annotated[
        float, typer.Option(help="Chance with which a finish is promised [%].", min=1, max=99)
    ] = 80,
    runs: Annotated[int, typer.Option(help="Runs that are drawn.", min=100, max=50_000)] = 10_000,
    seed: Annotated[int, typer.Option(help="Seed of the runs.", min=0)] = 1,
) -> None:
    """Tell when levelled outages finish and what they cost, by chance, and what to drop or add."""
    check_target(out_folder)
    case, _ = load_case(station)
    with progress_bar() as say, threadpool_limits(limits=1):
        plan, schedules = reopen_level(case, level_folder)
        names = _asked(outages, [each.laid.outage.period for each in schedules], "levelled outage")
        kept = [each for each in schedules if not names or each.laid.outage.period in names]
        own = Levellable(plan.case, plan.choices, plan.picked)
        tables = chance_tables(own, kept, Doubts(runs, seed, chance / 100), say)
    save_tables(tables, out_folder)
    show_chances(tables, case.settings.currency, out)
    out.print(f"Drivers, chains, hours, drop-list and add-list are in {out_folder}.")
