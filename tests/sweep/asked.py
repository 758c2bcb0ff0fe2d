"""Three changed cases of the tiny station, as records, as a table, and as bytes on disk."""

from pathlib import Path

from bundler.choice import Lives
from bundler.solve.highs import Options
from bundler.sweep.changes import Change
from bundler.sweep.done import Done
from bundler.sweep.run import Asked
from bundler.sweep.store import TABLES
from bundler.sweep.variants import Variant

EXACT = Options(gap_share=0.0)
CHEAP = Variant("cheap", (Change("day_value", ratio=0.8),))
SHORT = Variant("short", (Change("lives", "PUMP", ratio=0.8),))
BAD = Variant("bad", (Change("tail", value=0.5),))
ASKED = Asked((CHEAP, SHORT, BAD), EXACT, Lives(5))
#: the same for the command line
ROWS = "run,what,which,ratio,value\ncheap,day_value,,0.8,\nshort,lives,PUMP,0.8,\nbad,tail,,,0.5\n"
WORDS = ("--gap", "0", "--scenarios", "5")


def texts(folder: Path) -> dict[str, bytes]:
    """Return the tables that are the same whenever they are made."""
    names = [name for name in TABLES if name != "sweep_seconds"]
    return {name: (folder / f"{name}.csv").read_bytes() for name in names}


def made_up(*works: tuple[str, str, str]) -> Done:
    """Return a run with these works and costs of 1."""
    costs = dict.fromkeys(
        ("objective_pv_cost", "bound_pv_cost", "gap_share", "risk_pv_cost", "planned_pv_cost",
         "access_pv_cost", "extension_pv_cost", "overtime_pv_cost"), 1.0,
    )  # fmt: skip
    firsts: dict[str, tuple[str, str]] = {}
    for component, action, period in works:
        firsts.setdefault(component, (action, period))
    return Done("optimal", costs=costs, works=works, firsts=firsts)
