"""What every life curve promises, as one check for the tests of single curves."""

import numpy as np
import pytest

from bundler.life.curves import LifeCurve
from bundler.life.derived import hazard


def keeps_contract(curve: LifeCurve, longest_years: float = 1e6) -> None:
    """H(0) = 0, never falls, finite, keeps shapes (also of a scalar), is a hashable value, and
    its hazard is the slope of H."""
    ages = np.concatenate([[0.0], np.geomspace(1e-9, longest_years, 420), [1.5 * longest_years]])
    ages = np.sort(np.concatenate([ages, np.linspace(0.0, 60.0, 242)]))
    held = curve.cumulative_hazard(ages)
    assert held[0] == 0.0
    assert np.isfinite(held).all()
    assert (np.diff(held) >= -1e-13 * held[1:]).all()  # a level H may tremble in its last digit
    assert held[-1] > 0
    square = curve.cumulative_hazard(ages[:660].reshape(2, 30, 11))
    assert square.shape == (2, 30, 11)
    assert square.ravel() == pytest.approx(held[:660], rel=1e-12, abs=0)
    assert curve.cumulative_hazard(np.zeros(0)).shape == (0,)
    single = curve.cumulative_hazard(np.array(7.0))
    assert np.shape(single) == ()
    assert float(single) == pytest.approx(float(curve.cumulative_hazard(np.array([7.0]))[0]), abs=0)
    assert hash(curve) == hash(curve) and curve in {curve: 1}
    inside = np.array([3.3, 12.1, 31.7])
    ahead, back = curve.cumulative_hazard(inside + 1e-3), curve.cumulative_hazard(inside - 1e-3)
    assert hazard(curve, inside) == pytest.approx((ahead - back) / 2e-3, rel=1e-4, abs=1e-9)
