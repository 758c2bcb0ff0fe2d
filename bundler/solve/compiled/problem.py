"""The problem as flat arrays for compiled loops, and a plan as it stands in them."""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from bundler.choice import FloatArray
from bundler.program import limits, links
from bundler.solve.arrays import Arrays

#: whole numbers of any width: 32 bits where there are many
IntArray = NDArray[Any]
#: rows may be overfull by this share of their amount, as the solver allows
TOLERANCE = 1e-6


class Lists(NamedTuple):
    """Lists of different lengths, end to end: list i is item[start[i]:start[i + 1]]."""

    start: IntArray
    item: IntArray
    value: FloatArray


class Problem(NamedTuple):
    """What never changes during a search.

    Courses [Q] by component: start, cost, works [Q, K]; order, the courses of each component from
    the cheapest on. Placements [P + 1], the last is none: use of rows, needs of access sets,
    period and missing days. Sets [Y]: their price and use of rows. Rows [R] (limits, links):
    amount, small (what counts as nothing), period (-1: nothing relieves it), per_day, band (-1: no
    overtime) and part. Periods [O]: rows that can be relieved, long placements, day_cost,
    most_days, bands. Bands [B]: hour_cost, most_hours. owner [P + 1] is the component of a
    placement, users the placements that use each row.
    """

    start: IntArray
    cost: FloatArray
    works: IntArray
    order: IntArray
    component: IntArray
    use: Lists
    need: Lists
    period: IntArray
    missing: FloatArray
    set_cost: FloatArray
    set_use: Lists
    amount: FloatArray
    small: FloatArray
    row_period: IntArray
    per_day: FloatArray
    band: IntArray
    part: FloatArray
    users: Lists
    owner: IntArray
    period_rows: Lists
    period_long: Lists
    period_bands: Lists
    day_cost: FloatArray
    most_days: FloatArray
    hour_cost: FloatArray
    most_hours: FloatArray


class State(NamedTuple):
    """A plan: chosen course of each component, use of rows, members of sets, relief of periods.

    cost[0] is the whole cost but for the constant. The rest is scratch of the loops: add and
    rows, sets and periods that are touched, each with its mark, list and count.
    """

    chosen: IntArray
    used: FloatArray
    members: IntArray
    placed: IntArray
    days: FloatArray
    relief: FloatArray
    cost: FloatArray
    add: FloatArray
    row_mark: IntArray
    row_list: IntArray
    set_mark: IntArray
    set_list: IntArray
    period_mark: IntArray
    period_list: IntArray
    longest: FloatArray
    hours: FloatArray
    steep: FloatArray
    counts: IntArray
    broken: IntArray


def _lists(table: sparse.csr_array) -> Lists:
    table = sparse.csr_array(table)
    table.sort_indices()
    return Lists(
        table.indptr.astype(np.int64), table.indices.astype(np.int32), table.data.astype(float)
    )


def _grouped(group: IntArray, count: int) -> Lists:
    """Return which items (by place) belong to each of `count` groups; group -1 is none."""
    item = np.flatnonzero(group >= 0)
    item = item[np.argsort(group[item], kind="stable")]
    counts = np.bincount(group[item], minlength=count)
    start = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
    return Lists(start, item.astype(np.int32), np.zeros(len(item)))


def _owners(arrays: Arrays) -> IntArray:
    """Return the component of each placement."""
    found = np.zeros(len(arrays.placements) + 1, dtype=np.int32)
    for column in arrays.works.T:
        found[column] = arrays.component
    return found


def _ordered(arrays: Arrays) -> IntArray:
    """Return the courses of each component from the cheapest on."""
    return np.lexsort((arrays.cost, arrays.component)).astype(np.int32)


def problem_of(arrays: Arrays) -> Problem:
    """Return the flat arrays of a relaxed problem."""
    kinds = np.array([rule for rule, _ in arrays.keys] or [""])
    count = int(np.isin(kinds, (limits.NAME, links.NAME)).sum())
    kind = np.array([kind for kind, _ in arrays.shared_name] or [""])
    sets, days, bands = (np.flatnonzero(kind == letter) for letter in "yet")
    periods = list(arrays.periods)
    give = arrays.give
    none = sparse.csr_array((1, arrays.use.shape[1]))
    use = sparse.csr_array(sparse.vstack([arrays.use, none]))
    own = sparse.csr_array(use[:, :count])
    pairs = sparse.csr_array(use[:, count:])
    pair_set = sparse.csr_array(abs(give[sets][:, count:]).T)
    need = sparse.csr_array(pairs @ pair_set)
    day_rows = np.array([rule == "outage_days" for rule, _ in arrays.keys[count:]], dtype=bool)
    missing = np.asarray(pairs[:, np.flatnonzero(day_rows)].sum(axis=1)).ravel()
    period = np.append(arrays.placement_period, -1).astype(np.int32)
    by_day, by_band = give[days][:, :count].tocoo(), give[bands][:, :count].tocoo()
    row_period = np.full(count, -1, dtype=np.int32)
    per_day, part = np.zeros(count), np.ones(count)
    band = np.full(count, -1, dtype=np.int32)
    per_day[by_day.col] = by_day.data
    row_period[by_day.col] = arrays.shared_period[days][by_day.row]
    band[by_band.col], part[by_band.col] = by_band.row, by_band.data
    row_period[by_band.col] = arrays.shared_period[bands][by_band.row]
    day_cost, most_days = np.zeros(len(periods)), np.zeros(len(periods))
    day_cost[arrays.shared_period[days]] = arrays.shared_cost[days]
    most_days[arrays.shared_period[days]] = arrays.most[days]
    amount = arrays.amount[:count]
    return Problem(
        arrays.start, arrays.cost, arrays.works.astype(np.int32),
        _ordered(arrays),
        arrays.component.astype(np.int32),
        _lists(own), _lists(need), period, missing, arrays.shared_cost[sets],
        _lists(sparse.csr_array(-give[sets][:, :count])), amount,
        TOLERANCE * np.maximum(np.abs(amount), 1.0), row_period, per_day, band, part,
        _lists(sparse.csr_array(own.T)), _owners(arrays),
        _grouped(row_period, len(periods)),
        _grouped(np.where(missing > 0, period, -1), len(periods)),
        _grouped(arrays.shared_period[bands], len(periods)),
        day_cost, most_days, arrays.shared_cost[bands], arrays.most[bands],
    )  # fmt: skip


def empty_state(problem: Problem) -> State:
    """Return a state in which no component has a course yet (chosen -1)."""
    rows, sets = len(problem.amount), len(problem.set_cost)
    periods, none = len(problem.day_cost), np.int32
    return State(
        np.full(len(problem.start) - 1, -1, dtype=np.int64), np.zeros(rows),
        np.zeros(sets, dtype=none), np.zeros(len(problem.period), dtype=none),
        np.zeros(periods), np.zeros(periods), np.zeros(1), np.zeros(rows),
        np.zeros(rows, dtype=none), np.zeros(rows, dtype=none),
        np.zeros(sets, dtype=none), np.zeros(sets, dtype=none),
        np.zeros(periods, dtype=none), np.zeros(periods, dtype=none),
        np.zeros(periods), np.zeros(len(problem.hour_cost)), np.zeros(len(problem.hour_cost)),
        np.zeros(5, dtype=np.int64), np.zeros(rows, dtype=none),
    )  # fmt: skip
