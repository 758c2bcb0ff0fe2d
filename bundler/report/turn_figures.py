"""Pictures of decisions on trial: what would turn them, and which inspection is worth buying."""

import textwrap
from collections.abc import Sequence

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.markers import CARETLEFTBASE, CARETRIGHTBASE
from matplotlib.ticker import FixedLocator, FuncFormatter, LogLocator, NullFormatter, NullLocator
from numpy.typing import ArrayLike

from bundler.life.curves import FloatArray
from bundler.report.figures import DARK, MIDDLE
from bundler.report.life_figures import PALE
from bundler.report.spread import money
from bundler.tables import rows

#: standard deviations on both sides that hold a share of a normal: its quantiles at 0.975, 0.84
SPANS = {"95 %": (1.959964, 4.0, PALE), "68 %": (0.994458, 8.0, "#5b7c99")}
#: fill of marks that lie on a bar, lighter than it in grey too
LIGHT = "#f6d3a4"
#: life ratios that are marked, and between which everything is drawn
RATIOS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 7, 10)
#: letters of a decision in a picture, and the part of the width that one takes
LONGEST, LETTER_SHARE = 46, 0.0086


def _plain(words: str) -> str:
    """Return words in which a currency sign does not begin a formula."""
    return words.replace("$", r"\$")


def _sheet(labels: Sequence[str], title: str, axis: str) -> tuple[Figure, Axes]:
    """Return a panel with a row a label, the first on top, on a logarithmic axis."""
    count = max(len(labels), 1)
    figure = Figure(figsize=(10.0, 0.58 * count + 1.7), dpi=120, layout="constrained")
    axes = figure.add_subplot()
    axes.spines[["top", "right", "left"]].set_visible(False)
    axes.grid(axis="x", color="#dddddd", linewidth=0.6)
    axes.set_axisbelow(True)
    axes.set_xscale("log")
    axes.set_ylim(count - 0.4, -0.6)
    axes.set_yticks(range(len(labels)), [_plain(label) for label in labels], fontsize=8)
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel(_plain(axis))
    axes.set_title(_plain(title), loc="left", fontsize=10, pad=24)
    return figure, axes


def _column(axes: Axes, right_points: float, head: str, cells: Sequence[str]) -> None:
    """Write a column of words under its head, ending so far right of a panel [points]."""
    for spot, words in enumerate([head, *cells], start=-1):
        axes.annotate(
            _plain(words), (1.0, max(spot, -0.6)), xycoords=axes.get_yaxis_transform(),
            xytext=(right_points, 0), textcoords="offset points", fontsize=8, ha="right",
            va="center" if spot >= 0 else "bottom",
        )  # fmt: skip


def _nothing(figure: Figure, axes: Axes, words: str) -> Figure:
    """Return a panel that only says why it is empty."""
    axes.xaxis.set_major_locator(NullLocator())
    axes.xaxis.set_minor_locator(NullLocator())
    axes.text(0.5, 0.5, words, transform=axes.transAxes, ha="center", va="center")
    return figure


def _marks(axes: Axes, label: str, at: ArrayLike, shape: str | int, colour: str) -> None:
    """Draw a mark in each row that has a value above 0."""
    values = np.asarray(at, dtype=float)
    there = np.flatnonzero(values > 0)
    axes.plot(
        values[there], there, marker=shape, color=colour, mec="black", markersize=9,
        linestyle="none", label=label, zorder=4,
    )  # fmt: skip


def _label_turn(axes: Axes, spot: int, ratio: float, words: str, *, is_shorter: bool) -> None:
    """Write what a decision turns to: shorter above its row, longer below, away from 1."""
    short = textwrap.shorten(words, LONGEST, placeholder=" ...")
    low, high = np.log(axes.get_xlim())
    place, wide = (np.log(ratio) - low) / (high - low), LETTER_SHARE * len(short)
    to_left = place > wide if is_shorter else place + wide > 1
    axes.annotate(
        _plain(short), (ratio, spot), xytext=(5 if to_left else -5, 6 if is_shorter else -6),
        textcoords="offset points", ha="right" if to_left else "left", fontsize=7.5,
        va="bottom" if is_shorter else "top", zorder=5,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.5, "alpha": 0.8},
    )  # fmt: skip


def _mark_ratios(axes: Axes, low: float, high: float) -> None:
    """Mark an axis of life ratios between two ends."""
    axes.set_xlim(max(low, RATIOS[0]), min(high, RATIOS[-1]))
    marks = [mark for mark in RATIOS if axes.get_xlim()[0] <= mark <= axes.get_xlim()[1]]
    axes.xaxis.set_major_locator(FixedLocator(marks))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.set_xticklabels([f"{mark:g}" for mark in marks])


def _life_spans(axes: Axes, sigma: FloatArray) -> None:
    """Draw where each life may lie, from the widest span to the narrowest, and the assumed one."""
    for name, (far, width, colour) in SPANS.items():
        ends = np.exp(-far * sigma), np.exp(far * sigma)
        axes.hlines(
            range(len(sigma)), *ends, color=colour, linewidth=width, zorder=2,
            label=f"the true life: {name} lie here",
        )  # fmt: skip
    axes.axvline(1.0, color="black", linestyle=":", linewidth=1.2, label="life assumed", zorder=3)


def _turn_message(top: pd.DataFrame) -> str:
    """Return in how many decisions a turn lies where two thirds of the lives lie."""
    far = SPANS["68 %"][0] * top[["life_sigma_ratio"]].to_numpy(dtype=float)
    logs = np.log(top[["shorter_ratio", "longer_ratio"]].to_numpy(dtype=float))
    turned = int((np.abs(logs) <= far).any(axis=1).sum())
    return (
        f"Of the {len(top)} decisions with most at stake, {turned} turn within the 68 % span of "
        "their life"
    )


def life_turns(tests: pd.DataFrame, currency: str, count: int = 12) -> Figure:
    """Return the turns of the first decisions against the span in which their life may lie.

    Parameters
    ----------
    tests : the life tests of a run; component, decision, flip_chance, impact_pv_cost [currency],
        life_sigma_ratio (standard deviation of ln life), shorter_ratio, if_shorter, longer_ratio,
        if_longer; NaN where there is no turn.
    """
    top = tests.head(count).reset_index(drop=True)
    labels = [
        f"{row.component}\n{textwrap.shorten(row.decision, LONGEST, placeholder=' ...')}"
        for row in rows(top)
    ]
    axis = "true life over the life assumed [ratio, log scale]"
    title = _turn_message(top) if len(top) else "No decision can turn"
    figure, axes = _sheet(labels, title, axis)
    if top.empty:
        return _nothing(figure, axes, "No component has more than one decision left in the plan.")
    sigma = top["life_sigma_ratio"].to_numpy(dtype=float)
    far = float(np.exp(SPANS["95 %"][0] * sigma.max()))
    turns = top[["shorter_ratio", "longer_ratio"]].to_numpy(dtype=float)
    _mark_ratios(axes, np.nanmin([0.6, 1 / far, *turns.flat]) / 1.05,
                 np.nanmax([1.6, far, *turns.flat]) * 1.05)  # fmt: skip
    _life_spans(axes, sigma)
    _marks(axes, "turns if the life is shorter", turns[:, 0], CARETLEFTBASE, LIGHT)
    _marks(axes, "turns if it is longer", turns[:, 1], CARETRIGHTBASE, LIGHT)
    for spot, row in enumerate(rows(top)):
        if row.shorter_ratio > 0:
            _label_turn(axes, spot, row.shorter_ratio, row.if_shorter, is_shorter=True)
        if row.longer_ratio > 0:
            _label_turn(axes, spot, row.longer_ratio, row.if_longer, is_shorter=False)
    _column(axes, 50, "chance\nof a turn", [f"{row.flip_chance * 100:.0f} %" for row in rows(top)])
    _column(axes, 105, "at stake", [money(row.impact_pv_cost, currency) for row in rows(top)])
    figure.legend(loc="outside lower center", ncols=3, frameon=False, fontsize=8)
    return figure


def _worth_message(top: pd.DataFrame, currency: str) -> str:
    good = top[top["is_worth_buying"]]
    if good.empty:
        return "No inspection is worth its price"
    saved, price = good["sample_pv_cost"].sum(), good["inspection_pv_cost"].sum()
    many = "is" if len(good) == 1 else "are"
    return (
        f"{len(good)} of the best {len(top)} inspections {many} worth buying: "
        f"{money(saved, currency)} saved for {money(price, currency)}, if all else stands"
    )


def _draw_worth(axes: Axes, top: pd.DataFrame) -> None:
    """Draw each price, and what the result and perfect knowledge would save."""
    price, sample, perfect = (
        top[f"{name}_pv_cost"].to_numpy(dtype=float) for name in ("inspection", "sample", "perfect")
    )
    both = (price > 0) & (sample > 0)
    axes.hlines(
        np.flatnonzero(both), np.minimum(price, sample)[both], np.maximum(price, sample)[both],
        color=PALE, linewidth=5, zorder=2,
    )  # fmt: skip
    _marks(axes, "price of the inspection", price, "D", MIDDLE)
    _marks(axes, "saved by knowing the life exactly", perfect, "o", "white")
    _marks(axes, "saved by its result", sample, "o", DARK)
    seen = [value for value in (*price, *sample, *perfect) if value > 0] or [1.0]
    axes.set_xlim(min(seen) / 1.5, max(seen) * 1.5)


def inspections_worth(looks: pd.DataFrame, currency: str, count: int = 10) -> Figure:
    """Return what the first inspections would save, beside their prices, and until when.

    Parameters
    ----------
    looks : the inspections of a run; component, inspection, period, perfect_pv_cost,
        sample_pv_cost, inspection_pv_cost, net_pv_cost [currency], is_worth_buying, last_date.
    """
    top = looks.head(count).reset_index(drop=True)
    labels = [
        f"{row.component}\n{row.inspection.replace('_', ' ')} in {row.period}" for row in rows(top)
    ]
    title = _worth_message(top, currency) if len(top) else "No inspection can change a decision"
    figure, axes = _sheet(labels, title, f"present value [{currency}, log scale]")
    if top.empty:
        return _nothing(figure, axes, "No inspection can be done before its decision closes.")
    _draw_worth(axes, top)
    axes.xaxis.set_major_locator(LogLocator(10, subs=(1.0, 2.0, 5.0)))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:,.10g}"))
    axes.xaxis.set_minor_formatter(NullFormatter())
    _column(axes, 60, "saves less\nits price", [money(x, currency) for x in top["net_pv_cost"]])
    _column(axes, 130, "start\nno later than", [str(day) for day in top["last_date"]])
    figure.legend(loc="outside lower center", ncols=3, frameon=False, fontsize=8)
    return figure
