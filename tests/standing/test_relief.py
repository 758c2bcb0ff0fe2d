"""The relief of one outage against a general-purpose linear program (scipy.optimize.linprog)."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from bundler.standing.relief import Outage, relief


def outages(seed: int) -> tuple[Outage, np.ndarray, float]:
    """Return an outage by chance, what is used of its rows, and missing days."""
    rng = np.random.default_rng(seed)
    rows, bands = int(rng.integers(1, 7)), int(rng.integers(0, 3))
    band = rng.integers(-1, bands, rows)
    amount = rng.integers(0, 20, rows).astype(float)
    outage = Outage(
        amount,
        np.where(rng.random(rows) < 0.7, rng.integers(1, 9, rows), 0).astype(float),
        np.where(band >= 0, rng.choice([0.25, 0.5, 1.0], rows), 1.0),
        band,
        rng.integers(0, 12, bands).astype(float),
        rng.integers(0, 9, bands).astype(float),
        float(rng.integers(0, 6)),
        float(rng.integers(0, 30)),
    )
    used = amount + rng.integers(-5, 12, rows)
    return outage, used.astype(float), float(rng.choice([0, 0, 1, 2, 7]))


def by_linear_program(outage: Outage, used: np.ndarray, missing: float) -> float:
    bands = len(outage.most_hours)
    rows = np.zeros((len(used), 1 + bands))
    rows[:, 0] = -outage.per_day
    for row, band in enumerate(outage.band):
        if band >= 0:
            rows[row, 1 + band] = -outage.part[row]
    if missing > outage.most_days:
        return np.inf
    bounds = [(missing, outage.most_days), *((0, most) for most in outage.most_hours)]
    cost = np.concatenate([[outage.day_cost], outage.hour_cost])
    answer = linprog(cost, rows, outage.amount - used, bounds=bounds, method="highs")
    return float(answer.fun) if answer.status == 0 else np.inf


@given(st.integers(0, 2**32 - 1))
@settings(max_examples=400, deadline=None)
def test_equals_a_linear_program(seed: int) -> None:
    outage, used, missing = outages(seed)
    found = relief(outage, used, missing)
    assert found.pv_cost == pytest.approx(by_linear_program(outage, used, missing), abs=1e-6)
    if np.isfinite(found.pv_cost):
        hours = np.append(found.hours, 0.0)
        lack = used - outage.amount - outage.per_day * found.days - outage.part * hours[outage.band]
        assert lack.max() <= 1e-5
        assert found.days >= missing - 1e-9


def test_overtime_before_days_where_it_is_cheaper() -> None:
    """By hand: 10 h too many, a band of 8 h at 1, a day gives 4 h and costs 20."""
    one = Outage(
        np.array([100.0]), np.array([4.0]), np.array([1.0]), np.array([0]),
        np.array([8.0]), np.array([1.0]), 3.0, 20.0,
    )  # fmt: skip
    found = relief(one, np.array([110.0]), 0.0)
    assert found.days == pytest.approx(0.5)
    assert found.hours[0] == pytest.approx(8.0)
    assert found.pv_cost == pytest.approx(18.0)


def test_days_alone_where_the_day_is_cheap() -> None:
    one = Outage(
        np.array([100.0]), np.array([4.0]), np.array([1.0]), np.array([0]),
        np.array([8.0]), np.array([1.0]), 3.0, 2.0,
    )  # fmt: skip
    found = relief(one, np.array([110.0]), 0.0)
    assert (found.days, found.pv_cost) == (pytest.approx(2.5), pytest.approx(5.0))
