"""Project scheduling instances of PSPLIB (Kolisch and Sprecher 1996) as problems to be levelled.

The archives hold one file an instance: durations, needs and successors of jobs by mode; renewable
resources R (so much in each slot) and others N (so much in all). The first and last job are dummies.
"""

import re
import tarfile
from functools import cache
from pathlib import Path

import pandas as pd

from bundler.level.problem import Problem, empty
from tests.published.folder import FOLDER, IS_THERE

SIZES = {"j30 single-mode": "j30", "j60 single-mode": "j60", "j120 single-mode": "j120",
         "j10 multi-mode": "j10mm", "j20 multi-mode": "j20mm", "j30 multi-mode": "j30mm"}  # fmt: skip
LINE = re.compile(r"^[\s\d]+$")


def known() -> pd.DataFrame:
    """Return the known finishes: instance, family, value, is_optimal, in the order of the list."""
    if not IS_THERE:
        return pd.DataFrame(columns=["instance", "family", "value", "is_optimal"])
    table = pd.read_csv(FOLDER / "psplib" / "optima.csv")
    found = table[["instance", "file", "value"]].assign(
        family=table["size"].map(SIZES), is_optimal=table["status"].str.startswith("optimal")
    )
    return found.dropna(subset=["family"]).reset_index(drop=True)


@cache
def _archive(path: Path) -> dict[str, str]:
    with tarfile.open(path) as packed:
        return {
            Path(one.name).name: file.read().decode("latin-1")
            for one in packed
            if (file := packed.extractfile(one)) is not None
        }


def text_of(instance: str, file: str) -> str:
    """Return the text of an instance in an archive of the set."""
    return _archive(FOLDER / "psplib" / file)[instance]


def _rows(text: str, begin: str) -> list[list[int]]:
    """Return the lines of numbers that follow a heading, until one that holds something else."""
    lines = text.split(begin)[1].splitlines()[1:]
    found: list[list[int]] = []
    for line in lines:
        if LINE.match(line) and line.strip():
            found.append([int(number) for number in line.split()])
        elif found:
            break
    return found


def _modes(text: str) -> list[list[int]]:
    """Return job, mode, duration and needs; further modes of a job do not repeat its number."""
    rows = _rows(text, "REQUESTS/DURATIONS:")
    width, job, found = len(rows[0]), 0, []
    for row in rows:
        job = row[0] if len(row) == width else job
        found.append(row if len(row) == width else [job, *row])
    return found


def _resources(text: str, totals_only_count: int) -> pd.DataFrame:
    heading = text.split("RESOURCEAVAILABILITIES:")[1].splitlines()[1]
    kinds = re.findall(r"([RN])\s*\d+", heading)
    assert kinds.count("N") == totals_only_count
    amounts = _rows(text, "RESOURCEAVAILABILITIES:")[0]
    names = [f"{kind}{number}" for number, kind in enumerate(kinds)]
    return pd.DataFrame(
        {"resource": names, "amount": amounts, "is_total": [k == "N" for k in kinds]}
    )


def problem_of(text: str) -> Problem:
    """Return the problem of an instance; tasks by number, within the horizon that the file gives."""
    modes = _modes(text)
    jobs = sorted({row[0] for row in modes})
    real = jobs[1:-1]
    horizon = int(re.search(r"horizon\s*:\s*(\d+)", text)[1])  # type: ignore[index]
    count = int(re.search(r"nonrenewable\s*:\s*(\d+)", text)[1])  # type: ignore[index]
    resources = _resources(text, count)
    own = [row for row in modes if row[0] in real]
    arcs = [(row[0], second) for row in _rows(text, "PRECEDENCE RELATIONS:") for second in row[3:]]
    arcs = [arc for arc in arcs if arc[0] in real and arc[1] in real]
    needs = [(f"{row[0]:03d}", row[1], name, amount) for row in own
             for name, amount in zip(resources["resource"], row[3:], strict=True) if amount]  # fmt: skip
    follows = pd.DataFrame([(f"{i:03d}", f"{j:03d}") for i, j in arcs], columns=["first", "second"])
    return Problem(
        tasks=pd.DataFrame({"task": [f"{job:03d}" for job in real], "earliest": 0, "latest": horizon, "value": 0}),
        modes=pd.DataFrame([(f"{row[0]:03d}", row[1], row[2]) for row in own], columns=["task", "mode", "duration"]),
        needs=pd.DataFrame(needs, columns=["task", "mode", "resource", "amount"]),
        resources=resources, taken=empty("taken"), follows=follows.assign(lag=0, is_needed=False),
        apart=empty("apart"), bands=empty("bands"), band_most=empty("band_most"),
    )  # fmt: skip
