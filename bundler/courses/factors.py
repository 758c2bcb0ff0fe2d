"""The risk of every course at several lives, and at any life between them."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from bundler.case import Case
from bundler.choice import Choices, FloatArray, IntArray
from bundler.courses import costs
from bundler.courses.costing import Costing
from bundler.courses.described import described
from bundler.courses.exposure import Exposure, Works
from bundler.courses.lives import at_life
from bundler.courses.risk import stretch_risk
from bundler.courses.seen import Seen, all_seen
from bundler.courses.stretches import Stretches, stretches

Progress = Callable[[str, float], None]
#: life ratios at which a table is made if nobody says otherwise: even in ln ratio; our choice
NODES = np.geomspace(0.4, 2.5, 17)
#: nodes around a place that its risk is read from; six are within 0.1 % for smooth life curves
NEAR = 6


@dataclass(frozen=True)
class _Same:
    """Components whose courses carry the same risk: one of them, and the courses of each."""

    exposure: Exposure
    works: Works
    cut: Stretches
    rows: list[IntArray]


def _distinct(views: Iterable[tuple[IntArray, Seen]]) -> list[_Same]:
    """Return the different components; those that share curve and time stand side by side."""
    found: dict[object, _Same] = {}
    for rows, view in views:
        key = (costs.risk_key(view.exposure, view.works), view.steps.tobytes())
        if key not in found:
            cut = stretches(view.exposure, view.works, view.steps)
            found[key] = _Same(view.exposure, view.works, cut, [])
        found[key].rows.append(rows)
    return sorted(found.values(), key=_shared)


def _shared(same: _Same) -> tuple[str, str, bytes]:
    """Return what components have to have in common to share renewals."""
    exposure = same.exposure
    return exposure.on_failure, str(exposure.curve), exposure.grid_years.tobytes()


def _columns(same: list[_Same], factors: FloatArray) -> Iterator[tuple[_Same, int, FloatArray]]:
    """Yield the risk of each component's courses at each life, factor by factor in each group.

    So the renewals of a curve at one life serve all components of the group.
    """
    for _, members in groupby(same, key=_shared):
        group = list(members)
        for column, factor in enumerate(factors):
            for each in group:
                exposure, works = each.exposure, each.works
                if factor != 1.0:
                    exposure, works = at_life(exposure, works, float(factor))
                yield each, column, stretch_risk(exposure, works, each.cut)


def risk_at_factors(
    case: Case,
    choices: Choices,
    costing: Costing,
    factors: FloatArray = NODES,
    progress: Progress | None = None,
) -> FloatArray:
    """Return the risk of every course with its component's lives times each factor [n, K].

    Present value [money of the case]; rows in the order of `choices.courses`. A factor scales
    the lives as `at_life` does; all other components' lives do not touch a component's risk.
    Equal to `course_risk` of the scaled curves.

    Raises ValueError if a factor is not above 0.
    """
    views = all_seen(costing, choices, described(case))
    return risk_of_seen(views, len(choices.courses), factors, progress)


def risk_of_seen(
    views: Iterable[tuple[IntArray, Seen]],
    courses_count: int,
    factors: FloatArray,
    progress: Progress | None = None,
) -> FloatArray:
    """Return the same for components that have been looked at: rows of courses and `Seen`."""
    factors = np.asarray(factors, dtype=float)
    if not (np.isfinite(factors) & (factors > 0)).all():
        raise ValueError(f"Life factors are {factors}; each has to be a number above 0.")
    same = _distinct(views)
    risks = np.zeros((courses_count, len(factors)))
    total = max(len(same) * len(factors), 1)
    for done, (each, column, risk) in enumerate(_columns(same, factors)):
        for rows in each.rows:
            risks[rows, column] = risk
        if progress is not None and done % 200 == 0:
            progress("risk at other lives", done / total)
    return risks


def _weights(nodes: FloatArray, at: FloatArray, size: int) -> tuple[IntArray, FloatArray]:
    """Return the `size` nearest nodes of each place, and their Lagrange weights [n, size]."""
    first = np.searchsorted(nodes, at, side="right") - size // 2
    columns = np.clip(first, 0, len(nodes) - size)[:, None] + np.arange(size)
    near = nodes[columns]
    weights = np.ones_like(near)
    for i in range(size):
        for j in range(size):
            if i != j:
                weights[:, i] *= (at - near[:, j]) / (near[:, i] - near[:, j])
    return columns.astype(np.int64), weights


def _read(risks: FloatArray, nodes: FloatArray, at: FloatArray) -> FloatArray:
    """Return the risk of each course at its own place among the nodes [n]."""
    columns, bent = _weights(nodes, at, min(NEAR, len(nodes)))
    around = np.take_along_axis(risks, columns, axis=1)
    has_risk = (around > 0).all(axis=1)
    logs = np.log(np.where(around > 0, around, 1.0))
    columns, straight = _weights(nodes, at, min(2, len(nodes)))
    plain = (np.take_along_axis(risks, columns, axis=1) * straight).sum(axis=1)
    return np.where(has_risk, np.exp((logs * bent).sum(axis=1)), plain)


def along(risks: FloatArray, factors: FloatArray, at: FloatArray) -> FloatArray:
    """Return the same as `interpolated` for lives that all courses share [n, m], much faster.

    The lives lie within the nodes.
    """
    nodes, places = np.log(np.asarray(factors, dtype=float)), np.log(np.asarray(at, dtype=float))
    bent, straight = np.zeros((2, len(places), len(nodes)))
    for matrix, size in ((bent, NEAR), (straight, 2)):
        columns, weights = _weights(nodes, places, min(size, len(nodes)))
        np.put_along_axis(matrix, columns, weights, axis=1)
    has_risk = risks > 0
    smooth: FloatArray = np.exp(np.log(np.where(has_risk, risks, 1.0)) @ bent.T)
    if has_risk.all():
        return smooth
    touched = (~has_risk).astype(float) @ (bent != 0).T.astype(float)
    return np.where(touched > 0, risks @ straight.T, smooth)


def interpolated(risks: FloatArray, factors: FloatArray, at: FloatArray) -> FloatArray:
    """Return risks at any life between the nodes: a polynomial in ln risk over ln factor.

    Parameters
    ----------
    risks : [n, K] as `risk_at_factors` returns them.
    factors : K rising life ratios, the nodes [-].
    at : life ratios, [m] the same for all courses or [n, m] for each its own [-].

    Returns
    -------
    Array [n, m]; through the six nearest nodes (Lagrange), straight in risk where one of them
    carries none. Within 0.1 % between `NODES` for smooth curves, 0.2 % for renewals of steep
    lives; a stepped curve on its own has kinks and may be 1 % off. Raises ValueError outside the
    nodes: nothing is extrapolated.
    """
    nodes = np.log(np.asarray(factors, dtype=float))
    wanted = np.asarray(at, dtype=float)
    if wanted.size and not (wanted.min() >= factors[0] and wanted.max() <= factors[-1]):
        raise ValueError(
            f"Life factors from {wanted.min():g} to {wanted.max():g} are asked for, the table "
            f"reaches from {factors[0]:g} to {factors[-1]:g}. Make the table wider."
        )
    places = np.broadcast_to(np.log(wanted), (len(risks), wanted.shape[-1]))
    result = np.zeros(places.shape)
    for column in range(places.shape[1]):
        result[:, column] = _read(risks, nodes, places[:, column])
    return result
