"""Pictures of decisions on trial: the right marks at the right places, nothing overlaps."""

import io
import itertools
import re

import numpy as np
import pandas as pd
import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from scipy import stats

from bundler.report.turn_figures import SPANS, inspections_worth, life_turns

NAN = float("nan")
LONG = "coat the inlets in P1-28, then retube in M1, then coat the inlets again in P1-44"


def test_the_spans_hold_the_shares_they_name() -> None:
    """Quantiles of the standard normal at (1 + share) / 2, as scipy.stats gives them."""
    for name, (far, _, _) in SPANS.items():
        share = float(name.removesuffix(" %")) / 100
        assert far == pytest.approx(stats.norm.ppf((1 + share) / 2), abs=1e-6)


def lives_told(*told: tuple[float, float, float]) -> pd.DataFrame:
    """Return life tests with these sigmas, shorter and longer turns."""
    sigma, shorter, longer = np.array(told).reshape(-1, 3).T
    names = [f"Q1-PUMP-{number}" for number in range(len(sigma))]
    return pd.DataFrame(
        {
            "component": names,
            "decision": "replace in M1",
            "flip_chance": 0.305,
            "impact_pv_cost": 1500.0,
            "life_sigma_ratio": sigma,
            "shorter_ratio": shorter,
            "if_shorter": np.where(np.isnan(shorter), "", LONG),
            "longer_ratio": longer,
            "if_longer": np.where(np.isnan(longer), "", "no work before 2036"),
        }
    )


def looks_told(*told: tuple[float, float, float]) -> pd.DataFrame:
    """Return inspections with these prices, savings by the result, and by knowing all."""
    price, sample, perfect = np.array(told).reshape(-1, 3).T
    return pd.DataFrame(
        {
            "component": [f"Q1-PUMP-{number}" for number in range(len(price))],
            "inspection": "wall_survey",
            "period": "P1-28",
            "perfect_pv_cost": perfect,
            "sample_pv_cost": sample,
            "inspection_pv_cost": price,
            "net_pv_cost": sample - price,
            "is_worth_buying": sample > price,
            "last_date": "2028-04-11",
        }
    )


def axes_of(figure: Figure) -> Axes:
    """Draw a picture without a warning (they are errors here) and return its panel."""
    figure.savefig(io.BytesIO(), format="png")
    (axes,) = figure.axes
    assert re.search(r"\[.+\]", axes.get_xlabel()) and axes.get_title(loc="left")
    return axes


def marks(axes: Axes, label: str) -> list[list[float]]:
    """Return the points (value, row) of the marks with a label."""
    (line,) = [each for each in axes.get_lines() if each.get_label() == label]
    return np.asarray(line.get_xydata()).tolist()


def words(axes: Axes) -> list[str]:
    return [text.get_text().replace("\\", "") for text in axes.texts]


def test_turns_stand_at_their_ratios_and_say_what_comes() -> None:
    told = lives_told((0.25, 0.8, 1.2), (0.25, NAN, 1.05), (0.1, 0.6, NAN), (0.3, NAN, NAN))
    axes = axes_of(life_turns(told, "k$"))
    assert marks(axes, "turns if the life is shorter") == [[0.8, 0], [0.6, 2]]
    assert marks(axes, "turns if it is longer") == [[1.2, 0], [1.05, 1]]
    assert words(axes).count("no work before 2036") == 2
    assert sum(text.endswith(" ...") for text in words(axes)) == 2
    assert "30 %" in words(axes) and "1.5 M$" in words(axes)
    title = axes.get_title(loc="left")
    assert "Of the 4 decisions" in title and "2 turn within the 68 % span" in title


def test_spans_are_those_of_a_lognormal_life() -> None:
    """Ends at the quantiles of scipy.stats.lognorm with the same sigma."""
    axes = axes_of(life_turns(lives_told((0.25, 0.8, NAN), (0.5, NAN, 1.3)), "k$"))
    lines = [each for each in axes.collections if isinstance(each, LineCollection)]
    assert len(lines) == 2
    for held, share in zip(lines, (0.95, 0.68), strict=True):
        for segment, sigma in zip(held.get_segments(), (0.25, 0.5), strict=True):
            ends = stats.lognorm(s=sigma).ppf([(1 - share) / 2, (1 + share) / 2])
            assert np.asarray(segment)[:, 0] == pytest.approx(ends, rel=1e-5)
    low, high = axes.get_xlim()
    assert low < stats.lognorm(s=0.5).ppf(0.025) and high > stats.lognorm(s=0.5).ppf(0.975)


@pytest.mark.parametrize("sigma", [0.0, 0.02, 0.25, 3.0])
@pytest.mark.parametrize("ratios", [(0.4, 2.5), (0.97, 1.03), (0.99, 1.0), (NAN, NAN)])
def test_no_word_lies_on_another(sigma: float, ratios: tuple[float, float]) -> None:
    """Boxes of all words and of the labels of rows, as drawn, are apart and inside the picture."""
    figure = life_turns(lives_told(*[(sigma, *ratios)] * 3), "k$")
    axes = axes_of(figure)
    drawer = FigureCanvasAgg(figure).get_renderer()
    shown = [text for text in [*axes.texts, *axes.get_yticklabels()] if text.get_text()]
    boxes = [text.get_window_extent(drawer) for text in shown]
    for one, other in itertools.combinations(boxes, 2):
        assert not one.overlaps(other)
    for box in boxes:
        assert box.x0 >= 0 and box.x1 <= figure.bbox.x1 and box.y0 >= 0 and box.y1 <= figure.bbox.y1


def test_only_the_first_are_drawn() -> None:
    axes = axes_of(life_turns(lives_told(*[(0.25, 0.8, 1.2)] * 20), "k$"))
    assert len(axes.get_yticklabels()) == 12
    axes = axes_of(life_turns(lives_told(*[(0.25, 0.8, 1.2)] * 20), "k$", count=3))
    assert len(marks(axes, "turns if it is longer")) == 3


def test_savings_stand_beside_their_prices() -> None:
    told = looks_told((100, 700, 900), (50, 60, 200), (80, 0, 40), (0, 5, 9))
    axes = axes_of(inspections_worth(told, "k$"))
    assert marks(axes, "price of the inspection") == [[100, 0], [50, 1], [80, 2]]
    assert marks(axes, "saved by its result") == [[700, 0], [60, 1], [5, 3]]
    assert marks(axes, "saved by knowing the life exactly") == [[900, 0], [200, 1], [40, 2], [9, 3]]
    assert "600 k$" in words(axes) and words(axes).count("2028-04-11") == 4
    title = axes.get_title(loc="left").replace("\\", "")
    assert title.startswith("3 of the best 4") and "765 k$ saved for 150 k$" in title
    assert len(axes_of(inspections_worth(told, "k$", count=2)).get_yticklabels()) == 2


def test_nothing_worth_buying_is_said() -> None:
    axes = axes_of(inspections_worth(looks_told((80, 0, 0)), "kEUR"))
    assert axes.get_title(loc="left") == "No inspection is worth its price"
    assert marks(axes, "saved by its result") == []
    assert axes_of(inspections_worth(looks_told((0, 0, 0)), "kEUR")).get_xlim()[0] > 0


def test_empty_tables_say_why() -> None:
    axes = axes_of(life_turns(lives_told(), "k$"))
    assert "more than one decision" in words(axes)[0]
    axes = axes_of(inspections_worth(looks_told(), "k$"))
    assert "before its decision closes" in words(axes)[0]
