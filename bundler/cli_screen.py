"""What all commands share: the consoles, progress, findings, and options in one form."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from bundler.errors import Finding
from bundler.report import CAUTIONS

#: exit codes: input cannot be used, no plan keeps every rule, the solver gave none
DATA, NO_PLAN, SOLVER, OTHER = 2, 3, 4, 1
#: where results go, and where they are looked for, if nobody says otherwise
PLAN = Path("plan")

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help="Decides which balance-of-plant work goes into which outage of a station, and which is "
    "deferred, at the least risk-weighted cost; proves how close to the best the plan is.",
    epilog="Decision support only: " + CAUTIONS[2],
)
out, err = Console(highlight=False), Console(stderr=True, highlight=False)

Folder = Annotated[
    Path, typer.Argument(metavar="STATION", help="Folder with station.yaml and the tables.")
]
Gap = Annotated[
    float,
    typer.Option(
        help="Stop when the plan is proven to be this close to the best [%].", min=0, max=50
    ),
]
Seconds = Annotated[
    float,
    typer.Option(help="Longest time for the search [s]; the gap is then told as it is.", min=1),
]
Seed = Annotated[int, typer.Option(help="Seed from which scenarios of lives are drawn.", min=0)]
Worst = Annotated[
    float,
    typer.Option(help="Share of scenarios that counts as the bad ones [%].", min=1, max=100),
]
Count = Annotated[
    int, typer.Option(help="Scenarios of lives; plan: 0 takes lives as they are.", min=0, max=200)
]


@contextmanager
def progress_bar() -> Iterator[Callable[[str, float], None]]:
    """Show how far a long call is, where somebody looks on."""
    columns = (TextColumn("{task.description:<22}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=err, transient=True, disable=not err.is_terminal) as bar:
        task = bar.add_task("reading", total=1.0)
        yield lambda stage, share: bar.update(task, description=stage, completed=share)


def tell_findings(findings: list[Finding] | tuple[Finding, ...], console: Console) -> None:
    """Print each finding as one sentence."""
    for finding in findings:
        console.print(f"{finding.level}: {finding.sentence}", soft_wrap=True, markup=False)
