"""What work takes from an age, against an exact sequence."""

import numpy as np
import pytest

from bundler.life.curves import curve_from
from bundler.life.derived import failure_chance
from bundler.life.virtual_age import age_after_work

GAPS = (400.0, 300.0, 250.0)


def sequence(kind: str) -> list[float]:
    """Return virtual ages after each repair with q = 0.3, that is restoration 0.7."""
    ages, age = [], 0.0
    for gap in GAPS:
        age = float(age_after_work(np.array(age + gap), np.array(gap), np.array(0.7), kind))
        ages.append(age)
    return ages


def test_both_kinds() -> None:
    """References 2.3 (definitions of Kijima 1989 from memory; exact arithmetic)."""
    assert sequence("I") == pytest.approx([120.0, 210.0, 285.0], rel=1e-9)
    assert sequence("II") == pytest.approx([120.0, 126.0, 112.8], rel=1e-9)


def test_survival_from_the_virtual_age() -> None:
    """References 2.3: next 200 with eta 1000, beta 2.5 from 285 and from 112.8."""
    curve = curve_from("weibull", 1000.0, 2.5)
    gone = failure_chance(curve, np.array([285.0, 112.8]), np.array(200.0))
    assert 1 - gone == pytest.approx([0.886518777, 0.950802204], rel=1e-9)


def test_ends() -> None:
    """No restoration leaves the age; full restoration of kind II makes it new."""
    for kind in ("I", "II"):
        assert float(age_after_work(np.array(9.0), np.array(4.0), np.array(0.0), kind)) == 9.0
    assert float(age_after_work(np.array(9.0), np.array(4.0), np.array(1.0), "II")) == 0.0
    assert float(age_after_work(np.array(9.0), np.array(4.0), np.array(1.0), "I")) == 5.0
    with pytest.raises(ValueError, match="not known"):
        age_after_work(np.array(1.0), np.array(1.0), np.array(1.0), "III")
