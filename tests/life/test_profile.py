"""Profiles: the signed root and where it ends, against a closed form."""

import numpy as np
import pytest

from bundler.life.fit import fit
from bundler.life.lives import failed_and_running, lives_from
from bundler.life.profile import scale_profile, shape_profile
from tests.life import records


def test_signed_root_of_the_exponential() -> None:
    """r = sign(m - T / r) sqrt(2 r (ln(m / best) + best / m - 1)), from l = -r ln m - T / m."""
    lives = failed_and_running([3.0, 8.0, 11.0], [20.0])
    root = scale_profile(lives, fit(lives, "exponential")).signed_root()
    best = 42 / 3
    for mean in (2.0, 9.0, 20.0, 300.0):
        size = np.sqrt(2 * 3 * (np.log(mean / best) + best / mean - 1))
        assert root(np.log(mean)) == pytest.approx(np.sign(mean - best) * size, rel=1e-6)


def test_a_side_that_does_not_end() -> None:
    """All failed between 3 and 4 years but one, later: how sharp a Weibull may be is limited by
    that one; the mean of one failure ends nowhere within a factor e on the long side."""
    lives = failed_and_running([3.0], [20.0])
    profile = scale_profile(lives, fit(lives, "exponential"))
    assert profile.end(1, 1.645, 1.0) == np.inf
    assert profile.end(-1, 1.645, 20.0) > -np.inf


def test_the_path_does_not_matter() -> None:
    """Warm starts only save time: a fresh search far out gives the same root as a walk there."""
    lives = records.late_record(6)
    profile = shape_profile(lives, fit(lives, "lognormal"))
    walked = profile.signed_root()
    far = profile.at + 0.9
    for x in np.linspace(profile.at, far, 10):
        last = walked(float(x))
    assert profile.signed_root()(far) == pytest.approx(last, rel=1e-7)


def test_a_fit_of_other_lives_is_refused() -> None:
    with pytest.raises(ValueError, match="give the lives that it was fitted to"):
        scale_profile(lives_from([1.0, 2.0]), fit(lives_from([1.0, 3.0]), "exponential"))
