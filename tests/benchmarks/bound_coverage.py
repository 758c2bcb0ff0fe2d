"""How often do the 90 % profile bounds hold the truth? Run: python tests/benchmarks/bound_coverage.py

Weibull lives with a known shape and scale are drawn (seeded), watched as a plant would, fitted and
bounded, and the samples whose bounds hold the truth are counted. Of 500 samples at a true 90 %,
95 % of all runs print between 87.4 and 92.6 %.
"""

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from bundler.life.bounds import age_bounds, parameter_bounds  # noqa: E402
from bundler.life.fit import fit  # noqa: E402
from bundler.life.lives import Lives, lives_from  # noqa: E402

SHAPE, SCALE, ITEMS, SAMPLES, SEED = 2.5, 40.0, 100, 500, 20261125
#: age by which 30 % of the items have failed [years]
CUT = SCALE * (-np.log(0.7)) ** (1 / SHAPE)
#: what is bounded, and its true value
TRUTH = {"shape": SHAPE, "scale": SCALE, "age_10": SCALE * (-np.log(0.9)) ** (1 / SHAPE)}


def from_new(rng: np.random.Generator) -> Lives:
    """Return items watched from new to the age at which 30 % have failed; 70 % still run."""
    age = SCALE * rng.weibull(SHAPE, ITEMS)
    return lives_from(np.minimum(age, CUT), np.where(age > CUT, np.inf, age))


def late_entry(rng: np.random.Generator) -> Lives:
    """Return items that were 0 to 30 years old when the record began, and are watched 10 years.

    Those that had failed before it are not in the record; about a fifth of the others fail in it.
    """
    entry = rng.uniform(0, 30, 4 * ITEMS)
    age = SCALE * rng.weibull(SHAPE, 4 * ITEMS)
    seen = np.flatnonzero(age > entry)[:ITEMS]
    entry, age = entry[seen], age[seen]
    end = entry + 10
    return lives_from(np.minimum(age, end), np.where(age > end, np.inf, age), entry_years=entry)


CASES = {"from new": from_new, "late entry": late_entry}


def held(lives: Lives) -> dict[str, bool]:
    """Return which of the 90 % bounds of a fit to these lives hold the truth."""
    made = fit(lives, "weibull")
    found = {
        "shape": parameter_bounds(lives, made, "shape_ratio"),
        "scale": parameter_bounds(lives, made, "scale_years"),
        "age_10": age_bounds(lives, made, 0.10),
    }
    return {name: b.low <= TRUTH[name] <= b.high for name, b in found.items()}


def coverage(draw: Callable[[np.random.Generator], Lives], samples: int) -> dict[str, float]:
    """Return the share of samples whose bounds hold the truth, by quantity, and the failures."""
    rng = np.random.default_rng(SEED)
    drawn = [draw(rng) for _ in range(samples)]
    rows = [held(lives) for lives in drawn]
    shares = {name: float(np.mean([row[name] for row in rows])) for name in TRUTH}
    failed = sum(lives.failures_count for lives in drawn)
    return {**shares, "failed": failed / sum(lives.items_count for lives in drawn)}


def say(line: str) -> None:
    sys.stdout.write(line + "\n")


def main() -> None:
    say(f"Weibull, shape {SHAPE}, scale {SCALE:g} years, {ITEMS} items, {SAMPLES} samples; in %.")
    say(f"{'record':<12}{'failed':>8}{'shape':>8}{'scale':>8}{'10 % age':>10}{'seconds':>9}")
    for name, draw in CASES.items():
        start = time.perf_counter()
        found = coverage(draw, SAMPLES)
        shares = "".join(
            f"{100 * found[key]:>{width}.1f}"
            for key, width in zip(
                ("failed", "shape", "scale", "age_10"), (8, 8, 8, 10), strict=True
            )
        )
        say(f"{name:<12}{shares}{time.perf_counter() - start:>9.1f}")


if __name__ == "__main__":
    main()
