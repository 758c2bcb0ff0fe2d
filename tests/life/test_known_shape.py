"""A Weibull life of known shape against published numbers and quadrature."""

import numpy as np
import pytest
from scipy import integrate, stats

from bundler.life.derived import hazard, survival
from bundler.life.known_shape import KnownShape
from bundler.life.lives import failed_and_running, lives_from

UNITS = failed_and_running([600.0], [400.0, 800.0, 800.0, 900.0])
#: shock absorbers, km: O'Connor (1985); Meeker & Escobar (1998)
FAILED = (6700, 9120, 12200, 13150, 14300, 17520, 20100, 20900, 22700, 26510, 27490)
RUNNING = (
    6950, 7820, 8790, 9660, 9820, 11310, 11690, 11850, 11880, 12140, 12870, 13330, 13470, 14040, 17540, 17890, 18450,
    18960, 18980, 19410, 20100, 20150, 20320, 23490, 27410, 27890, 28100,
)  # fmt: skip


def test_five_units() -> None:
    """Conjugate arithmetic: a 2, b 2 x 1000^2.5, five units of which one failed (which one does
    not matter): a 3, b 1.3576758347e8, R(500) 0.8859911037; again by quadrature over lambda."""
    prior = KnownShape(2.5, 2.0, 2 * 1000**2.5)
    after = prior.updated(UNITS)
    assert after.events_count == 3
    assert after.power_years == pytest.approx(1.3576758347e8, rel=1e-9)
    assert survival(after, np.array(500.0)) == pytest.approx(0.8859911037, rel=1e-9)
    other = prior.updated(failed_and_running([900.0], [400.0, 600.0, 800.0, 800.0]))
    assert other.power_years == pytest.approx(after.power_years, rel=1e-15)
    power, lived = 500**2.5, np.array([400.0, 600, 800, 800, 900]) ** 2.5

    def joint(z: float, more: float = 0.0) -> float:  # z = lambda x 1e8
        rate = z * 1e-8
        return float(
            stats.gamma(2, scale=1 / (2 * 1000**2.5)).pdf(rate)
            * rate
            * np.exp(-rate * (lived.sum() + more))
        )

    above, below = (
        integrate.quad(joint, 0, 40, args=(more,), epsabs=0, epsrel=1e-12)[0]
        for more in (power, 0.0)
    )
    assert survival(after, np.array(500.0)) == pytest.approx(above / below, rel=1e-9)


def test_shock_absorbers() -> None:
    """Shape 3 held, no prior: scale 28079.236 km."""
    found = KnownShape(3.0, 1e-12, 1e-12).updated(failed_and_running(FAILED, RUNNING))
    assert found.events_count == pytest.approx(11)
    assert found.scale_years == pytest.approx(28079.236, rel=1e-7)


def test_no_failure() -> None:
    """Ten units x 1000 h, shape 2.5, none failed: 90 % lower limit of the scale 1799.342 h; with
    one assumed failure 2511.886 h."""
    found = KnownShape(2.5, 1.0, 1e-12).updated(lives_from([1000.0], [np.inf], weight_count=[10.0]))
    assert found.scale_percentile_years(0.1) == pytest.approx(1799.342, rel=1e-6)
    assert found.scale_years == pytest.approx(2511.886, rel=1e-6)


def test_late_entry_and_hazard() -> None:
    """A unit watched from its age on adds only what it lived there; h is the slope of H."""
    prior = KnownShape(2.0, 1.0, 100.0)
    late = prior.updated(lives_from([10.0], [np.inf], entry_years=6.0))
    assert late.power_years == pytest.approx(100 + 100 - 36)
    ages = np.array([0.5, 3.0, 20.0, 300.0])
    step = 1e-5 * ages
    slope = late.cumulative_hazard(ages + step) - late.cumulative_hazard(ages - step)
    assert hazard(late, ages) == pytest.approx(slope / (2 * step), rel=1e-7)
    assert float(late.cumulative_hazard(np.array(0.0))) == 0.0


def test_refusals() -> None:
    with pytest.raises(ValueError, match="above 0"):
        KnownShape(2.5, 0.0, 1.0)
    with pytest.raises(ValueError, match="closed form"):
        KnownShape(2.5, 1.0, 1.0).updated(lives_from([1.0], [2.0]))
    with pytest.raises(ValueError, match="between 0 and 1"):
        KnownShape(2.5, 1.0, 1.0).scale_percentile_years(1.0)
