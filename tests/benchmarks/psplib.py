"""How well are published projects levelled? Run from the top of the repository:

    python tests/benchmarks/psplib.py --families j30 j60 --most 40 --work 25 --seconds 30

One line an instance goes to results/psplib.csv, and a table by family is printed at the end.
The instances are those of PSPLIB (Kolisch and Sprecher 1996); see ../published/psplib.py.
"""

import argparse
import platform
import sys
import types
from importlib.metadata import version
from pathlib import Path
from time import perf_counter

import pandas as pd

HERE = Path(__file__).parent
TOP = HERE.parents[1]
sys.path.insert(0, str(TOP))
#: `tests` is the one of this project, also where an installed package brings one of that name
sys.modules["tests"] = types.ModuleType("tests")
sys.modules["tests"].__path__ = [str(TOP / "tests")]

from bundler.errors import BundlerError  # noqa: E402
from bundler.level.solve import Effort, level  # noqa: E402
from tests.level.checking import faults_of  # noqa: E402
from tests.published.folder import IS_THERE, REASON  # noqa: E402
from tests.published.psplib import SIZES, known, problem_of, text_of  # noqa: E402

RESULTS = HERE / "results" / "psplib.csv"


def say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def versions() -> str:
    """Return the versions that an answer depends on."""
    parts = [f"{name} {version(name)}" for name in ("ortools", "numpy")]
    return f"Python {platform.python_version()}, " + ", ".join(parts)


def spread(table: pd.DataFrame, most: int) -> pd.DataFrame:
    """Return at most so many instances, spread evenly over their list; all for 0."""
    if not most or most >= len(table):
        return table
    return table.iloc[[int(number * len(table) / most) for number in range(most)]]


def answered(row: pd.Series, effort: Effort) -> dict[str, object]:
    """Return the result of an instance; without a schedule, finish and bound are empty."""
    problem, begin = problem_of(text_of(row["instance"], row["file"])), perf_counter()
    found: dict[str, object] = {
        "family": row["family"], "instance": row["instance"], "known": int(row["value"]),
        "is_optimal": bool(row["is_optimal"]), "work": effort.work, "tries": effort.tries,
        "workers_count": effort.workers_count, "most_seconds": effort.most_seconds,
        "versions": versions(),
    }  # fmt: skip
    try:
        levelled = level(problem, effort)
    except BundlerError as fault:
        say(f"{row['instance']}: {fault}")
        return found
    is_right = levelled.finish_bound <= row["value"]
    is_right &= levelled.finish >= row["value"] or not row["is_optimal"]
    return {
        **found, "finish": levelled.finish, "bound": levelled.finish_bound,
        "status": levelled.status, "seconds": round(perf_counter() - begin, 2),
        "is_right_side": bool(is_right), "is_checked": not faults_of(problem, levelled),
    }  # fmt: skip


def keep(row: dict[str, object]) -> None:
    """Append a row to the results."""
    columns = ["family", "instance", "known", "is_optimal", "finish", "bound", "status", "seconds",
               "is_right_side", "is_checked", "work", "tries", "workers_count", "most_seconds",
               "versions"]  # fmt: skip
    RESULTS.parent.mkdir(exist_ok=True)
    table = pd.DataFrame([row]).reindex(columns=columns)
    table.to_csv(RESULTS, mode="a", header=not RESULTS.exists(), index=False)


def summary(table: pd.DataFrame) -> str:
    """Return results by family as a table."""
    lines = ["| family | run | at the known finish or below | proven | mean above known | most above | "
             "contradicting | failing the check | mean | longest |", "|" + "---|" * 10]  # fmt: skip
    for family, own in table.groupby("family", sort=False):
        above = own["finish"] / own["known"] - 1
        lines.append(
            f"| {family} | {len(own)} | {(above <= 0).mean():.1%} | "
            f"{(own['finish'] == own['bound']).mean():.1%} | {above.mean():.2%} | {above.max():.2%} | "
            f"{(own['is_right_side'] == False).sum()} | {(own['is_checked'] == False).sum()} | "  # noqa: E712
            f"{own['seconds'].mean():.1f} s | {own['seconds'].max():.1f} s |"
        )
    return "\n".join(lines)


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Level published projects with known finishes.")
    families = list(SIZES.values())
    parser.add_argument("--families", nargs="+", choices=families, default=families)
    parser.add_argument("--most", type=int, default=0, help="at most so many of each; 0: all")
    parser.add_argument("--work", type=float, default=25.0, help="of the solver, its own seconds")
    parser.add_argument("--tries", type=int, default=300, help="orders shaken first")
    parser.add_argument("--seconds", type=float, default=30.0, help="at most, for each instance")
    parser.add_argument("--workers", type=int, default=1)
    return parser.parse_args()


def main() -> None:
    args = arguments()
    if not IS_THERE:
        sys.exit(f"Nothing is run: {REASON}.")
    effort = Effort(args.work, args.tries, args.seconds, args.workers, even_share=0.0)
    found, table = [], known()
    for family in args.families:
        for _, row in spread(table[table["family"] == family], args.most).iterrows():
            found.append(answered(row, effort))
            keep(found[-1])
            say(", ".join(str(found[-1].get(name)) for name in
                          ("instance", "known", "finish", "bound", "status", "seconds")))  # fmt: skip
    columns = ["finish", "bound", "seconds", "is_right_side", "is_checked"]
    say(summary(pd.DataFrame(found).reindex(columns=["family", "known", *columns])))


if __name__ == "__main__":
    main()
