"""Three points against printed values, general-purpose distributions and exact convolutions."""

import numpy as np
import pandas as pd
import pytest
from scipy import integrate, stats

from bundler.errors import DataError
from bundler.level.draws import correlated_ranks, strata
from bundler.level.three_points import (
    CLASS_BANDS,
    SHAPES,
    Pert,
    ThreePoints,
    Triangular,
    from_band,
    with_bands,
)

CHANCES = np.array([0.0, 0.05, 0.125, 0.5, 0.8, 0.99, 1.0])


def test_one_activity_of_three_points() -> None:
    """3, 4, 11: mean 5, beta's own variance 1.714286 (the rule of thumb (8/6)^2 is 1.777778);
    triangular mean 6, variance 3.166667, median 5.708497, P80 7.653360. Values computed from the
    textbook formulas."""
    beta, triangle = Pert.of(3, 4, 11), Triangular.of(3, 4, 11)
    assert beta.mean() == pytest.approx(5)
    assert beta.variance() == pytest.approx(1.714286, rel=1e-6)
    assert beta.variance() < (8 / 6) ** 2 == pytest.approx(1.777778, rel=1e-6)
    assert triangle.mean() == pytest.approx(6)
    assert triangle.variance() == pytest.approx(3.166667, rel=1e-6)
    assert triangle.quantile([0.5, 0.8]) == pytest.approx([5.708497, 7.653360], rel=1e-6)


def test_quantiles_against_general_distributions() -> None:
    beta = stats.beta(1.5, 4.5, loc=3, scale=8)
    triangle = stats.triang(1 / 8, loc=3, scale=8)
    assert Pert.of(3, 4, 11).quantile(CHANCES) == pytest.approx(beta.ppf(CHANCES))
    assert Triangular.of(3, 4, 11).quantile(CHANCES) == pytest.approx(triangle.ppf(CHANCES))


@pytest.mark.parametrize("shape", SHAPES.values())
@pytest.mark.parametrize("points", [(3, 4, 11), (0, 0, 1), (2, 5, 5), (1, 2, 3)])
def test_moments_are_those_of_the_quantiles(
    shape: type[ThreePoints], points: tuple[float, float, float]
) -> None:
    """The mean is the integral of the quantile over all chances, the second moment of its square."""
    own = shape.of(*points)
    first = integrate.quad(lambda chance: float(own.quantile(chance)), 0, 1)[0]
    second = integrate.quad(lambda chance: float(own.quantile(chance)) ** 2, 0, 1)[0]
    assert own.mean() == pytest.approx(first, rel=1e-6)
    assert own.variance() == pytest.approx(second - first**2, rel=1e-5)


@pytest.mark.parametrize("shape", SHAPES.values())
def test_no_width_is_the_value(shape: type[ThreePoints]) -> None:
    own = shape.of([5.0, 1.0], [5.0, 2.0], [5.0, 3.0])
    assert own.quantile([[0.1], [0.9]])[:, 0].tolist() == [5.0, 5.0]
    assert own.variance()[0] == 0


def test_points_have_to_rise() -> None:
    with pytest.raises(ValueError, match="do not rise"):
        Pert.of(5, 4, 11)


@pytest.mark.parametrize("shape", ["triangular", "pert"])
@pytest.mark.parametrize("band", [*CLASS_BANDS.values(), (0.0, 0.3), (-0.3, 0.0), (-0.2, 0.2)])
def test_a_band_is_met(shape: str, band: tuple[float, float]) -> None:
    """P10, P90 and mode of the factor, read off scipy's distributions with the points found."""
    own = from_band(SHAPES[shape], *band)
    assert own.likely == 1
    width, place = own.high - own.low, (1 - own.low) / (own.high - own.low)
    law = {
        "triangular": stats.triang(place, loc=own.low, scale=width),
        "pert": stats.beta(1 + 4 * place, 5 - 4 * place, loc=own.low, scale=width),
    }[shape]
    assert law.cdf([1 + band[0], 1 + band[1]]) == pytest.approx([0.1, 0.9], abs=1e-9)


def test_an_even_band_of_a_triangle_by_hand() -> None:
    """Mode in the middle: P10 stands at the root of 0.1/2 of the width, so a width of
    0.4 / (1 - 2 root(0.05)) for a band of +-0.2."""
    own = from_band(Triangular, -0.2, 0.2)
    assert own.high - own.low == pytest.approx(0.4 / (1 - 2 * np.sqrt(0.05)))


def test_a_band_of_no_width() -> None:
    assert from_band(Pert, 0.0, 0.0).quantile([0.1, 0.9]).tolist() == [1.0, 1.0]


@pytest.mark.parametrize(("band", "told"), [((0.1, 0.2), "hold 0"), ((-0.9, 0.2), "above 0")])
def test_bands_that_cannot_be(band: tuple[float, float], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        from_band(Triangular, *band)


def test_classes_give_bands_and_given_bands_stay() -> None:
    tasks = pd.DataFrame(
        {"estimate_class": [3, 5], "low_share": [np.nan, -0.1], "high_share": [np.nan, 0.1]}
    )
    both = with_bands(tasks)
    assert both["low_share"].tolist() == [-0.15, -0.1]
    assert both["high_share"].tolist() == [0.20, 0.1]
    assert with_bands(tasks[["estimate_class"]])["high_share"].tolist() == [0.20, 0.65]


def test_a_strange_class_is_told() -> None:
    with pytest.raises(DataError, match="tasks row 2, estimate_class: class 6; classes are 1 to 5"):
        with_bands(pd.DataFrame({"estimate_class": [1, 6]}))


def test_a_sum_of_three_against_its_convolution() -> None:
    """Three triangles one after the other: the density of the sum by numpy.convolve on a grid of
    0.005 days (its own error below 0.01 days); 100,000 stratified draws meet P10 to P95 within
    0.05 days, four standard errors of the P95 (0.012)."""
    points = [(3, 4, 11), (2, 5, 6), (1, 1, 8)]
    step = 0.005
    density = np.array([1.0])
    for low, likely, high in points:
        edges = np.arange(low, high + step / 2, step)
        cdf = stats.triang((likely - low) / (high - low), loc=low, scale=high - low).cdf(edges)
        density = np.convolve(density, np.diff(cdf))
    days = sum(low for low, _, _ in points) + step * (np.arange(len(density)) + len(points) / 2)
    chances = np.array([0.1, 0.5, 0.8, 0.9, 0.95])
    exact = np.interp(chances, np.cumsum(density), days)
    labels = pd.DataFrame({"system": ["", "", ""]})
    places = correlated_ranks(labels, {}, rng=np.random.default_rng(1), runs_count=100_000)
    drawn = Triangular.of(*np.array(points).T).quantile(strata(100_000)[places.T]).sum(axis=1)
    assert np.quantile(drawn, chances) == pytest.approx(exact, abs=0.05)
    assert drawn.mean() == pytest.approx(float(density @ days), abs=1e-3)
