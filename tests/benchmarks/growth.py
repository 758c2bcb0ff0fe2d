"""How the time to a gap grows with the size of a station, from the table of results of scale.py.

    python tests/benchmarks/growth.py [--gap 0.02] [--method prices]

Takes the newest row of each size that reached the gap, proven by the method's own bound.
"""

import argparse
import math
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pandas as pd

RESULTS = Path(__file__).parent / "results" / "scale.csv"


def exponent(points: Iterable[tuple[float, float]]) -> float | None:
    """Return p of seconds = a x size^p by least squares in logarithms; None below two sizes."""
    pairs = [(math.log(size), math.log(seconds)) for size, seconds in points if seconds > 0]
    if len({size for size, _ in pairs}) < 2:
        return None
    size, seconds = np.array(pairs).T
    return float(np.polyfit(size, seconds, 1)[0])


def main() -> None:
    """Print the newest time of each size, and the exponent."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--gap", type=float, default=0.02)
    parser.add_argument("--method", default="prices")
    asked = parser.parse_args()
    table = pd.read_csv(RESULTS)
    own = table[(table["method"] == asked.method) & (table["gap_asked_share"] == asked.gap)]
    own = own.dropna(subset="proven_seconds").groupby("components_count").tail(1)
    own = own.sort_values("components_count")
    print(
        own[["components_count", "proven_seconds", "took_seconds", "peak_mb"]].to_string(
            index=False
        )
    )
    power = exponent(zip(own["components_count"], own["proven_seconds"], strict=True))
    print("fewer than two sizes" if power is None else f"seconds grow as n^{power:.2f}")


if __name__ == "__main__":
    main()
