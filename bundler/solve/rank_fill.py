"""The list a planner would make by hand: rank by benefit per hour, fill while it fits."""

from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from scipy import sparse

from bundler.choice import Choices, FloatArray, IntArray

#: passes over the list; a second one takes in what the first refused for want of a partner
PASSES = 3


@dataclass
class _State:
    """What the list holds so far: use of every row, made access, and its cost."""

    used: FloatArray
    access_count: FloatArray
    course: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class _Rows:
    """Courses against rows (limits, then links) and access sets, as sparse matrices."""

    by_row: sparse.csr_array
    by_access: sparse.csr_array
    access_row: sparse.csr_array
    most: FloatArray
    scale: FloatArray
    access_cost: FloatArray


def _matrix(
    row: pd.Series,
    column: pd.Series,
    shape: tuple[int, int],
    values: FloatArray,
) -> sparse.csr_array:
    at = (row.to_numpy(dtype=np.int64), column.to_numpy(dtype=np.int64))
    return sparse.csr_array((values, at), shape=shape)


def _count(numbers: pd.Series) -> int:
    """Return how many numbers there are up to the largest; some in between may not be in use."""
    return int(numbers.max()) + 1 if len(numbers) else 0


def _rows(choices: Choices) -> _Rows:
    """Return the rows that a list has to keep, without extension and overtime."""
    limit_at = pd.Series(np.arange(len(choices.limits)), choices.limits["limit"])
    link_at = pd.Series(np.arange(len(choices.links)) + len(limit_at), choices.links["link"])
    given = choices.access[~choices.access["is_given"]]
    access_at = pd.Series(np.arange(len(given)), given["access"])
    last = len(limit_at) + len(link_at)  # one more row: days by which works are too long
    size = (_count(choices.placements["placement"]), last + 1)
    uses, terms, works_too_long = choices.uses, choices.link_terms, choices.placements
    place = pd.concat([uses["placement"], terms["placement"], works_too_long["placement"]])
    row = pd.concat([uses["limit"].map(limit_at), terms["link"].map(link_at)])
    row = pd.concat([row, pd.Series(last, works_too_long.index)])
    columns = [uses["amount"], terms["factor"], works_too_long["extension_days"]]
    value = np.concatenate([column.to_numpy(dtype=float) for column in columns])
    placed = _matrix(place, row, size, value)
    works = choices.works
    held = _matrix(
        works["course"],
        works["placement"],
        (_count(choices.courses["course"]), size[0]),
        np.ones(len(works)),
    )
    members = choices.access_members[choices.access_members["access"].isin(access_at.index)]
    needs = _matrix(
        members["placement"],
        members["access"].map(access_at),
        (size[0], len(given)),
        np.ones(len(members)),
    )
    sets = choices.access_uses
    opened = _matrix(
        sets["access"].map(access_at),
        sets["limit"].map(limit_at),
        (len(given), size[1]),
        sets["amount"].to_numpy(dtype=float),
    )
    amounts = [choices.limits["amount"], choices.links["most"], pd.Series([0.0])]
    most = np.concatenate([column.to_numpy(dtype=float) for column in amounts])
    return _Rows(
        sparse.csr_array(held @ placed), sparse.csr_array(held @ needs), opened, most,
        np.maximum(np.abs(most), 1.0), given["pv_cost"].to_numpy(),
    )  # fmt: skip


def _breach(rows: _Rows, used: FloatArray, columns: IntArray | slice) -> FloatArray:
    """Return by how much some rows are broken in all, each in shares of its amount."""
    over = np.maximum(used - rows.most[columns] - 1e-6, 0.0) / rows.scale[columns]
    result: FloatArray = over.sum(axis=-1)
    return result


@dataclass(frozen=True)
class _Own:
    """One component's courses, cheapest first, on the rows and access sets they touch."""

    courses: IntArray
    columns: IntArray
    sets: IntArray
    by_row: FloatArray
    by_access: FloatArray
    access_row: FloatArray


def _own(rows: _Rows, courses: IntArray) -> _Own:
    """Return the part of the rows that a component's courses touch."""
    mine, needs = rows.by_row[courses], rows.by_access[courses]
    sets = np.unique(needs.indices).astype(np.int64)
    opened = rows.access_row[sets]
    columns = np.unique(np.concatenate([mine.indices, opened.indices])).astype(np.int64)
    return _Own(
        courses, columns, sets, mine[:, columns].toarray(), needs[:, sets].toarray(),
        opened[:, columns].toarray(),
    )  # fmt: skip


def _take(rows: _Rows, state: _State, component: str, own: _Own) -> bool:
    """Take the cheapest of the component's courses that break least; say whether it moved."""
    now = int(np.flatnonzero(own.courses == state.course[component])[0])
    before, counts_before = state.used[own.columns], state.access_count[own.sets]
    counts = counts_before - own.by_access[now] + own.by_access
    extra = (counts > 0.5).astype(float) - (counts_before > 0.5)
    used = before - own.by_row[now] + own.by_row + extra @ own.access_row
    broken = _breach(rows, used, own.columns)
    best = int(np.flatnonzero(broken <= broken.min() + 1e-9)[0])
    if best == now:
        return False
    state.used[own.columns] = used[best]
    state.access_count[own.sets] = counts[best]
    state.course[component] = int(own.courses[best])
    return True


def _order(choices: Choices, fewest: pd.Series) -> list[str]:
    """Return components by benefit per hour of their own best course, best first."""
    best = (
        choices.courses.sort_values(["component", "pv_cost", "course"]).groupby("component").first()
    )
    hours = choices.works.merge(choices.placements[["placement", "work_hours"]], on="placement")
    spent = hours.groupby("course")["work_hours"].sum()
    least = choices.courses.set_index("course")["pv_cost"][fewest.to_numpy()].to_numpy()
    gain = pd.Series(least, fewest.index) - best["pv_cost"]
    rank: pd.Series = gain / np.maximum(best["course"].map(spent).fillna(0.0), 1.0)
    return list(rank.sort_values(ascending=False, kind="stable").index)


def fewest_works(choices: Choices) -> pd.Series:
    """Return for each component the course with the fewest works, then of least cost.

    These hold nothing but what law and pins ask for.
    """
    counts = choices.works.groupby("course").size()
    table = choices.courses.assign(works_count=choices.courses["course"].map(counts).fillna(0))
    table = table.sort_values(["component", "works_count", "pv_cost", "course"])
    return table.groupby("component")["course"].first()


def full_cost(choices: Choices, courses: IntArray) -> float:
    """Return what courses cost with the access they open and the days they need [present value].

    Limits and links are not looked at.
    """
    cost = float(choices.courses.loc[choices.courses["course"].isin(courses), "pv_cost"].sum())
    placed = choices.works.loc[choices.works["course"].isin(courses), "placement"]
    sets = choices.access_members.loc[choices.access_members["placement"].isin(placed), "access"]
    is_paid = choices.access["access"].isin(sets) & ~choices.access["is_given"]
    works = choices.placements[choices.placements["placement"].isin(placed)]
    days = works.groupby("period")["extension_days"].max()
    price = choices.periods.set_index("period")["day_pv_cost"]
    longer = float((days * price.reindex(days.index)).sum())
    opened = float(choices.access.loc[is_paid, "pv_cost"].sum())
    return cost + opened + longer + choices.shared_pv_cost


@dataclass(frozen=True)
class RankFill:
    """The list: its courses, its cost, and by how much it still breaks rows (0: it holds)."""

    courses: tuple[int, ...]
    pv_cost: float
    breach: float


def rank_fill(choices: Choices) -> RankFill:
    """Return the list by benefit per hour in which each takes its cheapest course that fits.

    No outage is lengthened and no overtime worked. Starts from what law and pins ask for.
    """
    rows, fewest = _rows(choices), fewest_works(choices)
    start = fewest.to_numpy()
    counts = np.asarray(rows.by_access[start].sum(axis=0)).ravel()
    used = np.asarray(rows.by_row[start].sum(axis=0)).ravel() + (counts > 0.5) @ rows.access_row
    state = _State(used, counts, {str(name): int(q) for name, q in fewest.items()})
    ranked = choices.courses.sort_values(["component", "pv_cost", "course"])
    own = {str(name): group["course"].to_numpy() for name, group in ranked.groupby("component")}
    parts = {name: _own(rows, courses) for name, courses in own.items()}
    order = _order(choices, fewest)
    for _ in range(PASSES):
        moved = [_take(rows, state, name, parts[name]) for name in order]
        if not any(moved):
            break
    cost = choices.courses.set_index("course")["pv_cost"]
    total = float(cost[list(state.course.values())].sum())
    total += float(rows.access_cost[state.access_count > 0.5].sum()) + choices.shared_pv_cost
    breach = float(_breach(rows, state.used, slice(None)))
    return RankFill(tuple(sorted(state.course.values())), total, breach)
