"""Importance measures against textbook figures and the enumeration of all states."""

import numpy as np
import pytest

from bundler.risk.cut_sets import CutSets, cut_sets_of_lines
from bundler.risk.importance import (
    fussell_vesely,
    fussell_vesely_rare,
    importance,
    top_by,
    top_of,
)
from tests.risk.test_cut_sets import BRIDGE, PRESSURE_TANK, PRESSURE_TANK_Q

Q = np.array([0.02, 0.04, 0.06])
TWO_OF_THREE: CutSets = cut_sets_of_lines([(0,), (1,), (2,)], 2)


def close(found: np.ndarray, known: list[float], rel: float = 1e-6) -> bool:
    return found == pytest.approx(np.array(known), rel=rel)


def test_two_of_three() -> None:
    """Reliabilities 0.98, 0.96, 0.94 (as in Rausand and Hoyland, from memory); checked by the
    enumeration of 8 states."""
    top = top_by(TWO_OF_THREE)
    assert 1 - top(Q) == pytest.approx(0.995696, rel=1e-12)
    found = importance(top, Q)
    assert close(found.birnbaum, [0.0952, 0.0776, 0.0584], 1e-12)
    assert close(found.criticality, [0.442379, 0.721190, 0.814126])
    assert close(found.achievement, [22.676580, 18.308550, 13.754647])
    assert close(found.reduction, [1.793333, 3.586667, 5.380000])
    assert close(fussell_vesely(TWO_OF_THREE, Q), [0.453532, 0.732342, 0.825279], 2e-6)
    assert close(fussell_vesely_rare(TWO_OF_THREE, Q), [5 / 11, 8 / 11, 9 / 11], 1e-12)


def test_a_structure_gives_the_same_as_its_cut_sets() -> None:
    by_state = importance(top_of(lambda state: sum(state) >= 2), Q)
    by_sets = importance(top_by(TWO_OF_THREE), Q)
    for measure in ("birnbaum", "criticality", "achievement", "reduction"):
        assert close(getattr(by_state, measure), list(getattr(by_sets, measure)), 1e-10)


def test_series_is_ruled_by_the_weakest_and_parallel_by_the_strongest() -> None:
    q = np.array([0.02, 0.04])
    series, parallel = importance(top_by(((0,), (1,))), q), importance(top_by(((0, 1),)), q)
    assert close(series.birnbaum, [0.96, 0.98], 1e-12)
    assert close(parallel.birnbaum, [0.04, 0.02], 1e-12)
    # with one that never fails the pair never does
    assert parallel.reduction.tolist() == [np.inf, np.inf]


def test_bridge() -> None:
    found = importance(top_by(BRIDGE), np.full(5, 0.1)).birnbaum
    assert close(found, [0.1062, 0.1062, 0.0162, 0.1062, 0.1062], 1e-12)


def test_pressure_tank() -> None:
    """Rare-event Fussell-Vesely of tank, relay K2 and switch S."""
    found = fussell_vesely_rare(PRESSURE_TANK, PRESSURE_TANK_Q)[:3]
    assert found == pytest.approx([0.142802, 0.856812, 0.000386], abs=5e-7)
    exact = fussell_vesely(PRESSURE_TANK, PRESSURE_TANK_Q)[:3]
    assert exact == pytest.approx(found, rel=1e-4)


def test_birnbaum_is_the_slope_of_the_top_chance() -> None:
    top, step = top_by(BRIDGE), 1e-6
    q = np.array([0.1, 0.2, 0.3, 0.4, 0.5])
    for member, slope in enumerate(importance(top, q).birnbaum):
        more, less = q.copy(), q.copy()
        more[member] += step
        less[member] -= step
        assert (top(more) - top(less)) / (2 * step) == pytest.approx(slope, rel=1e-8)


def test_what_never_fails_has_no_importance() -> None:
    with pytest.raises(ValueError, match="never fails"):
        importance(top_by(TWO_OF_THREE), np.zeros(3))
