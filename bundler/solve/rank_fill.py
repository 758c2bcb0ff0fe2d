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


def _rows(choices: Choices) -> _Rows:
    """Return the rows that a list has to keep, without extension and overtime."""
    limit_at = pd.Series(np.arange(len(choices.limits)), choices.limits["limit"])
    link_at = pd.Series(np.arange(len(choices.links)) + len(limit_at), choices.links["link"])
    given = choices.access[~choices.access["is_given"]]
    access_at = pd.Series(np.arange(len(given)), given["access"])
    last = len(limit_at) + len(link_at)  # one more row: days by which works are too long
    size = (len(choices.placements), last + 1)
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
        (len(choices.courses), size[0]),
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
        (held @ placed).tocsr(), (held @ needs).tocsr(), opened, most,
        np.maximum(np.abs(most), 1.0), given["pv_cost"].to_numpy(),
    )  # fmt: skip


def _breach(rows: _Rows, used: FloatArray) -> FloatArray:
    """Return by how much rows are broken in all, each in shares of its amount."""
    result: FloatArray = (np.maximum(used - rows.most - 1e-6, 0.0) / rows.scale).sum(axis=-1)
    return result


def _take(rows: _Rows, state: _State, component: str, courses: IntArray) -> bool:
    """Take the first of `courses` that breaks no more than the list breaks now."""
    now = state.course[component]
    base_used = state.used - rows.by_row[[now]].toarray()[0]
    base_access = state.access_count - rows.by_access[[now]].toarray()[0]
    counts = base_access + rows.by_access[courses].toarray()
    extra = (counts > 0.5).astype(float) - (state.access_count > 0.5)
    used = base_used + rows.by_row[courses].toarray() + extra @ rows.access_row
    fits = np.flatnonzero(_breach(rows, used) <= _breach(rows, state.used) + 1e-9)
    if len(fits) == 0 or courses[fits[0]] == now:
        return False
    first = fits[0]
    state.used, state.access_count = used[first], counts[first]
    state.course[component] = int(courses[first])
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
    """Return for each component the course with the fewest works (then least cost): nothing but
    what law and pins ask for.
    """
    counts = choices.works.groupby("course").size()
    table = choices.courses.assign(works_count=choices.courses["course"].map(counts).fillna(0))
    table = table.sort_values(["component", "works_count", "pv_cost", "course"])
    return table.groupby("component")["course"].first()


@dataclass(frozen=True)
class RankFill:
    """The list: its courses, its cost, and by how much it still breaks rows (0: it holds)."""

    courses: tuple[int, ...]
    pv_cost: float
    breach: float


def rank_fill(choices: Choices) -> RankFill:
    """Return the plan of rank-and-fill: by benefit per hour, each takes its cheapest course that fits.

    No outage is lengthened and no overtime worked. Starts from what law and pins ask for.
    """
    rows, fewest = _rows(choices), fewest_works(choices)
    start = fewest.to_numpy()
    counts = np.asarray(rows.by_access[start].sum(axis=0)).ravel()
    used = np.asarray(rows.by_row[start].sum(axis=0)).ravel() + (counts > 0.5) @ rows.access_row
    state = _State(used, counts, {str(name): int(q) for name, q in fewest.items()})
    ranked = choices.courses.sort_values(["component", "pv_cost", "course"])
    own = {str(name): group["course"].to_numpy() for name, group in ranked.groupby("component")}
    for _ in range(PASSES):
        moved = [_take(rows, state, name, own[name]) for name in _order(choices, fewest)]
        if not any(moved):
            break
    cost = choices.courses.set_index("course")["pv_cost"]
    total = float(cost[list(state.course.values())].sum())
    total += float(rows.access_cost[state.access_count > 0.5].sum())
    return RankFill(tuple(sorted(state.course.values())), total, float(_breach(rows, state.used)))
