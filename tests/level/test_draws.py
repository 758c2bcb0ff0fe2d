"""Draws against the rank correlation of a normal copula, and chances that come true exactly."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from bundler.errors import DataError
from bundler.level.draws import (
    DOUBTS,
    Doubt,
    correlated_ranks,
    drawn,
    factors,
    happenings,
    no_doubt,
    strata,
)
from bundler.level.three_points import Triangular, from_band

RUNS = 20_000


def rng() -> np.random.Generator:
    return np.random.default_rng(7)


def labels(systems: str, causes: str) -> pd.DataFrame:
    return pd.DataFrame({"system": list(systems), "common_cause": list(causes)}).replace("-", "")


def doubt(*bands: tuple[str, float, float], system: str = "", cost: float = 0.0) -> Doubt:
    tasks = pd.DataFrame(bands, columns=DOUBTS["tasks"][:3])
    tasks = tasks.assign(system=system, common_cause="", cost=cost)
    return Doubt(tasks, no_doubt("discoveries"), no_doubt("deliveries"), shape=Triangular)


def test_rank_correlation_of_each_pair() -> None:
    """6 / pi asin(rho / 2) for normals with correlation rho (Pearson 1907, from memory): A and B
    share a system (0.3), A and C a cause (0.6), C and D both (0.9), B and E nothing. Four standard
    errors, 4 / sqrt(20,000) = 0.028."""
    places = correlated_ranks(
        labels("SSTT-", "L-LL-"), {"system": 0.3, "common_cause": 0.6}, rng=rng(), runs_count=RUNS
    )
    found = stats.spearmanr(places, axis=1).statistic
    shared = {(0, 1): 0.3, (0, 2): 0.6, (2, 3): 0.9, (1, 4): 0.0, (3, 4): 0.0, (1, 2): 0.0}
    for pair, rho in shared.items():
        assert found[pair] == pytest.approx(6 / np.pi * np.arcsin(rho / 2), abs=0.028)


def test_a_missing_name_is_no_name() -> None:
    own = labels("SS---", "L----")
    gaps = own.astype("object").where(own != "", None)
    told = [
        correlated_ranks(
            table, {"system": 0.3, "common_cause": 0.6}, rng=rng(), runs_count=50
        ).tolist()
        for table in (own, gaps)
    ]
    assert told[0] == told[1]
    given = chances(("A", 0.5, ""), ("B", 0.5, ""))
    found = [
        happenings(given.assign(group=name), "discovery", rng=rng(), runs_count=50).tolist()
        for name in ("", None)
    ]
    assert found[0] == found[1]


def test_every_stratum_is_met_once() -> None:
    places = correlated_ranks(
        labels("SS-", "---"), {"system": 0.3, "common_cause": 0.6}, rng=rng(), runs_count=500
    )
    assert (np.sort(places, axis=1) == np.arange(500)).all()
    assert strata(4).tolist() == [0.125, 0.375, 0.625, 0.875]


def test_correlation_of_one_moves_all_together() -> None:
    places = correlated_ranks(labels("SSS", "---"), {"system": 1.0}, rng=rng(), runs_count=200)
    assert (places == places[0]).all()


def test_correlations_above_one_are_told() -> None:
    with pytest.raises(ValueError, match="add up to 1.1; at most 1"):
        correlated_ranks(
            labels("S", "L"), {"system": 0.5, "common_cause": 0.6}, rng=rng(), runs_count=10
        )


def test_factors_keep_their_band_whatever_the_correlation() -> None:
    """A tenth of the runs at or below 1 + low, a tenth above 1 + high; the mean is the closed form
    of the triangle."""
    own = doubt(("A", -0.2, 0.3), ("B", -0.1, 0.4), ("C", 0.0, 0.0), system="S")
    found = factors(own, rng=rng(), runs_count=RUNS)
    assert found.shape == (RUNS, 3)
    for column, band in enumerate([(-0.2, 0.3), (-0.1, 0.4)]):
        assert (found[:, column] <= 1 + band[0]).mean() == pytest.approx(0.1, abs=1e-9)
        assert (found[:, column] > 1 + band[1]).mean() == pytest.approx(0.1, abs=1e-9)
        mean = from_band(Triangular, *band).mean()
        assert found[:, column].mean() == pytest.approx(float(mean), abs=1e-6)
    assert (found[:, 2] == 1).all()


def test_sum_of_correlated_factors() -> None:
    """Variance of a sum of three like factors, 3 v + 6 v rho_p: rho_p, of two uniform ranks made
    into triangles, lies next to the rank correlation (0.288 at 0.3); so 3 v (1 + 2 x 0.29)."""
    own = doubt(*((name, -0.2, 0.2) for name in "ABC"), system="S")
    found = factors(own, rng=rng(), runs_count=RUNS).sum(axis=1)
    variance = float(from_band(Triangular, -0.2, 0.2).variance())
    assert found.var() == pytest.approx(3 * variance * 1.58, rel=0.04)


def chances(*given: tuple[str, float, str]) -> pd.DataFrame:
    return pd.DataFrame(given, columns=["discovery", "chance", "group"])


def test_a_chance_comes_true_in_its_share_of_runs() -> None:
    found = happenings(
        chances(("A", 0.25, ""), ("B", 0.0, ""), ("C", 1.0, "")),
        "discovery",
        rng=rng(),
        runs_count=RUNS,
    )
    assert found.mean(axis=0).tolist() == [0.25, 0.0, 1.0]


def test_groups_come_true_together_and_others_alone() -> None:
    """In a group the rarer is a part of the likelier; two alone meet in the product of their
    chances, 0.0625, within four standard errors (0.007)."""
    given = chances(("A", 0.25, "g"), ("B", 0.4, "g"), ("C", 0.25, ""), ("D", 0.25, ""))
    found = happenings(given, "discovery", rng=rng(), runs_count=RUNS)
    assert (found[:, 0] <= found[:, 1]).all()
    assert (found[:, 2] & found[:, 3]).mean() == pytest.approx(0.0625, abs=0.007)


def test_discoveries_and_late_deliveries_by_hand() -> None:
    """No band: A takes 10 d, and 28 more with 0.25; B's parts are 5 d late with 0.5; costs 100 and
    2,900 when found."""
    own = replace(
        doubt(("A", 0.0, 0.0), ("B", 0.0, 0.0), cost=50.0),
        discoveries=pd.DataFrame(
            [("tubesheet", "A", 0.25, 28.0, 2900.0, "")], columns=DOUBTS["discoveries"]
        ),
        deliveries=pd.DataFrame([("bundle", "B", 0.5, 5.0, "")], columns=DOUBTS["deliveries"]),
    )
    tasks = pd.DataFrame({"task": ["B", "A"], "duration_days": [4.0, 10.0], "earliest_days": 1.0})
    runs = drawn(tasks, own, rng=rng(), runs_count=RUNS)
    assert np.unique(runs.durations[:, 0], return_counts=True)[1].tolist() == [15_000, 5_000]
    assert np.unique(runs.durations[:, 0]).tolist() == [10.0, 38.0]
    assert np.unique(runs.durations[:, 1]).tolist() == [4.0]
    assert runs.earliest[:, 0].max() == 1
    assert np.unique(runs.earliest[:, 1], return_counts=True)[1].tolist() == [10_000, 10_000]
    assert (runs.costs == 100 + 2900 * (runs.durations[:, 0] > 10)).all()
    assert runs.movers["name"].tolist() == ["A", "B", "tubesheet", "bundle"]


def test_rows_in_any_order_and_the_same_seed_give_the_same_runs() -> None:
    own = doubt(("A", -0.2, 0.2), ("B", -0.1, 0.3), ("C", -0.1, 0.3), system="S")
    tasks = pd.DataFrame({"task": list("ABC"), "duration_days": 1.0, "earliest_days": 0.0})
    turned = replace(own, tasks=own.tasks.iloc[::-1])
    first = drawn(tasks, own, rng=rng(), runs_count=100)
    again = drawn(tasks.iloc[[1, 2, 0]], turned, rng=rng(), runs_count=100)
    assert first.durations.tobytes() == again.durations.tobytes()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"chance": 1.2}, "discoveries row 1, chance: 1.2; 0 to 1 is allowed"),
        ({"days": -1.0}, "discoveries row 1, days: -1; 0 or more is allowed"),
        ({"cost": np.nan}, "discoveries row 1, cost: nan; a number is allowed"),
    ],
)
def test_numbers_that_cannot_be(change: dict[str, float], told: str) -> None:
    row = {"discovery": "D", "task": "A", "chance": 0.1, "days": 1.0, "cost": 0.0, "group": ""}
    with pytest.raises(DataError, match=told):
        replace(doubt(("A", 0.0, 0.0)), discoveries=pd.DataFrame([row | change]))


def test_bands_and_columns_that_cannot_be() -> None:
    with pytest.raises(DataError, match="tasks row 2, low_share: 0.1 to 0.2; .* has to hold 0"):
        doubt(("A", 0.0, 0.0), ("B", 0.1, 0.2))
    with pytest.raises(DataError, match="deliveries, group: no such column"):
        replace(doubt(), deliveries=no_doubt("deliveries").drop(columns="group"))
