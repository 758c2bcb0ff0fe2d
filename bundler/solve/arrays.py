"""The relaxed problem as arrays: courses, rows, and what courses share (access, days, overtime).

Every row is  sum use z - sum give v <= amount: a placement z uses it, shared columns v (access
made, days of extension, hours of overtime) add to it or use it too. Four rules make rows:
limits, links, access (one a component and set) and outage days (one a component and outage).
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from scipy import sparse

from bundler.choice import Choices, FloatArray, IntArray
from bundler.program import access, limits, links, outage_days, tail
from bundler.program.build import course_cost


@dataclass(frozen=True)
class Arrays:
    """Courses by component, the rows they use, and the columns they share.

    Attributes
    ----------
    courses [Q] : numbers of the courses in their table, component by component.
    start [N + 1] : first course of each component.
    cost [Q] : risk and work of each course [present value].
    works [Q, K] : placements of each course by their place here, P where there is none.
    placements [P] : their numbers in their table.
    use [P, R], give [V, R] : what placements use and shared columns give (below 0: use) of rows.
    amount [R] : of each row.
    shared_cost [V], most [V] : price and largest value of each shared column.
    shared_name [V] : its kind ("y", "e" or "t") and name.
    periods [O] : names of outages and on-line periods; period_unit [O], the number of their unit.
    placement_period [P], shared_period [V] : the number of their period.
    keys [R] : rule and key of each row, as in the integer program.
    constant : what is the same for every plan.
    risk [Q, S] : what each course risks in each scenario of lives, S 0 where the tail of bad
        scenarios does not count; weights of these, each at most most_weight [S], sum to `weight`.
    """

    courses: IntArray
    start: IntArray
    cost: FloatArray
    works: IntArray
    placements: IntArray
    use: sparse.csr_array
    give: sparse.csr_array
    amount: FloatArray
    shared_cost: FloatArray
    most: FloatArray
    shared_name: tuple[tuple[str, str], ...]
    periods: tuple[str, ...]
    period_unit: IntArray
    placement_period: IntArray
    shared_period: IntArray
    keys: tuple[tuple[str, Any], ...]
    constant: float
    risk: FloatArray
    most_weight: FloatArray
    weight: float

    @property
    def components_count(self) -> int:
        """Return how many components there are."""
        return len(self.start) - 1

    def named(self, prices: FloatArray) -> dict[tuple[str, Any], float]:
        """Return prices [R] by rule and key."""
        return {key: float(price) for key, price in zip(self.keys, prices, strict=True)}

    @property
    def component(self) -> IntArray:
        """Return the number of the component of each course [Q]."""
        return np.repeat(np.arange(self.components_count), np.diff(self.start))


@dataclass
class _Entries:
    """Entries (place, row, value) of a sparse matrix, put together part by part."""

    places: list[IntArray]
    rows: list[IntArray]
    values: list[FloatArray]

    def add(self, places: pd.Series, rows: pd.Series, values: pd.Series) -> None:
        self.places.append(places.to_numpy(dtype=np.int64))
        self.rows.append(rows.to_numpy(dtype=np.int64))
        self.values.append(values.to_numpy(dtype=float))

    def matrix(self, height: int, width: int) -> sparse.csr_array:
        at = (np.concatenate(self.places), np.concatenate(self.rows))
        return sparse.csr_array((np.concatenate(self.values), at), shape=(height, width))


def _nothing() -> _Entries:
    none = np.zeros(0, dtype=np.int64)
    return _Entries([none], [none], [np.zeros(0)])


def _numbers(names: pd.Series, first: int = 0) -> pd.Series:
    return pd.Series(np.arange(first, first + len(names)), names.to_numpy())


class _Build:
    """Rows and shared columns on their way; each rule adds its own."""

    def __init__(self, choices: Choices) -> None:
        self.choices = choices
        self.place_of = _numbers(choices.placements["placement"])
        self.keys: list[tuple[str, Any]] = []
        self.amounts: list[FloatArray] = [np.zeros(0)]
        self.use, self.give = _nothing(), _nothing()
        self.shared = self._shared()
        self.column_of = {kind: own for kind, own in self.shared.groupby("kind")}

    def _shared(self) -> pd.DataFrame:
        """Return one row a shared column: kind, name, period, cost, most."""
        choices, names = self.choices, ["name", "period", "cost", "most"]
        made = choices.access[~choices.access["is_given"]].assign(most=1.0)
        longer = choices.periods[choices.periods["max_extension_days"] > 0]
        parts = {
            "y": made[["access", "period", "pv_cost", "most"]],
            "e": longer.assign(name=longer["period"])[
                ["name", "period", "day_pv_cost", "max_extension_days"]
            ],
            "t": choices.overtimes[["overtime", "period", "pv_cost_per_hour", "most_hours"]],
        }
        tables = [own.set_axis(names, axis=1).assign(kind=kind) for kind, own in parts.items()]
        return pd.concat(tables, ignore_index=True)

    def columns(self, kind: str) -> pd.Series:
        """Return the number of each shared column of a kind by its name."""
        own = self.column_of.get(kind, self.shared.iloc[:0])
        return pd.Series(own.index.to_numpy(), own["name"].to_numpy())

    def rows(self, rule: str, names: list[Any], amounts: FloatArray) -> int:
        """Add rows; return the number of the first."""
        first = len(self.keys)
        self.keys += [(rule, name) for name in names]
        self.amounts.append(np.asarray(amounts, dtype=float))
        return first

    def limits(self) -> None:
        """Add the limits that could be reached."""
        choices, bound = self.choices, limits.binding_limits(self.choices)
        first = self.rows(limits.NAME, list(bound["limit"]), bound["amount"].to_numpy())
        row_of = _numbers(bound["limit"], first)
        uses = choices.uses[choices.uses["limit"].isin(row_of.index)]
        place, row = uses["placement"].map(self.place_of), uses["limit"].map(row_of)
        self.use.add(place, row, uses["amount"])
        made = self.columns("y")
        sets = choices.access_uses
        sets = sets[sets["limit"].isin(row_of.index) & sets["access"].isin(made.index)]
        self.give.add(sets["access"].map(made), sets["limit"].map(row_of), -sets["amount"])
        for kind, name, part in (
            ("e", "period", "extension_amount"),
            ("t", "overtime", "overtime_share"),
        ):
            column = self.columns(kind)
            own = bound[bound[name].isin(column.index) & (bound[part] > 0)]
            self.give.add(own[name].map(column), own["limit"].map(row_of), own[part])

    def links(self) -> None:
        """Add the links."""
        terms = self.choices.link_terms
        own = self.choices.links[self.choices.links["link"].isin(terms["link"])]
        first = self.rows(links.NAME, list(own["link"]), own["most"].to_numpy())
        row_of = _numbers(own["link"], first)
        self.use.add(
            terms["placement"].map(self.place_of), terms["link"].map(row_of), terms["factor"]
        )

    def pairs(self, rule: str, table: pd.DataFrame, value: pd.Series, kind: str) -> None:
        """Add one row a component and shared column: what its placements use is given by that.

        `table` has name (of the column), component and placement.
        """
        keys = table[["name", "component"]].drop_duplicates()
        names = list(zip(keys["name"], keys["component"], strict=True))
        first = self.rows(rule, names, np.zeros(len(names)))
        at = pd.MultiIndex.from_frame(keys)
        rows = pd.Series(at.get_indexer(pd.MultiIndex.from_frame(table[["name", "component"]])))
        self.use.add(table["placement"].map(self.place_of), rows + first, value)
        column = keys["name"].map(self.columns(kind))
        is_there = column.notna().to_numpy()
        numbers = pd.Series(np.arange(first, first + len(names)))[is_there]
        self.give.add(column[is_there], numbers, pd.Series(1.0, numbers.index))


def _access(build: _Build) -> None:
    choices = build.choices
    members = choices.access_members
    members = members[members["access"].isin(build.columns("y").index)]
    placed = choices.placements[["placement", "component"]]
    table = members.rename(columns={"access": "name"}).merge(placed, on="placement")
    build.pairs(access.NAME, table, pd.Series(1.0, table.index), "y")


def _days(build: _Build) -> None:
    long = build.choices.placements
    long = long[long["extension_days"] > 0].rename(columns={"period": "name"})
    build.pairs(outage_days.NAME, long, long["extension_days"], "e")


def _works(choices: Choices, places: pd.Series) -> IntArray:
    """Return the placements of each course [Q, K], the number of all where there is none."""
    works = choices.works
    row = works["course"].map(_numbers(choices.courses["course"])).to_numpy(dtype=np.int64)
    order = np.argsort(row, kind="stable")
    row = row[order]
    place = works["placement"].map(places).to_numpy(dtype=np.int64)[order]
    counts = np.bincount(row, minlength=len(choices.courses))
    firsts = np.concatenate([[0], np.cumsum(counts)])[:-1]
    size = (len(choices.courses), int(counts.max(initial=1)))
    found: IntArray = np.full(size, len(places), dtype=np.int64)
    found[row, np.arange(len(row)) - firsts[row]] = place
    return found


def _tail(choices: Choices) -> tuple[FloatArray, FloatArray, float]:
    """Return the risk in scenarios that make the tail, their largest weights, and their sum."""
    told = choices.tail
    if told is None or not tail.counts(choices):
        return np.zeros((len(choices.courses), 0)), np.zeros(0), 0.0
    weight = told.lives.weight_share
    return told.risk_pv_cost, weight * told.chances / told.lives.worst_share, weight


def arrays_of(choices: Choices) -> Arrays:
    """Return the arrays of some choices; their courses stand component by component.

    Of uncertain lives `cost` holds the mean's part (see `course_cost`), `risk` the tail's.
    """
    build = _Build(choices)
    build.limits()
    build.links()
    _access(build)
    _days(build)
    names = choices.courses["component"].to_numpy()
    changes = np.flatnonzero(names[1:] != names[:-1]) + 1
    shape = (len(build.place_of), len(build.keys))
    shared, periods = build.shared, _numbers(choices.periods["period"])
    return Arrays(
        choices.courses["course"].to_numpy(dtype=np.int64),
        np.concatenate([[0], changes, [len(names)]]).astype(np.int64),
        np.asarray(course_cost(choices)), _works(choices, build.place_of),
        choices.placements["placement"].to_numpy(dtype=np.int64),
        build.use.matrix(*shape), build.give.matrix(len(shared), shape[1]),
        np.concatenate(build.amounts), shared["cost"].to_numpy(dtype=float),
        shared["most"].to_numpy(dtype=float),
        tuple(zip(shared["kind"], shared["name"], strict=True)), tuple(choices.periods["period"]),
        pd.factorize(choices.periods["unit"], sort=True)[0],
        choices.placements["period"].map(periods).to_numpy(dtype=np.int64),
        shared["period"].map(periods).to_numpy(dtype=np.int64), tuple(build.keys),
        choices.shared_pv_cost, *_tail(choices),
    )  # fmt: skip
