"""Picture of a life: probability plot, readings and their trend, mean number of failures."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, MaxNLocator, NullLocator
from numpy.typing import ArrayLike

from bundler.errors import BundlerError
from bundler.explain.life_report import LifeReport
from bundler.explain.reading_trend import ReadingTrend
from bundler.life.curves import FloatArray
from bundler.report.figures import DARK, MIDDLE

#: shares failed that are marked on a probability plot [%]
MARKS = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 80, 95, 99, 99.9)
#: ages that are marked there [years]
AGES = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
#: kinds of file that a picture is written as
ENDINGS = (".png", ".svg", ".pdf")
#: chances between which a band is drawn
EDGES = (1e-12, 1 - 1e-12)
#: fill of bands, light enough for lines and points over it
PALE = "#b9c7d3"


def paper(failed_share: ArrayLike) -> FloatArray:
    """Return ln(-ln(1 - F)), the height of a share failed on Weibull paper; nan at 0 and 1."""
    share = np.asarray(failed_share, dtype=float)
    inside = (share > 0) & (share < 1)
    height: FloatArray = np.log(-np.log1p(-np.where(inside, share, np.nan)))
    return height


def _dressed(axes: Axes, title: str) -> None:
    axes.spines[["top", "right"]].set_visible(False)
    axes.grid(color="#dddddd", linewidth=0.6)
    axes.set_axisbelow(True)
    axes.set_title(title, loc="left", fontsize=10)


def _ends(report: LifeReport) -> tuple[float, float]:
    """Return the ages between which a probability plot is drawn [years]."""
    if len(report.fit.band):
        return float(report.fit.band["age_years"].min()), float(report.fit.band["age_years"].max())
    lives = report.lives
    last = float(np.where(lives.is_running, lives.low_years, lives.high_years).max())
    return max(last / 20, 1e-3), 3 * max(last, 1e-2)


def _mark_paper(axes: Axes, ends: tuple[float, float], low_percent: float) -> None:
    """Mark a probability plot in years and % failed, from the lowest mark that is wanted."""
    marks = [mark for mark in MARKS if mark >= low_percent]
    heights = paper(np.array(marks) / 100)
    axes.set_xscale("log")
    axes.set_xlim(*ends)
    axes.set_ylim(float(heights[0]), float(heights[-1]))
    axes.yaxis.set_major_locator(FixedLocator(heights.tolist()))
    axes.set_yticklabels([f"{mark:g}" for mark in marks])
    ages = [age for age in AGES if ends[0] <= age <= ends[1]]
    axes.xaxis.set_major_locator(FixedLocator(ages))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.set_xticklabels([f"{age:g}" for age in ages])
    axes.set_ylabel("failed [%]")


def _draw_fit(axes: Axes, report: LifeReport) -> None:
    band, best = report.fit.band, report.fit.best
    if best is None:
        return
    middle, low, high = (
        paper(band[name].clip(*EDGES)) for name in ("failed_chance", "low_chance", "high_chance")
    )
    axes.fill_between(band["age_years"], low, high, color=PALE, label="90 % profile band")
    axes.plot(band["age_years"], middle, color=DARK, linewidth=2, label=f"{best.kind} fit")


def _draw_points(axes: Axes, report: LifeReport) -> None:
    points = report.fit.points
    if points.empty:
        return
    height = paper(points["failed_share"].to_numpy())
    low, high = points["low_years"].to_numpy(), points["high_years"].to_numpy()
    exact = low == high
    if exact.any():
        axes.plot(
            low[exact], height[exact], "o", color="black", markersize=4.5, label="failures seen"
        )
    if not exact.all():
        start, end, level = (
            np.maximum(low, axes.get_xlim()[0])[~exact],
            high[~exact],
            height[~exact],
        )
        axes.hlines(level, start, end, color="black", linewidth=2, label="failed between two looks")
        axes.plot(np.sqrt(start * end), level, "o", color="white", mec="black", markersize=5)


def _plot_message(report: LifeReport) -> str:
    median = report.fit.bounds.get("50 % failed by")
    what = f"{report.family}{f', {report.mode}' if report.mode else ''}"
    if median is None:
        failed = f"{report.lives.failures_count:g} of {report.lives.items_count:g} records failed"
        return f"{what}: {failed}, which fix no life; the prior is used"
    if not report.fit.is_identified:
        return f"{what}: the life cannot be identified from its record"
    return (
        f"{what}: half have failed by {median.estimate:.3g} years "
        f"(90 %: {median.low:.3g} to {median.high:.3g})"
    )


def _draw_running(axes: Axes, report: LifeReport) -> None:
    """Draw a stroke above the axis at the age of each item that has not failed."""
    running = report.lives.low_years[report.lives.is_running]
    axes.plot(
        running, np.full(len(running), 0.02), "|", transform=axes.get_xaxis_transform(),
        color="black", markersize=8, label="not failed so far, or withdrawn",
    )  # fmt: skip


def _plot(report: LifeReport, axes: Axes) -> None:
    """Draw the record on Weibull paper: points, fit with its band, and the prior dashed."""
    ends, seen = _ends(report), report.fit.points["failed_share"]
    lowest = min(50 * float(seen.min()), 1.0) if len(seen) else 1.0
    _mark_paper(axes, ends, max((mark for mark in MARKS if mark <= lowest), default=MARKS[0]))
    _draw_fit(axes, report)
    ages = np.geomspace(*ends, 200)
    height = paper(-np.expm1(-report.prior.curve.cumulative_hazard(ages)))
    axes.plot(ages, height, color=MIDDLE, linestyle="--", linewidth=2, label="prior")
    _draw_points(axes, report)
    _draw_running(axes, report)
    late = int(report.lives.count(report.lives.entry_years > 0))
    entry = f" ({late} records enter late, at an age above 0)" if late else ""
    axes.set_xlabel(f"age [years]{entry}")
    axes.legend(frameon=False, fontsize=8, loc="upper left")
    _dressed(axes, _plot_message(report))


def _reading_message(report: LifeReport, trend: ReadingTrend) -> str:
    own = report.own
    if own is None or not np.isfinite(own.median_left_years):
        return f"{report.name}: {trend.name}"
    year = report.planning_years + own.median_left_years
    return f"{report.name}: even chance of being at the limit by {year:.0f}"


def _draw_ahead(axes: Axes, now: float, trend: ReadingTrend) -> None:
    """Draw the trend with its spread; grades go in steps."""
    ahead, is_grade = trend.ahead, trend.model == "grade"
    years = now + ahead["years"]
    axes.fill_between(
        years, ahead["low_value"], ahead["high_value"], color=PALE,
        step="post" if is_grade else None, label="90 % of what may come",
    )  # fmt: skip
    axes.plot(years, ahead["value"], color=DARK, linewidth=2, label="trend")
    if is_grade:
        axes.yaxis.set_major_locator(MaxNLocator(integer=True))


def _read(report: LifeReport, trend: ReadingTrend, axes: Axes) -> None:
    """Draw readings with their errors, their trend with its spread, limit and planning date."""
    now, told = report.planning_years, trend.readings
    _draw_ahead(axes, now, trend)
    axes.axhline(trend.limit_value, color=MIDDLE, linestyle="--", linewidth=2, label="limit")
    axes.axvline(now, color="black", linestyle=":", linewidth=1.2, label="planning date")
    error = told["error_value"].to_numpy()
    axes.errorbar(
        now + told["years"], told["reading_value"], yerr=error if error.any() else None, fmt="o",
        color="black", capsize=3, markersize=4.5,
        label="readings +/- 1 sd" if error.any() else "readings",
    )  # fmt: skip
    axes.ticklabel_format(axis="x", useOffset=False)
    axes.set_xlabel("calendar year")
    axes.set_ylabel(f"{trend.name} [{trend.measure}]")
    axes.legend(frameon=False, fontsize=8)
    _dressed(axes, _reading_message(report, trend))


def _counts_message(report: LifeReport) -> str:
    told = {
        "deteriorating": "failures come faster with age",
        "improving": "failures come slower with age",
        "no trend": "no trend with age is found",
    }
    word = report.items.trend.word if report.items.trend is not None else ""
    return f"{report.family}: {told.get(word, 'too few failures to tell a trend')}"


def _counted(report: LifeReport, axes: Axes) -> None:
    """Draw the mean cumulative number of failures of an item with its bounds."""
    counts, histories = report.items.counts, report.items.histories
    end = max(history.end_years for history in histories)
    start = min(history.start_years for history in histories)
    ages = np.array([start, *counts["age_years"], end])

    def steps(name: str) -> FloatArray:
        values = counts[name].to_numpy()
        return np.array([0.0, *values, values[-1]])

    axes.fill_between(
        ages, steps("low_count"), steps("high_count"), step="post", color=PALE, label="90 % bounds"
    )
    axes.step(ages, steps("mean_count"), where="post", color=DARK, linewidth=2, label="mean")
    lives = report.lives
    found = " (failures at the day found)" if (~lives.is_exact & ~lives.is_running).any() else ""
    axes.set_xlabel(f"age since new or renewed [years]{found}")
    since = f" since {start:.1f} years" if start > 0 else ""
    axes.set_ylabel(f"failures of an item{since} [number]")
    axes.legend(frameon=False, fontsize=8, loc="upper left")
    _dressed(axes, _counts_message(report))


def panels_of(report: LifeReport) -> list[Callable[[Axes], None]]:
    """Return what can be drawn: a plot of the record, readings with a trend, failures counted."""
    panels: list[Callable[[Axes], None]] = []
    if report.own is not None:
        for trend in report.own.trends:
            if len(trend.ahead):
                panels.append(lambda axes, trend=trend: _read(report, trend, axes))  # type: ignore[misc]
    if report.has_record:
        panels.append(lambda axes: _plot(report, axes))
    if len(report.items.counts):
        panels.append(lambda axes: _counted(report, axes))
    return panels


def life_picture(report: LifeReport) -> Figure:
    """Return the picture of a life, a panel below the other; only those that exist.

    Raises BundlerError where there is neither a record nor a reading with a trend.
    """
    panels = panels_of(report)
    if not panels:
        raise BundlerError(
            f"There is nothing to draw for {report.name}: it has no record in lives.csv and no "
            "reading that leads to a limit."
        )
    figure = Figure(figsize=(8.0, 4.4 * len(panels)), dpi=120, layout="constrained")
    for axes, draw in zip(figure.subplots(len(panels), squeeze=False)[:, 0], panels, strict=True):
        draw(axes)
    return figure


def check_picture(path: Path) -> None:
    """Raise a BundlerError where a picture cannot be written to this place."""
    if path.suffix.lower() not in ENDINGS:
        raise BundlerError(f"{path} is no picture; let it end in one of {', '.join(ENDINGS)}.")
    if not path.parent.is_dir():
        raise BundlerError(
            f"There is no folder {path.parent}. Make it first, or name another place."
        )
    if path.is_dir():
        raise BundlerError(f"{path} is a folder; name a file for the picture.")


def save_picture(report: LifeReport, path: Path) -> None:
    """Write the picture of a life; the kind of file is told by its ending."""
    figure = life_picture(report)
    try:
        figure.savefig(path)
    except OSError as fault:
        raise BundlerError(f"The picture could not be written to {path}: {fault}.") from fault
