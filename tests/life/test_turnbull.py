"""The Turnbull estimate against closed forms, Kaplan-Meier and surpyval."""

import numpy as np
import pytest

from bundler.life.lives import lives_from
from bundler.life.nonparametric import kaplan_meier
from bundler.life.turnbull import turnbull
from tests.life import records

INF = np.inf


def test_heat_exchanger_tubes() -> None:
    """Meeker and Escobar (1998) example 3.x prints 0.0133, 0.0384, 0.0582 (from memory). Exactly, of
    the likelihood F1^4 (1 - F1)^99 (F2 - F1)^5 (1 - F2)^95 (F3 - F2)^2 (1 - F3)^95: a year's failures
    over the tubes seen in it, 4/300, 5/197 (100 and 4 gone), 2/97 (100 and 95 more)."""
    table = turnbull(records.TUBES)
    alive = np.cumprod([1 - 4 / 300, 1 - 5 / 197, 1 - 2 / 97])
    assert table["failed_share"].tolist()[:3] == pytest.approx((1 - alive).tolist(), abs=1e-10)
    assert table["failed_share"].tolist()[:3] == pytest.approx([0.0133, 0.0384, 0.0582], abs=5e-5)
    assert table["low_years"].tolist() == [0, 1, 2, 3]
    assert table["high_years"].tolist() == [1, 2, 3, INF]


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_known_ages_give_kaplan_meier(seed: int) -> None:
    """With late entry and known ages both maximise the same likelihood."""
    lives = records.late_record(seed)
    table, known = turnbull(lives), kaplan_meier(lives)
    by_then = [
        table["failed_share"][table["high_years"] <= age].iloc[-1] for age in known["age_years"]
    ]
    assert by_then == pytest.approx((1 - known["survival_share"]).tolist(), abs=1e-8)


def test_overlapping_intervals_by_hand() -> None:
    """(0, 2], (1, 3] and running from 3: spans (1, 2] and (3, inf) share 2/3 and 1/3. With an exact
    failure at 2 the half-open spans keep it: (1, 2] holds it, (2, 5] does not."""
    table = turnbull(lives_from([0, 1, 3], [2, 3, INF]))
    assert table[["low_years", "high_years"]].to_numpy().tolist() == [[1, 2], [3, INF]]
    assert table["chance_share"].tolist() == pytest.approx([2 / 3, 1 / 3], abs=1e-10)
    table = turnbull(lives_from([1, 2, 2], [2, 2, 5]))
    assert table[["low_years", "high_years"]].to_numpy().tolist() == [[2, 2], [2, 5]]
    assert table["chance_share"].tolist() == pytest.approx([2 / 3, 1 / 3], abs=1e-10)


def test_intervals_by_surpyval() -> None:
    """surpyval 0.25 Turnbull with Kaplan-Meier steps, on inspections without late entry."""
    surpyval = pytest.importorskip("surpyval")
    rng = np.random.default_rng(8)
    low = rng.integers(0, 8, 40).astype(float)
    high = np.where(rng.random(40) < 0.2, INF, low + rng.integers(1, 4, 40))
    low = np.where(np.isinf(high), np.maximum(low, 1.0), low)
    table = turnbull(lives_from(low, high))
    made = surpyval.Turnbull.fit(xl=low, xr=high, turnbull_estimator="Kaplan-Meier")
    ends = table["high_years"][np.isfinite(table["high_years"])].to_numpy()
    found = table["failed_share"][: len(ends)].to_numpy()
    assert found == pytest.approx(np.asarray(made.ff(ends)), abs=2e-4)


def test_no_record_is_refused() -> None:
    with pytest.raises(ValueError, match="no record to estimate from"):
        turnbull(lives_from(()))
