"""Life by use, against worked examples and the reliability library."""

import contextlib
import io
import re
import warnings

import numpy as np
import pytest

from bundler.life.derived import failure_chance
from bundler.life.usage import (
    BALL_EXPONENT,
    ROLLER_EXPONENT,
    bearing_curve,
    bearing_l10,
    bearing_l10_hours,
    bearing_reliability_ratio,
    carbonation_years,
    creep_life_hours,
    growth_cycles,
    larson_miller,
    miner_damage_share,
    paris_cycles,
)
from tests.life.contract import keeps_contract


def test_bearings() -> None:
    """ISO 281: C 30 kN, P 5 kN, 1500 rpm: 216 million revolutions, 2400 h; roller 392.498."""
    assert float(bearing_l10(6.0, BALL_EXPONENT)) == pytest.approx(216.0, rel=1e-12)
    assert float(bearing_l10_hours(216.0, 1500.0)) == pytest.approx(2400.0, rel=1e-12)
    assert float(bearing_l10(6.0, ROLLER_EXPONENT)) == pytest.approx(392.498, rel=2e-6)


def test_bearing_reliability() -> None:
    """a1 of ISO 281:2007 (from memory) 0.64, 0.55, 0.47, 0.37, 0.25 at 95 to 99 %, to 0.005; 1 at
    90 %. The life curve is back at the same points: it fails 1 - R at a1 x L10."""
    chances = np.array([0.95, 0.96, 0.97, 0.98, 0.99])
    ratio = bearing_reliability_ratio(chances)
    assert ratio == pytest.approx([0.64, 0.55, 0.47, 0.37, 0.25], abs=0.005)
    assert float(bearing_reliability_ratio(0.9)) == pytest.approx(1.0, rel=1e-12)
    curve = bearing_curve(12.0)
    gone = failure_chance(curve, np.array(0.0), 12.0 * ratio)
    assert gone == pytest.approx(1 - chances, rel=1e-9)
    keeps_contract(curve)
    with pytest.raises(ValueError, match=r"0\.9"):
        bearing_reliability_ratio(0.5)


def test_creep() -> None:
    """9878 h at 900 F: parameter 32624.83163, 8.27520046 h at 1100 F (documentation of
    `reliability`, and the library); kelvin gives the same life."""
    rankine = np.array([900.0, 1100.0]) + 459.67
    parameter = larson_miller(rankine[0], 9878.0)
    assert float(parameter) == pytest.approx(32624.83163, rel=1e-9)
    life = float(creep_life_hours(parameter, rankine[1]))
    assert life == pytest.approx(8.27520046, rel=1e-8)
    kelvin = rankine / 1.8
    assert float(creep_life_hours(larson_miller(kelvin[0], 9878.0), kelvin[1])) == pytest.approx(
        life
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from reliability.PoF import creep_failure_time

        other = creep_failure_time(temp_low=900, temp_high=1100, time_low=9878, print_results=False)
    assert life == pytest.approx(other, rel=1e-9)


def test_summed_damage() -> None:
    """Lives 50000, 6500, 1000 h; 40, 15, 5 minutes a cycle: 0.0135128 % a cycle, 7400.3795 cycles,
    shares 9.86717, 28.463, 61.66983 % (documentation of `reliability`, and what it prints)."""
    share = miner_damage_share([40 / 60, 15 / 60, 5 / 60], [50000, 6500, 1000])
    assert float(share.sum()) == pytest.approx(1.35128e-4, rel=2e-6)
    assert 1 / float(share.sum()) == pytest.approx(7400.3795, rel=1e-8)
    assert 100 * share / share.sum() == pytest.approx([9.86717, 28.463, 61.66983], rel=1e-6)
    with warnings.catch_warnings(), contextlib.redirect_stdout(io.StringIO()) as said:
        warnings.simplefilter("ignore")
        from reliability.PoF import palmgren_miner_linear_damage

        palmgren_miner_linear_damage([50000, 6500, 1000], [40 / 60, 15 / 60, 5 / 60], [1, 2, 4])
    cycles = re.search(r"is ([\d.]+) load cycles", said.getvalue())
    assert cycles is not None
    assert 1 / float(share.sum()) == pytest.approx(float(cycles.group(1)), rel=1e-8)


def test_crack_growth() -> None:
    """C 6.91e-12, stress 100 MPa, Y 1.12, 1 to 20 mm, m = 3: 908,353.294 cycles (computed from the
    closed form); quadrature agrees for this and other exponents, a logarithm at 2 among them."""
    assert paris_cycles(6.91e-12, 3.0, 100.0, 1.12, (0.001, 0.02)) == pytest.approx(
        908353.294, rel=1e-9
    )
    for m in (2.0, 2.0 + 1e-9, 3.0, 3.7):

        def growth(a: float, m: float = m) -> float:
            return float(6.91e-12 * (1.12 * 100.0 * np.sqrt(np.pi * a)) ** m)

        found = paris_cycles(6.91e-12, m, 100.0, 1.12, (0.001, 0.02))
        assert found == pytest.approx(growth_cycles(growth, (0.001, 0.02)), rel=1e-6)


def test_a_geometry_that_changes() -> None:
    """dN = a da / growth with growth a^2 gives ln(a1 / a0) (by hand)."""
    assert growth_cycles(lambda a: a, (0.001, 0.02)) == pytest.approx(np.log(20.0), rel=1e-10)
    assert growth_cycles(lambda a: a, (0.01, 0.01)) == 0.0
    for cracks in ((0.0, 0.1), (0.2, 0.1)):
        with pytest.raises(ValueError, match="crack grows"):
            growth_cycles(lambda a: a, cracks)
        with pytest.raises(ValueError, match="crack grows"):
            paris_cycles(1e-12, 3.0, 100.0, 1.0, cracks)


def test_carbonation() -> None:
    """12 mm at 9 y: 4 mm a root year, 30 mm cover reached at 56.25 y, 47.25 y left (square-root law;
    exact). Through already: 0; no depth yet: no end in sight."""
    found = carbonation_years([12.0, 31.0, 30.0, 0.0], 9.0, 30.0)
    assert list(found) == [47.25, 0.0, 0.0, np.inf]


def test_miner_needs_lives() -> None:
    with pytest.raises(ValueError, match="above 0"):
        miner_damage_share([1.0], [0.0])
