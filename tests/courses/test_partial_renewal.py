"""Partial work where failures renew: only what has not failed yet is made younger by it.

Held against a seeded simulation of single items, and against cases known by reason.
"""

import numpy as np
import pytest

from bundler.courses.exposure import Exposure, Works
from bundler.courses.risk import course_cells, course_risk
from bundler.life.curves import LifeCurve, Weibull
from bundler.life.lines import LinearFit, rising_margin
from bundler.life.shifted import Since
from bundler.life.taken_over import TakenOver

GRID = np.linspace(0.0, 20.0, 161)
FAMILY = Weibull(3.0, 12.0)


def exposure(curve: LifeCurve, age: float, on_failure: str = "renew") -> Exposure:
    ones = np.ones(len(GRID) - 1)
    return Exposure(GRID, ones, ones, 0 * ones, 0 * ones, on_failure, curve, age)


def works(*given: tuple[float, float]) -> Works:
    """Return works at times [years] with what they restore."""
    index = np.array([np.searchsorted(GRID, at - 1e-9) for at, _ in given], dtype=np.int64)
    share = np.array([share for _, share in given])
    return Works(index, share, ("II",) * len(given), (None,) * len(given))


def failures(curve: LifeCurve, age: float, *given: tuple[float, float]) -> float:
    steps = np.arange(len(given), dtype=np.int64).reshape(1, -1)
    steps = steps if len(given) else np.array([[-1]])
    return float(course_risk(exposure(curve, age), works(*given), steps)[0])


def simulated(age: float, given: list[tuple[float, float]], count: int = 40_000) -> np.ndarray:
    """Return failures of items followed one by one; a renewed item is left alone by partial work."""
    rng = np.random.default_rng(11)
    found = np.zeros(count)
    for item in range(count):
        now, at_age, is_first = 0.0, age, True
        while True:
            draw = rng.exponential()
            stops = [at for at, share in given if at > now and (share == 1 or is_first)]
            end = min([*stops, 20.0])
            fails_at = now + 12.0 * ((at_age / 12.0) ** 3 + draw) ** (1 / 3) - at_age
            if fails_at < end:
                found[item] += 1
                now, at_age, is_first = fails_at, 0.0, False
            elif end == 20.0:
                break
            else:
                share = dict(given)[end]
                at_age, now = (1 - share) * (at_age + end - now), end
                is_first = is_first or share == 1
    return found


@pytest.mark.parametrize(
    ("age", "given"),
    [
        (9.0, [(4.0, 0.5)]),
        (9.0, [(4.0, 0.5), (10.0, 0.6)]),
        (6.0, [(3.0, 0.4), (8.0, 1.0), (13.0, 0.5)]),
    ],
)
def test_against_items_followed_one_by_one(age: float, given: list[tuple[float, float]]) -> None:
    """40,000 seeded items: within four standard errors."""
    drawn = simulated(age, given)
    error = drawn.std() / np.sqrt(len(drawn))
    assert failures(FAMILY, age, *given) == pytest.approx(drawn.mean(), abs=4 * error)


def test_what_has_surely_failed_before_is_left_as_it_is() -> None:
    """A reading says that it fails in the second year: a repair of half its age in the sixth is late."""
    line = rising_margin(LinearFit(0.0, 0.01, 1.0, 0.01, 0.0, 1.0), 1.5)
    curve = TakenOver(Since(line, 30.0), FAMILY)
    assert failures(curve, 30.0, (6.0, 0.5)) == pytest.approx(failures(curve, 30.0), rel=1e-6)
    assert failures(curve, 30.0, (1.0, 0.5)) < failures(curve, 30.0)


def test_whole_work_and_other_behaviours_as_before() -> None:
    """Work that renews starts anew; under minimal repair every stretch stands by itself."""
    one = failures(FAMILY, 9.0, (8.0, 1.0))
    parts = failures(FAMILY, 9.0), failures(FAMILY, 0.0)
    cells = course_cells(exposure(FAMILY, 9.0), works((8.0, 1.0)), np.array([0]))[0]
    assert cells.sum() == pytest.approx(one)
    assert cells[:64].sum() < parts[0]
    own = exposure(FAMILY, 9.0, "repair")
    found = float(course_risk(own, works((8.0, 0.5)), np.array([[0]]))[0])
    held = FAMILY.cumulative_hazard(np.array([9.0, 17.0, 8.5, 20.5]))
    assert found == pytest.approx(held[1] - held[0] + held[3] - held[2])


def test_cells_add_up_to_the_course() -> None:
    given = ((4.0, 0.5), (10.0, 0.6))
    cells = course_cells(exposure(FAMILY, 9.0), works(*given), np.array([0, 1]))[0]
    assert cells.sum() == pytest.approx(failures(FAMILY, 9.0, *given))
