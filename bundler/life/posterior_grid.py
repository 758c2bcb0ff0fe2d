"""A density over two parameters on a grid that is laid where the density is."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import interpolate, optimize

from bundler.life.curves import FloatArray
from bundler.life.likelihood import WORST

#: log-densities along a row: of x values at one y
LogDensity = Callable[[FloatArray, float], FloatArray]

#: fall of the log-density below its best from which on it counts for nothing: 1.5e-8 of the best
DEEP = 18.0
#: share of the points that count at least while the grid is laid, so that a ridge that runs between
#: the first points is closed in on step by step
LEAST_SHARE = 0.1
#: points along x and y while the grid is laid, and when it is used; odd, so that halves nest
COARSE, FINE = (25, 19), (81, 61)
#: difference in mass that half of the points may make; the whole grid is then far closer, because
#: the error of equal steps over a smooth peak falls with exp(-1 / step^2)
CLOSE = 1e-3
ROUNDS = 60
#: how many times as many points are tried in turn
FINER = (1, 1, 1, 2, 2, 4)
#: coarser steps that are tried where fewer points are wanted; 1 always holds
STRIDES = (20, 16, 10, 8, 5, 4, 2, 1)


@dataclass(frozen=True, eq=False)
class Box:
    """A bent strip: x = centre(y) + u, y and u between their ends.

    The centre runs in straight lines through its knots, which reach to both ends of y. Each row is
    summed by itself: how well the centre follows a ridge only decides how few points are needed.
    """

    y_knots: FloatArray
    x_knots: FloatArray
    u_ends: tuple[float, float]
    y_ends: tuple[float, float]

    def points(self, counts: tuple[int, int]) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return u, y and x of so many points along u and y; one y where its ends meet."""
        low, high = self.y_ends
        u, y = np.linspace(*self.u_ends, counts[0]), np.linspace(low, high, counts[1])
        y = y if high > low else y[:1]
        return u, y, np.interp(y, self.y_knots, self.x_knots)[:, np.newaxis] + u


@dataclass(frozen=True, eq=False)
class Grid:
    """Points and weights of a density; rows are y, columns are x; weights sum to 1."""

    u: FloatArray
    y: FloatArray
    x: FloatArray
    log_density: FloatArray
    weights: FloatArray

    def mean(self, values: FloatArray) -> float:
        """Return the mean of values given at the points."""
        return float(np.sum(self.weights * values))

    def x_percentile(self, chance: float) -> float:
        """Return the x that is not passed with this chance.

        Splines through the density along each row, integrated; the rows are summed.
        """
        rows = interpolate.CubicSpline(self.u, self.weights, axis=1).antiderivative()
        shift = self.x[:, 0] - self.u[0]
        total = float(rows(self.u[-1]).sum())

        def over(x: float) -> float:
            at = np.clip(x - shift, self.u[0], self.u[-1])
            return float(np.diag(rows(at)).sum()) / total - chance

        return float(optimize.brentq(over, self.x.min(), self.x.max(), xtol=1e-12))

    def y_percentile(self, chance: float) -> float:
        """Return the y that is not passed with this chance."""
        if len(self.y) == 1:
            return float(self.y[0])
        curve = interpolate.CubicSpline(self.y, self.weights.sum(axis=1)).antiderivative()
        total = float(curve(self.y[-1]))

        def over(y: float) -> float:
            return float(curve(y)) / total - chance

        return float(optimize.brentq(over, self.y[0], self.y[-1], xtol=1e-12))

    def moments(self, strides: tuple[int, int]) -> FloatArray:
        """Return mass and first moments that every so-maniest point along u and y would give."""
        along, rows = strides
        weights = self.weights[::rows, ::along] * (rows * along)
        x = self.x - self.x.mean()
        y = self.y[::rows, np.newaxis] - self.y.mean()
        parts = weights, weights * x[::rows, ::along], weights * y
        return np.array([part.sum() for part in parts])

    def thinned(self, most_change: float) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return x, y and weights of the fewest points that keep mass and means so closely."""

        def holds(along: int, rows: int) -> bool:
            change = self.moments((along, rows)) - self.moments((1, 1))
            return bool(np.abs(change).max() < most_change)

        along = next(k for k in STRIDES if holds(k, 1))
        rows = 1 if len(self.y) == 1 else next(k for k in STRIDES if holds(1, k))
        weights, x = self.weights[::rows, ::along], self.x[::rows, ::along]
        y = np.broadcast_to(self.y[::rows, np.newaxis], x.shape)
        kept = weights > weights.max() * 1e-8
        share = weights[kept] / weights[kept].sum()
        return x[kept], y[kept], share


def _evaluated(log_density: LogDensity, box: Box, counts: tuple[int, int]) -> Grid:
    """Return the grid of a box. Raises ValueError where the density is nought everywhere."""
    u, y, x = box.points(counts)
    logs = np.array([log_density(xs, float(row)) for xs, row in zip(x, y, strict=True)])
    if not logs.max() > WORST / 2:
        raise ValueError(
            "The record cannot come from a life like its prior, however the two are weighed; look "
            "for an age, a unit or a kind of curve that is wrong."
        )
    weights = np.exp(logs - logs.max())
    return Grid(u, y, x, logs, weights / weights.sum())


def _closer(grid: Grid) -> Box:
    """Return the strip around all points that count; larger where they touch its edge."""
    logs = grid.log_density
    kept = logs > max(min(logs.max() - DEEP, np.quantile(logs, 1 - LEAST_SHARE)), WORST / 2)
    rows = kept.any(axis=1)
    y, best = grid.y[rows], logs[rows].max(axis=1, keepdims=True)
    weights = np.exp(logs[rows] - best)
    centre = (weights * grid.x[rows]).sum(axis=1) / weights.sum(axis=1)
    rest = (grid.x[rows] - centre[:, np.newaxis])[kept[rows]]
    bend = float(np.abs(np.diff(centre, 2)).max()) if len(y) > 2 else 0.0
    at_side, at_end = kept[:, [0, -1]].any(), kept[[0, -1]].any()
    pad_u = float(grid.u[1] - grid.u[0]) * (8 if at_side else 1) + bend / 2
    pad_y = float(grid.y[1] - grid.y[0]) * (8 if at_end else 1) if len(grid.y) > 1 else 0.0
    u_ends = float(rest.min()) - pad_u, float(rest.max()) + pad_u
    y_ends = float(y[0]) - pad_y, float(y[-1]) + pad_y
    if len(y) == 1:
        return Box(y, centre, u_ends, y_ends)
    ends = interpolate.interp1d(y, centre, fill_value="extrapolate")(y_ends)
    knots = np.concatenate([y_ends[:1], y, y_ends[1:]])
    return Box(knots, np.concatenate([ends[:1], centre, ends[1:]]), u_ends, y_ends)


def _is_settled(old: Box, new: Box) -> bool:
    """Return whether neither side changed by a tenth."""
    before, after = (
        np.array([box.u_ends[1] - box.u_ends[0], box.y_ends[1] - box.y_ends[0]])
        for box in (old, new)
    )
    return bool((np.abs(after - before) <= 0.1 * before).all())


def laid_grid(log_density: LogDensity, box: Box) -> Grid:
    """Return the grid of a density, laid around all of its mass however sharp or bent.

    The strip is laid again along the ridge until it settles; then the points are doubled until
    half of them give the same mass. Raises ValueError where the density is nought
    everywhere or no grid follows it.
    """
    for _ in range(ROUNDS):
        new = _closer(_evaluated(log_density, box, COARSE))
        if _is_settled(box, new):
            break
        box = new
    for finer in FINER:
        counts = (FINE[0] - 1) * finer + 1, (FINE[1] - 1) * finer + 1
        grid = _evaluated(log_density, new, counts)
        half = grid.moments((2, 2 if len(grid.y) > 1 else 1))[0]
        box, new = new, _closer(grid)
        if abs(half - 1) < CLOSE and _is_settled(box, new):
            return grid
    raise ValueError(
        "The record is too sharp for a weighing with its prior; fit it by maximum likelihood."
    )
