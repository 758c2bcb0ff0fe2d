"""Expected failures on a grid: exact ends, published values, an independent simulation."""

import numpy as np
import pytest

from bundler.life.curves import FloatArray, LifeCurve, curve_from
from bundler.risk.failures import failed_share_by_cell, failures_by_cell
from bundler.risk.imperfect import expected_failures_imperfect
from bundler.risk.renewal import expected_renewals

CURVE = curve_from("weibull", 1000.0, 2.5)
NEW = np.zeros(1, dtype=np.int64), np.zeros(1)
UNEVEN = np.unique(np.concatenate([np.linspace(0, 30, 121), [1.234, 7.77, 20.001]]))

#: q, Kijima I, Kijima II: Weibull 1000 / 2.5 to 3000, two million runs (references 2.4)
ORACLE = [(0.0, 2.9725, 2.9724), (0.25, 4.5861, 3.6787), (0.5, 7.2505, 4.7119),
          (0.75, 10.9544, 6.6660), (1.0, 15.5857, 15.5893)]  # fmt: skip


def test_exact_ends() -> None:
    """References 2.4: minimal repair 3 ** 2.5; renewal 2.972786, also at 1000 and 2000."""
    grid = np.linspace(0.0, 3000.0, 301)
    minimal = failures_by_cell(CURVE, grid, *NEW, "repair").sum()
    assert minimal == pytest.approx(3**2.5, rel=1e-12)
    for horizon, wanted in ((1000.0, 0.702507), (2000.0, 1.843908), (3000.0, 2.972786)):
        assert expected_renewals(CURVE, horizon) == pytest.approx(wanted, rel=1e-5)


@pytest.mark.parametrize(("q", "first", "second"), ORACLE)
def test_imperfect_repair(q: float, first: float, second: float) -> None:
    """References 2.4, both kinds, to 0.5 % by our deterministic numerics."""
    for kind, wanted in (("I", first), ("II", second)):
        found = expected_failures_imperfect(CURVE, 3000.0, 1 - q, kind)
        assert found == pytest.approx(wanted, rel=5e-3), kind


def simulated(q: float, kind: str, runs: int, rng: np.random.Generator) -> tuple[float, float]:
    """Return mean and standard error of failures to 3000, drawn one failure after another."""
    age, passed, count = np.zeros(runs), np.zeros(runs), np.zeros(runs)
    alive = np.ones(runs, dtype=bool)
    while alive.any():
        start = age[alive]
        life = 1000.0 * ((start / 1000.0) ** 2.5 - np.log(rng.random(alive.sum()))) ** 0.4 - start
        passed[alive] += life
        inside = passed[alive] <= 3000.0
        count[alive] += inside
        age[alive] = start + q * life if kind == "I" else q * (start + life)
        alive[alive] = inside
    return float(count.mean()), float(count.std() / runs**0.5)


@pytest.mark.parametrize("kind", ["I", "II"])
@pytest.mark.parametrize("q", [0.25, 0.5, 0.75])
def test_imperfect_repair_against_an_independent_method(q: float, kind: str) -> None:
    """Simulation of the definition, seeded, 40,000 runs, within four standard errors."""
    mean, error = simulated(q, kind, 40_000, np.random.default_rng(20270101))
    found = expected_failures_imperfect(CURVE, 3000.0, 1 - q, kind)
    assert abs(found - mean) < 4 * error + 2e-3 * mean


def test_renewal_of_an_exponential_is_its_rate() -> None:
    """A memoryless item fails at its rate in every cell, aged or new, on an uneven grid."""
    curve = curve_from("exponential", 8.0, 1.0)
    start, age = np.array([0, 40], dtype=np.int64), np.array([3.0, 0.0])
    found = failures_by_cell(curve, UNEVEN, start, age, "renew")
    widths = np.diff(UNEVEN)
    assert found[0] == pytest.approx(widths / 8.0, rel=2e-4)
    assert (found[1, :40] == 0).all()
    assert found[1, 40:] == pytest.approx(widths[40:] / 8.0, rel=2e-4)


def test_a_quarter_of_a_year_is_fine_enough() -> None:
    """Renewals on a quarterly uneven grid agree with a fine grid to 0.1 %; the error falls with
    the square of the step."""
    curve = curve_from("weibull", 10.0, 3.0)
    fine = expected_renewals(curve, 30.0, 4000)
    coarse = float(failures_by_cell(curve, UNEVEN, *NEW, "renew").sum())
    assert coarse == pytest.approx(fine, rel=1e-3)
    errors = [abs(expected_renewals(curve, 30.0, steps) - fine) for steps in (60, 120)]
    assert errors[1] < errors[0] / 3


def test_minimal_repair_telescopes() -> None:
    """Failures over all cells are the difference of H at both ends, whatever the cells."""
    start, age = np.array([10], dtype=np.int64), np.array([4.0])
    curve = curve_from("weibull", 25.0, 2.2)
    total = failures_by_cell(curve, UNEVEN, start, age, "repair").sum()
    ends = np.array([4.0, 4.0 + UNEVEN[-1] - UNEVEN[10]])
    assert total == pytest.approx(float(np.diff(curve.cumulative_hazard(ends))[0]), rel=1e-12)


def chance(curve: LifeCurve, age: float, spans: FloatArray) -> FloatArray:
    held = curve.cumulative_hazard(age + spans) - curve.cumulative_hazard(np.array(age))
    result: FloatArray = -np.expm1(-held)
    return result


def test_standing_failed() -> None:
    """Fails at most once: sums to the chance of failing; the failed share is its running mean."""
    curve = curve_from("weibull", 15.0, 3.0)
    start, age = np.array([0], dtype=np.int64), np.array([6.0])
    found = failures_by_cell(curve, UNEVEN, start, age, "stand")[0]
    gone = chance(curve, 6.0, UNEVEN)
    assert np.cumsum(found) == pytest.approx(gone[1:], rel=1e-12)
    share = failed_share_by_cell(curve, UNEVEN, start, age)[0]
    fine = np.linspace(0, 30, 30001)
    wanted = np.trapezoid(chance(curve, 6.0, fine), fine)
    assert float((share * np.diff(UNEVEN)).sum()) == pytest.approx(wanted, rel=1e-4)
