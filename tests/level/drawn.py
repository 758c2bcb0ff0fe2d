"""Small problems with everything in them, drawn at random: few enough schedules to try them all."""

import numpy as np

from bundler.level.problem import Problem
from tests.level.checking import problem

HORIZON = 6


def drawn(seed: int) -> Problem:
    """Return a problem of three tasks: modes, optional tasks, bands, taken, order, apart, totals."""
    rng = np.random.default_rng(seed)
    names, tables = ["a", "b", "c"], {"tasks": [], "modes": [], "needs": []}
    for name in names:
        early = int(rng.integers(0, 2))
        value = int(rng.integers(1, 4)) * int(rng.random() < 0.5)
        tables["tasks"].append((name, early, int(rng.integers(HORIZON - 1, HORIZON + 1)), value))
        for mode in range(1, int(rng.integers(1, 3)) + 1):
            tables["modes"].append((name, mode, int(rng.integers(1, 4))))
            tables["needs"] += [(name, mode, "r", int(rng.integers(0, 3))),
                                (name, mode, "s", int(rng.integers(0, 2))),
                                (name, mode, "n", int(rng.integers(0, 3)))]  # fmt: skip
    tables["resources"] = [("n", int(rng.integers(2, 6)), True), ("r", 2, False), ("s", 1, False)]
    start = int(rng.integers(0, 4))
    tables["taken"] = [("r", start, start + 2, int(rng.integers(1, 4)))]
    tables["follows"] = [("a", "b", int(rng.integers(-1, 2)), bool(rng.random() < 0.5))]
    tables["apart"] = [("b", "c")] if rng.random() < 0.5 else []
    tables["bands"] = [("r", 0, 3, int(rng.integers(1, 3))), ("r", 3, 6, 1)]
    tables["band_most"] = [("r", int(rng.integers(1, 3)))]
    return problem(**tables)
