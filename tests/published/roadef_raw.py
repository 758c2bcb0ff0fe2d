"""The raw instances of the ROADEF/EURO challenge 2020."""

import json
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bundler.choice import FloatArray, IntArray
from tests.published.folder import text


@dataclass(frozen=True)
class Raw:
    """What a file says, with one row an option (intervention and start); periods from 0.

    name, start and days [options]; risk, one array [options, scenarios] a period; load of each
    resource [options, periods], its least and most [periods]; exclusions (first, second, periods).
    """

    name: NDArray[np.str_]
    start: IntArray
    days: IntArray
    risk: list[FloatArray]
    load: dict[str, FloatArray]
    least: dict[str, FloatArray]
    most: dict[str, FloatArray]
    exclusions: list[tuple[str, str, list[int]]]
    alpha: float
    quantile: float

    @property
    def periods_count(self) -> int:
        """Return how many periods there are."""
        return len(self.risk)

    @cached_property
    def mean_risk(self) -> FloatArray:
        """Return the mean risk over the scenarios [options, periods]."""
        return np.stack([own.mean(1) for own in self.risk], axis=1)

    @cached_property
    def is_on(self) -> NDArray[np.bool_]:
        """Say in which periods each option is at work [options, periods]."""
        period = np.arange(self.periods_count)
        start = self.start[:, None]
        return (start <= period) & (period < start + self.days[:, None])


def _options(data: dict[str, Any]) -> dict[tuple[str, str], int]:
    """Return the number of each intervention and start, both as the file writes them."""
    keys = [
        (name, str(start))
        for name, own in sorted(data["Interventions"].items())
        for start in range(1, int(own["tmax"]) + 1)
    ]
    return {key: number for number, key in enumerate(keys)}


def _load(data: dict[str, Any], option: dict[tuple[str, str], int]) -> dict[str, FloatArray]:
    found = {name: np.zeros((len(option), int(data["T"]))) for name in sorted(data["Resources"])}
    for name, own in data["Interventions"].items():
        for resource, by_period in own["workload"].items():
            for period, by_start in by_period.items():
                for start, amount in by_start.items():
                    found[resource][option[name, start], int(period) - 1] = amount
    return found


def _risk(data: dict[str, Any], option: dict[tuple[str, str], int]) -> list[FloatArray]:
    found = [np.zeros((len(option), int(count))) for count in data["Scenarios_number"]]
    for name, own in data["Interventions"].items():
        for period, by_start in own["risk"].items():
            for start, risks in by_start.items():
                found[int(period) - 1][option[name, start]] = risks
    return found


def _bounds(data: dict[str, Any], side: str) -> dict[str, FloatArray]:
    return {name: np.asarray(own[side], float) for name, own in sorted(data["Resources"].items())}


def read(path: Path) -> Raw:
    """Return the raw instance; starts after tmax are left out."""
    data = json.loads(text(path))
    option = _options(data)
    name, start = zip(*option, strict=True)
    first = np.array(start, dtype=np.int64) - 1
    days = [data["Interventions"][n]["Delta"][s] for n, s in zip(name, first, strict=True)]
    seasons = {key: [int(t) - 1 for t in own] for key, own in data["Seasons"].items()}
    exclusions = [(a, b, seasons[season]) for a, b, season in data["Exclusions"].values()]
    return Raw(
        np.array(name), first, np.array(days, dtype=np.int64), _risk(data, option),
        _load(data, option), _bounds(data, "min"), _bounds(data, "max"), exclusions,
        float(data["Alpha"]), float(data["Quantile"]),
    )  # fmt: skip
