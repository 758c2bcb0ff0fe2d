"""Published instances beside the project: where they stand, and what is known of them.

The data is not part of the project: it is read from ../shared/benchmarks, one folder a set, with
its own README (formats and sources) and an optima.csv of known values.
"""

import gzip
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from math import prod
from pathlib import Path

import numpy as np
import pandas as pd

from bundler.choice import FloatArray

FOLDER = Path(__file__).parents[3] / "shared" / "benchmarks"
IS_THERE = (FOLDER / "README.md").exists()
REASON = "the published instances do not stand beside the project, in ../shared/benchmarks"


@dataclass(frozen=True)
class Known:
    """One instance and its known value; sense is "min" or "max".

    is_optimal says that the value is proved to be the best; if not, a plan with it exists and a
    better one may. family names the group of instances that share a target.
    """

    set_name: str
    family: str
    instance: str
    path: Path
    sense: str
    value: float
    is_optimal: bool

    @property
    def sign(self) -> float:
        """Return by what a value is multiplied to be minimised."""
        return -1.0 if self.sense == "max" else 1.0


def text(path: Path) -> str:
    """Return the text of a file, packed or not."""
    packed = path.read_bytes()
    return (gzip.decompress(packed) if path.suffix == ".gz" else packed).decode("utf-8")


def numbers(path: Path, **words: float) -> Iterator[float]:
    """Yield the numbers of a file in their order; `words` stand for numbers in it."""
    return (float(words.get(word, word)) for word in text(path).split())


def take(source: Iterator[float], *shape: int) -> FloatArray:
    """Return the next numbers as an array of this shape."""
    return np.fromiter(islice(source, prod(shape)), float, prod(shape)).reshape(shape)


def counts(source: Iterator[float], size: int) -> tuple[int, ...]:
    """Return the next numbers as counts."""
    return tuple(int(number) for number in islice(source, size))


def optima(set_name: str) -> pd.DataFrame:
    """Return the table of known values of a set, with the path of each instance's file."""
    if not IS_THERE:
        return pd.DataFrame(columns=["instance", "path", "sense", "value", "is_optimal"])
    table = pd.read_csv(FOLDER / set_name / "optima.csv")
    is_optimal = table["status"].str.contains(r"^optimal|proved here", regex=True)
    paths = [FOLDER / set_name / name for name in table["file"]]
    return table.assign(path=paths, is_optimal=is_optimal)


def known_of(set_name: str, families: dict[str, str]) -> list[Known]:
    """Return the instances of a set; `families` gives the family by the start of a file's name."""
    found = []
    for row in optima(set_name).itertuples():
        file = row.path.relative_to(FOLDER / set_name).as_posix()
        family = next(name for start, name in families.items() if file.startswith(start))
        found.append(Known(set_name, family, str(row.instance), row.path, str(row.sense),
                           float(row.value), bool(row.is_optimal)))  # fmt: skip
    return found
