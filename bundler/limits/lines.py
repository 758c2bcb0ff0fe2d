"""Groups that do one job: their lines, and how many of these may be out of service when."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.calendar import STATION
from bundler.case import Case
from bundler.choice import FloatArray
from bundler.tables import rows

#: what makes one line, by the word of the group
LINES = {"component": "component", "position": "position_count", "train": "train"}


@dataclass(frozen=True)
class Place:
    """One group at one place: a unit, a train of it, or the station.

    line_of: line by component; units: those its components belong to.
    """

    group: str
    name: str
    place: str
    line_of: dict[str, str]
    units: frozenset[str]

    @property
    def lines_count(self) -> int:
        """How many lines there are."""
        return len(set(self.line_of.values()))


@dataclass(frozen=True)
class Allowed:
    """Lines that may be out at once: count [K] between edges_days [K + 1], most outside."""

    edges_days: FloatArray
    count: FloatArray
    most: float

    def _cells(self, a: float, b: float) -> tuple[FloatArray, FloatArray]:
        """Return the widths [days] and counts of the cells between two days."""
        inside = self.edges_days[(self.edges_days > a) & (self.edges_days < b)]
        edges = np.concatenate([[a], inside, [b]])
        cell = np.searchsorted(self.edges_days, (edges[1:] + edges[:-1]) / 2) - 1
        known = (cell >= 0) & (cell < len(self.count))
        count = np.full(len(cell), self.most)
        count[known] = self.count[cell[known]]
        return np.diff(edges), count

    def line_days(self, a: float, b: float, lines: int) -> float:
        """Return the days that so many lines may be out between two days [line days]."""
        width, count = self._cells(a, b)
        return float(width @ np.minimum(count, lines))

    def least(self, a: float, b: float) -> float:
        """Return the fewest lines that may be out on any day between two days."""
        return float(self._cells(a, b)[1].min())

    def stretches(self, lines: int) -> list[tuple[float, float]]:
        """Return the stretches in which at least so many lines may be out at once."""
        edges = [-np.inf, *self.edges_days, np.inf]
        count = [self.most, *self.count, self.most] if len(self.edges_days) else [self.most]
        edges = edges if len(self.edges_days) else [-np.inf, np.inf]
        found: list[tuple[float, float]] = []
        for a, b, allowed in zip(edges[:-1], edges[1:], count, strict=True):
            if allowed < lines:
                continue
            if found and found[-1][1] == a:
                found[-1] = (found[-1][0], b)
            else:
                found.append((a, b))
        return found


def members(case: Case) -> pd.DataFrame:
    """Return the components of each group: group, name, component, unit, place, line."""
    table = case["groups"].merge(case["group_members"], on="group", suffixes=("", "_member"))
    names = ["component", "unit", "family", "train", "position_count"]
    table = table.merge(case["components"][names], on="family", suffixes=("_only", ""))
    table = table[(table["train_only"] == "") | (table["train_only"] == table["train"])]
    table = table.drop_duplicates(["group", "component"]).reset_index(drop=True)
    place = table["unit"].where(table["match"] != "station", STATION)
    train = (" train " + table["train"]).where(table["match"] == "train", "")
    line = pd.Series("", index=table.index, dtype="str")
    for word, column in LINES.items():
        line = line.where(table["line_by"] != word, table[column].astype("str"))
    table = table.assign(place=place + train, line=line)
    return table[["group", "name", "component", "unit", "place", "line"]]


def places(case: Case) -> Iterator[Place]:
    """Yield every group that has to keep lines in service, at each of its places."""
    table = members(case)
    table = table[table["group"].isin(case["group_needs"]["group"])]
    for (group, place), own in table.groupby(["group", "place"], sort=True):
        line_of = dict(zip(own["component"], own["line"], strict=True))
        name = str(own["name"].iloc[0])
        yield Place(str(group), name, str(place), line_of, frozenset(own["unit"]))


def _needed(needs: pd.DataFrame, own: pd.DataFrame, spans: pd.DataFrame) -> pd.DataFrame:
    """Return when how many lines have to be in service: start_days, end_days, in_service, rank.

    Rows of the higher rank, while a condition holds, replace the period's others.
    """
    names = ["period", "start_days", "end_days", "in_service_count"]
    plain = own.merge(needs[needs["condition"] == ""], on="kind")
    held = own[["period", "kind"]].merge(needs[needs["condition"] != ""], on="kind")
    held = held.merge(spans, on=["period", "condition"])
    return pd.concat([plain[names].assign(rank=0), held[names].assign(rank=1)], ignore_index=True)


def allowed(case: Case, place: Place, periods: pd.DataFrame, spans: pd.DataFrame) -> Allowed:
    """Return how many lines of a group may be out of service when.

    The lines there are less those that have to stay in service, by the kind of period that any
    of its units is in; while plant conditions hold that have a row of their own, by the largest
    of these. Where no row speaks, all may be out. `spans` as in the calendar.
    """
    needs = case["group_needs"]
    own = periods[periods["unit"].isin(place.units)]
    table = _needed(needs[needs["group"] == place.group], own, spans)
    edges = np.unique(table[["start_days", "end_days"]].to_numpy())
    most = float(place.lines_count)
    middle = (edges[1:] + edges[:-1]) / 2
    needed = np.zeros((2, len(middle)))
    for _, rows_of in table.groupby("period", sort=True):
        by_rank = np.full((2, len(middle)), -1.0)
        for row in rows(rows_of):
            there = (row.start_days < middle) & (middle < row.end_days)
            by_rank[row.rank, there] = np.maximum(by_rank[row.rank, there], row.in_service_count)
        count = np.where(by_rank[1] >= 0, by_rank[1], by_rank[0])
        needed = np.maximum(needed, count)
    return Allowed(edges, np.maximum(most - needed.max(axis=0), 0.0), most)
