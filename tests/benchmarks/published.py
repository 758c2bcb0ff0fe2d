"""How well are published instances with known values solved? Run from the top of the repository:

    python tests/benchmarks/published.py --sets gap mmkp mkp cflp roadef --seconds 60 --way auto

One line an instance goes to results/published.csv; the newest of each instance and way makes the
summary, printed at the end and kept in README.md beside this file. See ../published for the sets.
"""

import argparse
import platform
import sys
import types
from importlib.metadata import version
from pathlib import Path

import pandas as pd

HERE = Path(__file__).parent
TOP = HERE.parents[1]
sys.path.insert(0, str(TOP))
#: `tests` is the one of this project, also where an installed package brings one of that name
sys.modules["tests"] = types.ModuleType("tests")
sys.modules["tests"].__path__ = [str(TOP / "tests")]

from bundler.errors import NoPlanError, SolverError  # noqa: E402
from bundler.solve.highs import Options  # noqa: E402
from tests.published.folder import IS_THERE, REASON, Known  # noqa: E402
from tests.published.targets import ANSWER, KNOWN, TARGETS, all_known  # noqa: E402

RESULTS, README = HERE / "results" / "published.csv", HERE / "README.md"
BEGIN, END = "<!-- published instances: written by published.py -->", "<!-- end -->"
KEYS = ["set", "family", "instance", "sense", "way"]
#: of the library of Hiremath and Hill, how many problems are solved if not all are asked for
HIREMATH_HILL = 28
#: reading, building and checking come on top of the solver's time
OVER_SHARE = 0.1


def say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def versions() -> str:
    """Return the versions that an answer depends on."""
    parts = [f"{name} {version(name)}" for name in ("pulp", "highspy", "numpy")]
    return f"Python {platform.python_version()}, " + ", ".join(parts)


def spread(items: list[Known], most: int) -> list[Known]:
    """Return at most so many of the instances, spread evenly over their list."""
    step = max(len(items) / most, 1.0)
    return [items[int(i * step)] for i in range(min(most, len(items)))]


def wanted(args: argparse.Namespace) -> list[Known]:
    """Return the instances to run."""
    found = []
    for name in args.sets:
        known = KNOWN[name]()
        for family in dict.fromkeys(one.family for one in known):
            own = [one for one in known if one.family == family]
            most = HIREMATH_HILL if family == "hiremath-hill" else len(own)
            most = len(own) if args.all else min(most, args.most or most)
            found += spread(own, most) if family in (args.families or [family]) else []
    return found


def answered(known: Known, options: Options) -> dict[str, object]:
    """Return the row of an instance; without a plan, value and bound are empty."""
    row: dict[str, object] = {
        "set": known.set_name, "family": known.family, "instance": known.instance,
        "sense": known.sense, "way": options.way, "time_limit_seconds": options.time_limit_seconds,
        "asked_gap_share": options.gap_share,
        "known_value": known.value, "known_kind": "optimal" if known.is_optimal else "best seen",
        "versions": versions(),
    }  # fmt: skip
    try:
        answer = ANSWER[known.set_name](known, options)
    except (NoPlanError, SolverError) as fault:
        say(f"{known.instance}: {fault}")
        return {**row, "is_right_side": True, "is_checked": False, "is_reached": False}
    for fault in answer.faults:
        say(f"{known.instance}: FAULT {fault}")
    target = TARGETS[known.family]
    in_time = answer.seconds <= target.seconds * (1 + OVER_SHARE)
    return {
        **row, "value": answer.value, "bound": answer.bound, "gap_share": answer.gap_share,
        "from_known_share": answer.from_known_share, "seconds": round(answer.seconds, 2),
        "is_right_side": answer.is_right_side, "is_checked": not answer.faults,
        "is_proved": answer.is_proved, "is_reached": in_time and target.is_reached(answer),
    }  # fmt: skip


def keep(row: dict[str, object]) -> None:
    """Append a row to the results."""
    columns = [*KEYS, "time_limit_seconds", "asked_gap_share", "value", "bound", "gap_share", "seconds", "known_value",
               "known_kind", "from_known_share", "is_right_side", "is_checked", "is_proved",
               "is_reached", "versions"]  # fmt: skip
    RESULTS.parent.mkdir(exist_ok=True)
    table = pd.DataFrame([row]).reindex(columns=columns)
    table.to_csv(RESULTS, mode="a", header=not RESULTS.exists(), index=False)


def shown(row: dict[str, object]) -> str:
    """Return the line that is printed of a row."""
    name = f"{row['family']} {row['instance']} {row['sense']}"
    if "value" not in row:
        return f"{name}: no plan"
    return (
        f"{name}: {row['value']:.9g} (known {row['known_value']:.9g}), bound {row['bound']:.9g}, "
        f"{row['seconds']} s" + ("" if row["is_reached"] else ", target missed")
    )


def _most(shares: pd.Series) -> str:
    return f"{round(shares.max(), 5) + 0.0:.3%}"


def summary() -> str:
    """Return the newest results by family and way against their targets, as a table."""
    newest = pd.read_csv(RESULTS).drop_duplicates(KEYS, keep="last")
    there = pd.Series([one.family for one in all_known()]).value_counts()
    lines = ["| family | way | run | target | reached | contradicting a known value | failing the "
             "check | worst from known | widest gap | longest |", "|" + "---|" * 10]  # fmt: skip
    for (family, way), own in newest.groupby(["family", "way"], sort=False):
        lines.append(
            f"| {family} | {way} | {len(own)} of {there[family]} | {TARGETS[str(family)]} | "
            f"{own['is_reached'].sum()} of {len(own)} | {(~own['is_right_side']).sum()} | "
            f"{(~own['is_checked']).sum()} | {_most(own['from_known_share'])} | "
            f"{_most(own['gap_share'])} | {own['seconds'].max():.1f} s |"
        )
    order = {family: number for number, family in enumerate(TARGETS)}
    lines[2:] = sorted(lines[2:], key=lambda line: order[line.split("|")[1].strip()])
    return "\n".join(lines)


def write_readme(table: str) -> None:
    """Put the summary between its two marks in the README."""
    text = README.read_text(encoding="utf-8")
    if BEGIN in text:
        before, _, rest = text.partition(BEGIN)
        text = f"{before}{BEGIN}\n{table}\n{END}{rest.partition(END)[2]}"
        README.write_text(text, encoding="utf-8")


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Solve published instances with known values.")
    parser.add_argument("--sets", nargs="+", choices=list(KNOWN), default=list(KNOWN))
    parser.add_argument("--families", nargs="+", choices=list(TARGETS), help="only these families")
    parser.add_argument("--seconds", type=float, default=60.0, help="at most, for each instance")
    parser.add_argument("--gap", type=float, default=0.0, help="stop at this gap (a share)")
    parser.add_argument("--way", choices=["auto", "whole", "prices"], default="auto")
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--most", type=int, default=0, help="at most so many of each family")
    parser.add_argument("--all", action="store_true", help="every problem of Hiremath and Hill too")
    return parser.parse_args()


def main() -> None:
    args = arguments()
    if not IS_THERE:
        sys.exit(f"Nothing is run: {REASON}.")
    for known in wanted(args):
        seconds = min(args.seconds, TARGETS[known.family].seconds)
        row = answered(known, Options(seconds, args.gap, "", args.way, args.workers))
        keep(row)
        say(shown(row))
    table = summary()
    write_readme(table)
    say(table)


if __name__ == "__main__":
    main()
